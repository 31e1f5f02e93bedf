package musicxml

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// measure is a <measure> of one part, positions in ticks from its start.
type measure struct {
	el       *etree.Element
	index    int
	number   string
	notes    []*printedNote
	sorted   []*printedNote
	words    []barWord
	controls []score.Control
	altered  map[accidentalKey][]accidentalAt
	begins   [][]score.Tick // by staff: where notes begin, once asked for
	length   score.Tick
	div      float64    // divisions at its start
	fifths   int        // of the key signature at its start
	end      score.Tick // where reading stands after the last element
}

func (m *measure) name() string {
	if m.number == "" {
		return fmt.Sprintf("%d in file order", m.index+1)
	}
	return clip(m.number)
}

// printedNote is a <note>; also a rest, for what may stand over it.
type printedNote struct {
	el               *etree.Element
	measure          *measure
	staff            int // from 0 within the part
	voice            string
	key, velocity    int
	at, length       score.Tick
	rest, grace      bool
	chord, slash     bool
	articulated      bool    // a slur or a sign says how long it is
	steal            float64 // share to take from the following note, -1 where not given
	back             bool    // it is taken from the note before
	tieStart         bool
	tieStop, fermata bool
	share            float64    // of the length that sounds
	early            score.Tick // taken from the end for a breath
	shift            score.Tick // taken from the start for grace notes
	cut              score.Tick // taken from the end for grace notes
	transpose        int        // sounding minus written, semitones
	div              float64    // divisions to the crotchet here
	fifths           int        // of the key signature here
	sign             *sign      // its ornament
	tones            []tone     // played for it, nil for the note itself
	bundle           *bundle    // that its tones belong to
	roll             score.Tick // the part of shift that rolls a chord
	rolled           bool
	only             []int // times through on which it sounds, nil for all
}

// on and end are where the note begins and where its printed length ends.
func (n *printedNote) on() score.Tick  { return n.at + n.shift }
func (n *printedNote) end() score.Tick { return n.at + n.length - n.cut }

// off is where its sound ends.
func (n *printedNote) off() score.Tick {
	full := n.end() - n.on()
	sound := score.Tick(math.Round(float64(full) * n.share))
	if n.early > 0 {
		sound = min(sound, max(full/2, full-n.early))
	}
	return n.on() + max(1, sound)
}

// inTime are the notes by their beginning, so that ties find what they go on from.
func (m *measure) inTime() []*printedNote {
	if m.sorted == nil {
		m.sorted = slices.Clone(m.notes)
		slices.SortStableFunc(m.sorted, func(a, b *printedNote) int { return int(a.on() - b.on()) })
	}
	return m.sorted
}

type barWord struct {
	score.Word // At from the bar's start
	el         *etree.Element
}

// barInfo is what all parts say about a bar together.
type barInfo struct {
	number    int
	label     string
	length    score.Tick
	metre     score.Metre
	hasMetre  bool
	implicit  bool
	forward   bool
	backward  bool
	times     int
	afterJump bool
	ending    []int // voltas that begin here
	endingEnd bool
	double    bool // a double bar line at its end
	final     bool // a final one

	endingStop []int // voltas that end here
	jumps
}

// partState is what carries over from bar to bar of a part.
type partState struct {
	div       float64
	transpose map[int]int // by staff from 0; -1 for all
	slurs     map[slurKey]bool
	slurred   bool                  // the last chord is under a slur, or ends one
	wedges    map[string]int        // staff that an open hairpin also concerns, by number
	lines     map[string]*speedLine // open dashed lines and brackets of gradual changes, by element and number
	fifths    int
	metre     score.Metre
	silent    map[int]bool // staves that are not played, from 0
	wavy      map[slurKey]*wave
	graces    map[string]*graceVoice // of the bar before, by voice
	first     int                    // index of the part's first staff
	pos, top  score.Tick
	lastAt    score.Tick
}

func (r *reader) fail(p *part, m *measure, format string, args ...any) error {
	return &FormatError{Part: p.label(), Bar: m.name(), What: fmt.Sprintf(format, args...)}
}

func (b *barInfo) fail(format string, args ...any) error {
	return &FormatError{Bar: fmt.Sprint(b.number), What: fmt.Sprintf(format, args...)}
}

func (r *reader) readPart(p *part) error {
	st := &partState{transpose: map[int]int{}, slurs: map[slurKey]bool{}, wedges: map[string]int{}, lines: map[string]*speedLine{}, wavy: map[slurKey]*wave{}, silent: map[int]bool{}, first: p.first}
	r.writeOutRepeats(p)
	for _, m := range p.measures {
		st.pos, st.top, st.lastAt = 0, 0, 0
		r.loseWaves(st, m.index, false)
		m.div, m.fifths = st.div, st.fifths
		if len(m.el.Child) > 2*maxInBar {
			return r.fail(p, m, "more than %d elements in one bar", maxInBar)
		}
		for _, e := range m.el.ChildElements() {
			var err error
			switch e.Tag {
			case "attributes":
				r.attributes(p, m, st, e)
				if st.top == 0 {
					m.div, m.fifths = st.div, st.fifths
				}
			case "note":
				err = r.note(p, m, st, e)
			case "backup", "forward":
				err = r.move(p, m, st, e)
			case "direction":
				r.direction(p, m, st, e)
			case "sound":
				r.sound(p, m, st.pos, e, nil)
			case "barline":
				r.barline(p, m, st, e)
			case "figured-bass":
				r.remark(m.index, st.pos, p.first, "figured bass is not played")
			case "harmony":
				r.remark(m.index, st.pos, p.first, "chord symbols are not played")
			}
			if err != nil {
				return err
			}
		}
		m.length, m.end = st.top, st.pos
		r.placeGraces(m, st)
	}
	r.settleGraces(st.graces)
	r.loseWaves(st, len(p.measures), true)
	return nil
}

