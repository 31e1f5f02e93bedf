// Package musicxml reads and writes MusicXML 3.0 to 4.0 (W3C Music Notation
// Community Group), the format in which notation programs exchange scores.
//
// [Read] gives the score as it is played: repeats, voltas, da capo and dal segno
// are unfolded, and every note carries which time through it is. A part of the
// result is one staff. What bears on sound and is not understood is a Remark at
// its bar.
package musicxml

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// Read reads a .musicxml or .mxl file. file is the name that goes into
// Score.File and into messages. Errors say the part and the bar.
//
// Where a score leaves the playing open these rules hold:
//   - A note tied to the next is one Note.
//   - Articulations shorten the sounding end by the table [Articulations]; Written
//     stays the printed length. An unmarked note sounds for its full length.
//   - A grace note takes its time from the note that follows: a
//     demisemiquaver where it has a stroke, its printed value where it has none,
//     all together at most half of that note;
//     steal-time-following overrides, at the end of a bar too. Other grace notes at the end of a bar,
//     and those with steal-time-previous, take theirs from the note before, over the bar line too.
//   - A sign that repeats the bars before it stands for their notes, where its bars have none of their own.
//   - A fermata makes what it stands on last [FermataFactor] times as long.
//   - Repeats are not taken again after a jump (da capo, dal segno) unless the
//     barline says after-jump="yes"; of voltas the last is played then.
//   - Ottava lines change nothing: MusicXML writes the pitch as it sounds.
//   - Without a metronome mark or sound tempo, a tempo word ("Andante") is taken
//     by a table, else 120 crotchets a minute; a Remark says so.
//   - "rit.", "accel.", "meno mosso" and their kin change the speed by the table
//     [SpeedWords]; a Remark says from where to where and how far. A gradual change goes
//     to the end of its dashed line, else to the next mark or word about the speed, a
//     double bar, a repeat, a fermata or the end, else for two bars, along the curve of
//     Friberg & Sundberg (1999). Speeds that the file gives itself (sound tempo) win.
//     "a tempo" brings back the speed before, "Tempo I" the first.
//   - Ornaments are played by the table [Ornaments]: one printed note gives several Notes.
//     Of a chord under arpeggiate each note begins a little after the one below.
func Read(data []byte, file string) (*score.Score, error) { return ReadWith(data, file, Options{}) }

// Options are choices of how a score is read.
type Options struct {
	AsPrinted bool // every bar once, in the order of the page: no repeats, voltas or jumps
}

// ReadWith is Read with choices.
func ReadWith(data []byte, file string, o Options) (*score.Score, error) {
	s, err := read(data, file, o)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return s, nil
}

// FermataFactor is how many times its printed length a note under a fermata
// lasts (common practice).
const FermataFactor = 2.0

// source is what a Score keeps of its file.
type source struct {
	doc    *etree.Document // as partwise
	packed bool
	parts  []*part
	notes  []noteOrigin // by ID-1
	words  []wordOrigin
	played []playedBar
	tempos []score.Tempo
	events []speedEvent // what the page says about the speed
	page   *page
	speeds *speedState // along the page
	nParts int         // parts of the score

	repeats []*repeatRun // bars under signs that repeat those before
}

type noteOrigin struct {
	note     score.Note
	segments []segment // one for each printed note of a tied chain
	group    int       // of notes that are played for one ornament, from 1; 0 for a note as printed
}

// segment is one printed note at one of the times it is played.
type segment struct {
	n   *printedNote
	bar int // index into source.played
}

type wordOrigin struct {
	word score.Word
	el   *etree.Element // nil where the word was derived
}

// part is a <part>.
type part struct {
	el       *etree.Element
	id, name string
	first    int // index of its first staff in Score.Parts
	staves   int
	measures []*measure
}

func (p *part) label() string {
	if p.name == "" || p.name == p.id {
		return "part " + clip(p.id)
	}
	return fmt.Sprintf("part %s (%s)", clip(p.id), clip(p.name))
}

type reader struct {
	s       *score.Score
	src     *source
	tpq     score.Tick
	bars    []barInfo
	seen    map[remarkKey]bool
	filled  int // notes written out for measure repeats
	groups  int // of notes played for one ornament
	bundles map[bundleKey]int
	// linear remarks wait until the bars have their places in the playing order
	pending []pendingRemark
}

type remarkKey struct {
	measure, part int
	text          string
}

type pendingRemark struct {
	remarkKey
	at score.Tick
}

const maxRemarks = 2000

func (r *reader) remark(measure int, at score.Tick, part int, format string, args ...any) {
	k := remarkKey{measure, part, fmt.Sprintf(format, args...)}
	if r.seen[k] || len(r.pending) >= maxRemarks {
		return
	}
	r.seen[k] = true
	r.pending = append(r.pending, pendingRemark{k, at})
}

