package musicxml

import (
	"archive/zip"
	"fmt"
	"io"
	"math"
	"slices"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// Write writes a score as MusicXML (partwise, not compressed).
//
// A score that Read gave is written as its own file with only what was changed
// since then changed:
//   - notes taken out become rests, or leave their chord;
//   - notes that end earlier become a note and rests of the right types, dots and
//     durations; their sounding end is printed, rounded down to a demisemiquaver
//     (in a tuplet, to that of the tuplet), and marks that shorten go;
//   - notes on another key get their pitch, spelled by the key signature, and
//     an accidental where one is wanted;
//   - notes that are new, begin elsewhere, last longer than printed or go to
//     another staff stand in a voice of their own, tied over bar lines;
//   - of the notes that are played for one ornament, a change to all alike (gone, an
//     octave away, on another staff, ending earlier) changes the printed note, which keeps
//     its sign; where only some change, they are written out and the sign goes;
//   - words and dynamics are put in or taken out; changes of speed change the
//     metronome marks, or get their own; the words ("rit.") stay, and go with the marks.
//
// Every bar keeps its length, or nothing is written and the error says where; divisions are raised rather than
// durations rounded.
//
// A bar that is played several times is printed once: a change to one time
// through counts for all of them.
//
// A score from elsewhere is written anew, its notes on the nearest
// demisemiquaver or triplet semiquaver.
func Write(w io.Writer, s *score.Score) error { return Annotate(w, s, nil) }

// WriteCompressed writes what Write writes as a .mxl file.
func WriteCompressed(w io.Writer, s *score.Score) error {
	z := zip.NewWriter(w)
	c, err := z.Create("META-INF/container.xml")
	if err != nil {
		return err
	}
	if _, err = io.WriteString(c, `<?xml version="1.0" encoding="UTF-8"?>
<container><rootfiles><rootfile full-path="score.musicxml" media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>
`); err != nil {
		return err
	}
	if c, err = z.Create("score.musicxml"); err != nil {
		return err
	}
	if err = Write(c, s); err != nil {
		return err
	}
	return z.Close()
}

// Annotation is something to say about a place of the score.
type Annotation struct {
	At, Until score.Tick // a line over the staff shows the stretch; Until 0 for none
	Part      int        // index into Score.Parts; -1 puts the words over the first staff
	Text      string     // words over the bar
	NoteIDs   []int      // notes to colour
	Color     string     // "#RRGGBB"; "" is a dark red
}

const (
	annotationColor = "#B00020"
	annotationSize  = "8" // points; words over the staff have about 10
)

// Annotate writes the score as Write does, with words over the bars and notes in colour.
//
// earlier are the colours of annotations that the file may have from before: their notes get
// their own colour back and their lines over the staff go. A note's own colour is kept
// beside the new one in a processing instruction, which other programs pass over; where one
// has left it out on saving, the note becomes plain.
func Annotate(w io.Writer, s *score.Score, notes []Annotation, earlier ...string) error {
	wr, err := newWriter(s)
	if err != nil {
		return fmt.Errorf("%s: %w", s.File, err)
	}
	wr.uncolor(earlier)
	for _, a := range notes {
		wr.annotate(a)
	}
	if err = wr.scaleDivisions(); err == nil && !wr.rests {
		err = wr.checkBars()
	}
	if err != nil {
		return fmt.Errorf("%s: %w", s.File, err)
	}
	_, err = wr.doc.WriteTo(w)
	return err
}

// writer edits a copy of the file that a score came from.
type writer struct {
	s        *score.Score
	src      *source
	tpq      score.Tick
	doc      *etree.Document
	copied   map[*etree.Element]*etree.Element
	byID     map[int][]*etree.Element // elements of each note
	firsts   map[int]int              // by measure: index of its first playing
	ids      map[*printedNote]int
	unbeamed map[beamed]bool // voices that have lost their beams
	alias    map[int]int     // of the notes of an ornament the one that is written for all
	edited   map[*measure]bool
	painted  map[*etree.Element]bool
	held     map[*printedNote]bool // has got a fermata from a note of its chord that went
	slots    map[int]int           // voice of each added note, from 0 among the added ones
	adds     map[addPlace][]addedNote
	brackets int  // number of the last bracket
	rests    bool // fill gaps with rests, where no other voice is
}

func newWriter(s *score.Score) (*writer, error) {
	src, ok := s.Source().(*source)
	fresh := !ok
	if fresh {
		var err error
		if src, err = blank(s); err != nil {
			return nil, err
		}
	}
	w := &writer{s: s, src: src, tpq: s.TicksPerCrotchet, doc: src.doc.Copy(), rests: fresh,
		copied: map[*etree.Element]*etree.Element{}, byID: map[int][]*etree.Element{}, slots: map[int]int{}, edited: map[*measure]bool{}, held: map[*printedNote]bool{}, painted: map[*etree.Element]bool{}, alias: map[int]int{}, unbeamed: map[beamed]bool{}, firsts: map[int]int{}, adds: map[addPlace][]addedNote{}}
	w.pair(src.doc.Root(), w.doc.Root())
	for i := len(src.played) - 1; i >= 0; i-- {
		w.firsts[src.played[i].measure] = i
	}
	w.editNotes()
	w.writeAdded()
	w.dropRepeatSigns()
	w.pinNeighbours()
	w.editWords()
	w.editTempos(fresh)
	return w, nil
}

// pair remembers which element of the copy is which of the original.
func (w *writer) pair(a, b *etree.Element) {
	w.copied[a] = b
	for i, c := range a.Child {
		if e, ok := c.(*etree.Element); ok {
			w.pair(e, b.Child[i].(*etree.Element))
		}
	}
}

// place is the printed bar that holds a tick, and the tick from its start.
func (w *writer) place(at score.Tick) (bar int, rel score.Tick) {
	bar = min(w.s.BarAt(at), len(w.src.played)-1)
	return bar, max(0, at-w.src.played[bar].start)
}

// partOf is the part and the staff (from 0) of a part of the score.
func (w *writer) partOf(index int) (*part, int) {
	for _, p := range w.src.parts {
		if index < p.first+p.staves {
			return p, max(0, index-p.first)
		}
	}
	return w.src.parts[0], 0
}

// measureOf is the bar of a part; parts may end early.
func measureOf(p *part, index int) *measure { return p.measures[min(index, len(p.measures)-1)] }

// exact is the most that a duration, times a factor, may miss a whole number by.
const exact = 1e-5

// scaleDivisions makes all durations of a part whole numbers again by raising its divisions; nothing is rounded. A score
// counts in ticks of which its divisions are whole numbers, so there always is a factor.
func (w *writer) scaleDivisions() error {
	for _, p := range w.src.parts {
		var durations, rest []*etree.Element
		said, unsaid := false, false // durations come before any divisions
		for _, m := range elements(w.copied[p.el], "measure") {
			for _, e := range m.ChildElements() {
				for _, c := range e.ChildElements() {
					switch c.Tag {
					case "duration":
						unsaid = unsaid || !said
						durations = append(durations, c)
					case "divisions", "offset":
						said = said || c.Tag == "divisions"
						rest = append(rest, c)
					case "sound":
						rest = append(rest, elements(c, "offset")...)
					}
				}
			}
		}
		factor, ok := w.factor(p, durations)
		if !ok {
			return &FormatError{Part: p.label(), What: "its durations cannot be made whole numbers"}
		}
		if first := child(w.copied[p.el], "measure"); unsaid && factor > 1 { // they were one to the crotchet
			a := etree.NewElement("attributes")
			a.AddChild(with("divisions", fmt.Sprint(factor)))
			first.InsertChildAt(0, a)
		}
		for _, d := range durations {
			v, _ := number(d.Text())
			if r := math.Round(v * float64(factor)); factor > 1 || v != math.Trunc(v) {
				d.SetText(fmt.Sprintf("%.0f", r))
			}
		}
		for _, e := range rest {
			if v, ok := number(e.Text()); ok && (factor > 1 || v != math.Trunc(v)) {
				e.SetText(decimal(math.Round(v*float64(factor)*1e6) / 1e6))
			}
		}
	}
	return nil
}

// factor is the least number that makes all durations whole.
func (w *writer) factor(p *part, durations []*etree.Element) (int, bool) {
	var odd []float64 // each fraction once
	seen := map[float64]bool{}
	for _, d := range durations {
		v, _ := number(d.Text())
		if f := math.Round((v-math.Floor(v))*1e9) / 1e9; f != 0 && !seen[f] {
			seen[f] = true
			odd = append(odd, f)
		}
	}
	whole := func(f int) bool {
		return !slices.ContainsFunc(odd, func(v float64) bool {
			v *= float64(f)
			return math.Abs(v-math.Round(v)) > exact
		})
	}
	for f := 1; f <= 384; f++ {
		if whole(f) {
			return f, true
		}
	}
	for _, m := range p.measures {
		if div := int(m.div); div > 0 && float64(div) == m.div && int(w.tpq)%div == 0 {
			for half := 1; half <= 2; half++ {
				if f := int(w.tpq) / div * half; whole(f) {
					return f, true
				}
			}
		}
	}
	return 0, false
}

// checkBars sees to it that every bar of the file has the length it had, or that of its bar where a part had less in it.
func (w *writer) checkBars() error {
	for _, p := range w.src.parts {
		div := 1.0
		for i, m := range elements(w.copied[p.el], "measure") {
			var length float64
			if length, div = measureLength(m, div); i >= len(p.measures) {
				break
			}
			was := p.measures[i]
			if !w.edited[was] {
				continue
			}
			least, most := float64(was.length), float64(was.length)
			if first, played := w.firsts[was.index]; played {
				most = max(most, float64(w.barLength(first)))
			}
			if got := length * float64(w.tpq); got < least-1 || got > most+1 {
				return &FormatError{Part: p.label(), Bar: was.name(), What: fmt.Sprintf("the change would give the bar %.4g crotchets in place of %.4g: nothing is written", length, least/float64(w.tpq))}
			}
		}
	}
	return nil
}

// measureLength is the length of a written bar in crotchets, and the divisions that hold after it.
func measureLength(m *etree.Element, div float64) (length, after float64) {
	pos := 0.0
	for _, e := range m.ChildElements() {
		if e.Tag == "attributes" {
			if d, ok := number(text(e, "divisions")); ok && d > 0 {
				div = d
			}
		}
		d, ok := number(text(e, "duration"))
		if !ok || child(e, "chord") != nil || child(e, "grace") != nil {
			continue
		}
		if e.Tag == "backup" {
			d = -d
		}
		pos = max(0, pos+d/div)
		length = max(length, pos)
	}
	return length, div
}