// maxInBar bounds the elements of a bar; white space between them counts as much again.
const maxInBar = 5000

// maxBarCrotchets bounds a bar; the longest printed note has 32.
const maxBarCrotchets = 4096

// duration reads a <duration> in ticks.
func (r *reader) duration(p *part, m *measure, st *partState, e *etree.Element) (score.Tick, error) {
	d := child(e, "duration")
	v, ok := 0.0, false
	if d != nil {
		v, ok = number(d.Text())
	}
	switch {
	case d == nil:
		return 0, r.fail(p, m, "<%s> has no duration", e.Tag)
	case !ok || v < 0:
		return 0, r.fail(p, m, "the duration %q of a <%s> is not a positive number", clip(d.Text()), e.Tag)
	case st.div == 0:
		r.remark(m.index, st.pos, p.first, "no divisions are given: 1 to the crotchet")
		st.div = 1
		m.div = 1
	}
	if v/st.div > maxBarCrotchets {
		return 0, r.fail(p, m, "a <%s> of %.0f crotchets (at most %d are read)", e.Tag, v/st.div, maxBarCrotchets)
	}
	return score.Tick(math.Round(v * float64(r.tpq) / st.div)), nil
}

func (r *reader) move(p *part, m *measure, st *partState, e *etree.Element) error {
	d, err := r.duration(p, m, st, e)
	if err != nil {
		return err
	}
	if e.Tag == "backup" {
		d = -d
	}
	st.pos += d
	if st.pos < 0 {
		r.remark(m.index, 0, p.first, "a backup goes %g crotchets before the start of the bar: taken to the start", -float64(st.pos)/float64(r.tpq))
		st.pos = 0
	}
	st.lastAt = st.pos
	return r.grow(p, m, st)
}

func (r *reader) grow(p *part, m *measure, st *partState) error {
	st.top = max(st.top, st.pos)
	if st.top > maxBarCrotchets*r.tpq {
		return r.fail(p, m, "the bar is longer than %d crotchets", maxBarCrotchets)
	}
	return nil
}

func (r *reader) attributes(p *part, m *measure, st *partState, e *etree.Element) {
	if d, ok := number(text(e, "divisions")); ok {
		st.div = d
	}
	if f := child(e, "key", "fifths"); f != nil {
		st.fifths = min(max(integer(f.Text(), 0), -7), 7)
	}
	bar := &r.bars[m.index]
	for _, t := range elements(e, "time") {
		if mt, ok := metre(t); ok {
			st.metre = mt
		}
		if bar.hasMetre {
			break
		}
		if child(t, "senza-misura") != nil {
			r.remark(m.index, st.pos, -1, "senza misura: the bar is as long as its notes")
			continue
		}
		if mt, ok := metre(t); ok {
			bar.metre, bar.hasMetre = mt, true
		} else {
			r.remark(m.index, st.pos, -1, "the time signature %s/%s is not understood", clip(text(t, "beats")), clip(text(t, "beat-type")))
		}
	}
	for _, ms := range elements(e, "measure-style") {
		for _, unread := range []struct{ tag, what string }{ // a measure-repeat: see writeOutRepeats
			{"beat-repeat", "a sign for repeated beats: not played, only the notes that are in the file: write the beats out"},
			{"slash", "slashes for what the player makes up: not played, only the notes that are in the file"},
		} {
			if x := child(ms, unread.tag); x != nil && x.SelectAttrValue("type", "start") == "start" {
				r.remark(m.index, st.pos, p.first, "%s", unread.what)
			}
		}
	}
	for _, d := range elements(e, "staff-details") {
		if kind := text(d, "staff-type"); kind != "" {
			staff := min(max(integer(d.SelectAttrValue("number", ""), 1), 1), p.staves) - 1
			if st.silent[staff] = kind == "ossia" || kind == "cue" || kind == "alternate"; st.silent[staff] {
				r.remark(m.index, st.pos, p.first+staff, "the staff is marked %s: it is not played", kind)
			}
		}
	}
	for _, t := range elements(e, "transpose") {
		staff := integer(t.SelectAttrValue("number", ""), 0) - 1
		c, _ := number(text(t, "chromatic"))
		if math.Abs(c) > 127 {
			c = 0
		}
		semis := int(math.Round(c)) + 12*min(max(integer(text(t, "octave-change"), 0), -10), 10)
		if child(t, "double") != nil {
			r.remark(m.index, st.pos, p.first, "the doubled octave of the transposition is not played")
		}
		st.transpose[staff] = semis
		if staff < 0 {
			st.transpose = map[int]int{-1: semis}
		}
	}
}

// metre reads <time>; 3+2/8 is 5/8, and 3/8 + 2/4 counts in its smaller unit.
func metre(t *etree.Element) (score.Metre, bool) {
	beats, units := elements(t, "beats"), elements(t, "beat-type")
	if len(beats) == 0 || len(beats) != len(units) || len(beats) > 16 {
		return score.Metre{}, false
	}
	unit := 1
	for _, u := range units {
		v := integer(u.Text(), 0)
		if v < 1 || v > 128 || v&(v-1) != 0 {
			return score.Metre{}, false
		}
		unit = max(unit, v)
	}
	sum := 0
	for i, b := range beats {
		for _, f := range strings.Split(b.Text(), "+") {
			v := integer(f, 0)
			if v < 1 || v > 256 {
				return score.Metre{}, false
			}
			sum += v * unit / integer(units[i].Text(), 1)
		}
	}
	return score.Metre{Beats: sum, Unit: unit}, sum <= 1024
}