func read(data []byte, file string, o Options) (*score.Score, error) {
	doc, packed, err := load(data)
	if err != nil {
		return nil, err
	}
	partwise(doc)
	root := doc.Root()
	version := root.SelectAttrValue("version", "1.0")
	r := &reader{
		s:    &score.Score{File: filepath.Base(file), Format: "MusicXML " + clip(version)},
		src:  &source{doc: doc, packed: packed},
		seen: map[remarkKey]bool{}, bundles: map[bundleKey]int{},
	}
	if err := r.listParts(root); err != nil {
		return nil, err
	}
	if err := r.resolution(); err != nil {
		return nil, err
	}
	for _, p := range r.src.parts {
		if err := r.readPart(p); err != nil {
			return nil, err
		}
	}
	r.layBars()
	r.signs()
	r.speeds()
	r.embellish()
	if err := r.unfold(o.AsPrinted); err != nil {
		return nil, err
	}
	r.play()
	r.s.Index()
	if hours := r.s.Seconds(r.s.End) / 3600; hours > maxHours {
		return nil, faultf("the piece lasts %.1f hours (at most %d are read)", hours, maxHours)
	}
	if len(r.s.Notes) == 0 {
		return nil, faultf("there are no notes in %d part(s)", len(r.src.parts))
	}
	r.placeRemarks()
	r.s.Title = title(root, r.s.File)
	r.src.tempos = slices.Clone(r.s.Tempos)
	r.src.nParts = len(r.s.Parts)
	r.s.SetSource(r.src)
	r.s.Index()
	return r.s, nil
}

// listParts matches the part list with the parts and counts staves.
func (r *reader) listParts(root *etree.Element) error {
	names, listed := map[string]string{}, []string{}
	for _, sp := range elements(child(root, "part-list"), "score-part") {
		id := sp.SelectAttrValue("id", "")
		names[id] = oneLine(text(sp, "part-name"))
		listed = append(listed, id)
	}
	bodies := elements(root, "part")
	if len(bodies) == 0 {
		return faultf("the score has no <part>")
	}
	have := map[string]bool{}
	for i, el := range bodies {
		id := el.SelectAttrValue("id", "")
		if have[id] {
			return faultf("part %q is in the file twice", clip(id))
		}
		have[id] = true
		p := &part{el: el, id: id, name: names[id], first: len(r.s.Parts), staves: 1}
		if _, ok := names[id]; !ok {
			r.remark(0, 0, len(r.s.Parts), "part %q is not in the part list", clip(id))
		}
		if p.name == "" {
			p.name = id
		}
		ms := elements(el, "measure")
		if len(ms) == 0 {
			return faultf("%s has no bars", p.label())
		}
		for mi, m := range ms {
			p.measures = append(p.measures, &measure{el: m, index: mi, number: m.SelectAttrValue("number", "")})
			for _, n := range elements(m, "note") {
				p.staves = max(p.staves, integer(text(n, "staff"), 1))
			}
			for _, a := range elements(m, "attributes") {
				p.staves = max(p.staves, integer(text(a, "staves"), 1))
			}
			if p.staves > 16 {
				return r.fail(p, p.measures[mi], "%d staves (at most 16 are read)", p.staves)
			}
		}
		for st := 1; st <= p.staves; st++ {
			name := p.name
			if p.staves > 1 {
				name = fmt.Sprintf("%s, staff %d", name, st)
			}
			r.s.Parts = append(r.s.Parts, score.Part{Name: name, Track: i + 1, Staff: st})
		}
		if len(r.s.Parts) > 256 {
			return faultf("%s: more than 256 staves", p.label())
		}
		r.src.parts = append(r.src.parts, p)
	}
	for _, id := range listed {
		if !have[id] {
			return faultf("part %s (%s) is in the part list but not in the file", clip(id), clip(names[id]))
		}
	}
	longest := 0
	for _, p := range r.src.parts {
		longest = max(longest, len(p.measures))
	}
	if longest > maxBars {
		return faultf("%d bars (at most %d are read)", longest, maxBars)
	}
	for _, p := range r.src.parts {
		if n := len(p.measures); n < longest {
			r.remark(n-1, 0, p.first, "%s ends after %d of %d bars", p.label(), n, longest)
		}
	}
	r.bars = make([]barInfo, longest)
	return nil
}

func title(root *etree.Element, file string) string {
	for _, t := range []string{text(root, "work", "work-title"), text(root, "movement-title")} {
		if t != "" {
			return clip(t)
		}
	}
	for _, c := range elements(root, "credit") {
		if text(c, "credit-type") == "title" {
			return clip(text(c, "credit-words"))
		}
	}
	return strings.TrimSuffix(file, filepath.Ext(file))
}

// placeRemarks puts the remarks where their bars are first played.
func (r *reader) placeRemarks() {
	first := map[int]score.Tick{}
	for i := len(r.src.played) - 1; i >= 0; i-- {
		first[r.src.played[i].measure] = r.src.played[i].start
	}
	for _, p := range r.pending {
		r.s.Remarks = append(r.s.Remarks, score.Remark{At: first[p.measure] + p.at, Part: p.part, Text: p.text})
	}
	slices.SortStableFunc(r.s.Remarks, func(a, b score.Remark) int { return int(a.At - b.At) })
}
