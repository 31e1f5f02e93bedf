package finding

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"afterchord/acoustics/hearing"
	"afterchord/sim/field"
)

// singleShare is the share of a part's onsets that must be single notes for it to be a line.
const singleShare = 0.95

// MaskedSolo finds the notes of a solo line, alone on its manual, that do not stand out from
// an accompaniment on another: less than solo_share of their loudness is left beside it.
func MaskedSolo(c *Context) []Finding {
	var out []Finding
	for _, l := range c.solos() {
		out = append(out, newSoloist(c).line(l.strokes)...)
	}
	return out
}

// solos are the solo lines that neither accompany another nor are one of equals.
func (c *Context) solos() []soloLine {
	lines := c.soloLines()
	return slices.DeleteFunc(slices.Clone(lines), func(l soloLine) bool { return l.accompanies(lines) || c.inTrio(l, lines) })
}

// inTrio reports whether another line of its time moves much as it does, and breaks no chords: the two are equals, which nobody
// wants to stand out.
func (c *Context) inTrio(l soloLine, lines []soloLine) bool {
	for _, o := range lines {
		from, to := max(l.from(), o.from()), min(l.to(), o.to())
		if o.part == l.part || from >= to {
			continue
		}
		mine, its := l.count(from, to), o.count(from, to)
		if mine < 2*its && its < 2*mine && c.figured(o.moments(), true) < c.Thresholds.SoloFigured {
			return true
		}
	}
	return false
}

// moments are the strokes of the line as the player has them.
func (l soloLine) moments() []moment {
	var out []moment
	for _, x := range l.strokes {
		out = append(out, moment{atS: x.on, notes: x.notes})
	}
	return out
}

// soloLine is what a part plays on one manual until its hand goes to another.
type soloLine struct {
	part, division int
	strokes        []stroke
}

func (l soloLine) from() float64 { return l.strokes[0].on }
func (l soloLine) to() float64   { return l.strokes[len(l.strokes)-1].off }

// soloLines lists the solos: single lines, each alone on its manual for as long as its hand stays there, while
// another part plays on another manual.
func (c *Context) soloLines() []soloLine {
	var out []soloLine
	for _, line := range c.lines() {
		var l soloLine
		for _, x := range line {
			if d := c.Performance.Notes[x.notes[0]].Division; len(l.strokes) == 0 || d != l.division {
				if c.isSolo(l) {
					out = append(out, l)
				}
				l = soloLine{part: c.note(x.notes[0]).Part, division: d}
			}
			l.strokes = append(l.strokes, x)
		}
		if c.isSolo(l) {
			out = append(out, l)
		}
	}
	return out
}

func (c *Context) isSolo(l soloLine) bool {
	if len(l.strokes) < 4 || c.Organ.Divisions[l.division].Pedal {
		return false
	}
	single := 0
	for _, x := range l.strokes {
		if len(x.notes) == 1 {
			single++
		}
	}
	if float64(single) < singleShare*float64(len(l.strokes)) {
		return false
	}
	accompanied := false
	for _, n := range c.Performance.Notes {
		if n.Part == l.part || n.OffS <= l.from() || n.OnS >= l.to() {
			continue
		}
		if n.Division == l.division {
			return false
		}
		accompanied = accompanied || !c.Organ.Divisions[n.Division].Pedal
	}
	return accompanied
}

// accompanies reports whether the line is itself the broken-chord accompaniment: another solo of
// its time moves more slowly than it does.
func (l soloLine) accompanies(lines []soloLine) bool {
	for _, o := range lines {
		from, to := max(l.from(), o.from()), min(l.to(), o.to())
		if o.part != l.part && from < to && o.count(from, to) < l.count(from, to) {
			return true
		}
	}
	return false
}

// count is how many strokes begin in [from, to).
func (l soloLine) count(from, to float64) int {
	n := 0
	for _, x := range l.strokes {
		if x.on >= from && x.on < to {
			n++
		}
	}
	return n
}

// soloApartS is how far apart masked notes are two passages, s.
const soloApartS = 2

type soloist struct {
	c         *Context
	work      *hearing.Work
	sig, mask []float64
	rest      []float64 // of the mask, what the room has kept
	up        []float64
	others    []int32 // pipes that sound besides the note's
}

func newSoloist(c *Context) *soloist {
	n := c.Hearing.N()
	return &soloist{c: c, work: c.Hearing.NewWork(), sig: make([]float64, n), mask: make([]float64, n), rest: make([]float64, n), up: make([]float64, n)}
}

// masked is one note of the solo that is too soft.
type masked struct {
	stroke int
	share  float64 // of its loudness that is left to the mean ear
	most   float64 // and to a keen one
}

func (s *soloist) line(strokes []stroke) []Finding {
	c := s.c
	var out []Finding
	var run, beside []masked // notes that do not stand out, and all up to the last of them
	var since []masked       // and those after it
	flush := func() {
		if len(run) > 0 {
			if f, ok := s.finding(strokes, run, beside); ok {
				out = append(out, f)
			}
		}
		run, beside, since = nil, nil, nil
	}
	for i, x := range strokes {
		m, ok := s.note(x.notes[0])
		if !ok {
			continue
		}
		m.stroke = i
		if m.share >= c.Thresholds.SoloShare {
			since = append(since, m)
			continue
		}
		if len(run) > 0 && x.on-strokes[run[len(run)-1].stroke].off > soloApartS {
			flush()
		}
		if len(run) > 0 {
			beside = append(beside, since...)
		}
		run, beside, since = append(run, m), append(beside, m), nil
	}
	flush()
	return out
}

// mostLackingDB is how far a note's level is raised at most in search of what it lacks, dB.
const mostLackingDB = 40

// note is the share of its loudness that a solo note keeps; ok is false where nothing else sounds.
func (s *soloist) note(note int32) (m masked, ok bool) {
	c := s.c
	if len(c.Field.NoteEvents(int(note))) == 0 || s.beside(note, s.settled(note)) == 0 {
		return m, false
	}
	m.share = s.heard(0)
	m.most = m.share
	if m.share < c.Thresholds.SoloShare {
		left := math.Pow(10, -c.Thresholds.TwoEarsDB/10)
		for b, v := range s.rest {
			s.mask[b] += (left - 1) * v
		}
		part, alone := c.keen().Partial(s.sig, s.mask, s.work)
		m.most = max(m.share, hearing.PartialShare(part, alone))
	}
	return m, true
}

// settled is when a solo note is listened to, s on the seat's clock.
func (s *soloist) settled(note int32) float64 {
	n := s.c.Performance.Notes[note]
	return s.c.Field.Hall.HeardAt(n.Division, n.OnS) + min(0.5, (n.OffS-n.OnS)*0.7)
}

// heard is the share of its loudness that the note keeps if it is raised by so many dB.
func (s *soloist) heard(db float64) float64 {
	g := math.Pow(10, db/10)
	for b, v := range s.sig {
		s.up[b] = v * g
	}
	part, alone := s.c.Hearing.Partial(s.up, s.mask, s.work)
	if alone <= 0 {
		return 0
	}
	return min(1, part/alone)
}

// worst is the note of a run that keeps the smallest share, of those that keep as little the one that lacks most to keep
// solo_share, and how many dB that is.
func (s *soloist) worst(strokes []stroke, run []masked) (worst masked, lacks float64) {
	least := slices.MinFunc(run, func(a, b masked) int { return cmp.Compare(a.share, b.share) }).share
	lacks = -1
	for _, m := range run {
		if m.share > least {
			continue
		}
		note := strokes[m.stroke].notes[0]
		s.beside(note, s.settled(note))
		enough := func(db float64) bool { return s.heard(db) >= s.c.Thresholds.SoloShare }
		if lacks >= 0 && enough(lacks) {
			continue
		}
		if db := bisect(0, mostLackingDB, enough); db > lacks {
			worst, lacks = m, db
		}
	}
	return worst, lacks
}

// onsetOf is the onset that begins at key time t, -1 where there is none.
func (c *Context) onsetOf(t float64) int {
	on := c.Field.Onsets
	i := sort.Search(len(on), func(i int) bool { return t-on[i].KeyS < 0.03 })
	if i == len(on) || on[i].KeyS > t {
		return -1
	}
	return i
}

// soloUsual is the share of bars with a solo from which on it is not said how unusual a place is: it is not, and worth no note.
const soloUsual = 0.25

func (s *soloist) finding(strokes []stroke, run, beside []masked) (f Finding, ok bool) {
	c := s.c
	worst, lacks := s.worst(strokes, run)
	var notes []int32
	lost, mean, most := 0.0, 0.0, 0.0
	for _, m := range run {
		notes = append(notes, strokes[m.stroke].notes...)
		lost += (1 - m.share) * (strokes[m.stroke].off - strokes[m.stroke].on)
		mean += m.share / float64(len(run))
		most += m.most / float64(len(run))
	}
	passage := 0.0 // share of its loudness that the line keeps, its other notes with it
	for _, m := range beside {
		passage += m.share / float64(len(beside))
	}
	first, last := strokes[run[0].stroke], strokes[run[len(run)-1].stroke]
	d := c.Organ.Divisions[c.Performance.Notes[first.notes[0]].Division].Name
	sev := Warning
	_, rare := c.verdict(MeasureSolo, 1-worst.share, true, true)
	if most < c.Thresholds.SoloFailShare && rare <= c.Thresholds.RareFail {
		sev = Fail
	}
	switch {
	case passage >= c.Thresholds.SoloShare:
		sev = Notice // the line as a whole stands out, and carries its weak notes
	case c.louder(strokes, run) && most >= c.Thresholds.SoloShare && lacks <= stepDB:
		sev = Notice // it is marked up, keen ears have it, and a mark more mends the worst of it
	case len(run) < 3 && lacks <= c.Thresholds.TwoEarsDB:
		sev = Notice // two ears may make it up, and a line bridges a weak note
	case !c.intended(c.Performance.Notes[first.notes[0]].Part):
		sev = Notice // what is assumed condemns nobody
	}
	if sev == Notice && rare > soloUsual {
		return f, false
	}
	lacking := fmt.Sprintf("%.0f dB", math.Ceil(lacks))
	if lacks > mostLackingDB-0.1 {
		lacking = fmt.Sprintf("more than %d dB", mostLackingDB)
	}
	level := fmt.Sprintf("put the solo %s up, or the accompaniment as much down", steps(lacks))
	if lacks > 3*stepDB {
		level = "bring the accompaniment down by several dynamic marks: a louder solo stop alone does not make up so much"
	}
	f = Finding{AtS: first.on, UntilS: last.off, Division: d, Keys: c.keyNames(notes), Severity: sev,
		Count: len(run), Weight: lost, Notes: c.noteIDs(notes), Trace: s.trace(strokes[worst.stroke].notes[0]),
		Measured: map[string]float64{"heard_share": round(mean, 2), "heard_most_share": round(most, 2), "passage_share": round(passage, 2), "more_than_share": round(1-rare, 4), "worst_share": round(worst.share, 2),
			"lacks_db": round(lacks, 1), "notes": float64(len(run))}}
	rarely := ""
	if rare <= soloUsual {
		rarely = "; " + usual(rare, likeSolo)
	}
	f.Message = fmt.Sprintf("The solo on the %s does not stand out: %d of its notes keep on average %s of their loudness beside the accompaniment, and the worst lacks %s%s.",
		d, len(run), percents(mean, most), lacking, rarely)
	if len(run) == 1 {
		f.Message = fmt.Sprintf("One note of the solo on the %s does not stand out: it keeps %s of its loudness beside the accompaniment, and lacks %s%s.",
			d, percents(mean, most), lacking, rarely)
	}
	f.Try = []string{level,
		"give the solo a stop of another colour, a reed or a mutation", "move the accompaniment out of the solo's octave"}
	return f, true
}

// louder reports whether a solo is marked two marks and more louder than all that the hands play beside it on other manuals.
func (c *Context) louder(strokes []stroke, run []masked) bool {
	for _, m := range run {
		n := c.note(strokes[m.stroke].notes[0])
		for _, i := range c.soundingKeys(n.OnS, n.OffS) {
			if x := c.note(i); x.Division != n.Division && !c.Organ.Divisions[x.Division].Pedal && x.Dynamic+1 >= n.Dynamic {
				return false
			}
		}
	}
	return true
}

// trace is the level of a solo note against all else over its length.
func (s *soloist) trace(note int32) *Trace {
	c := s.c
	n := c.Performance.Notes[note]
	from := c.Field.Hall.HeardAt(n.Division, n.OnS)
	t := &Trace{FromS: from, StepS: max(c.Field.StepS, (n.OffS-n.OnS)/traceSteps), OldTag: "everything else", NewTag: "the solo"}
	for at := from; at < from+n.OffS-n.OnS; at += t.StepS {
		s.beside(note, at)
		part, alone := c.Hearing.Partial(s.sig, s.mask, s.work)
		t.NewDB = append(t.NewDB, float32(round(field.DB(s.sig), 2)))
		t.OldDB = append(t.OldDB, float32(round(field.DB(s.mask), 2)))
		t.Share = append(t.Share, float32(round(hearing.PartialShare(part, alone), 3)))
	}
	return t
}

// traceSteps is how many points the picture of a note has at the most.
const traceSteps = 60

// beside fills sig with the note alone and mask with all else that sounds at t: the other pipes, the residue (rest) and the background
// noise. It returns how many other pipes there are.
func (s *soloist) beside(note int32, t float64) int {
	c := s.c
	clear(s.sig)
	clear(s.mask)
	clear(s.rest)
	c.Field.Energy(s.sig, c.Field.NoteEvents(int(note)), t)
	s.others = c.Field.Sounding(s.others[:0], t)
	s.others = slices.DeleteFunc(s.others, func(e int32) bool { return c.Field.Events[e].Note == note })
	c.Field.Energy(s.mask, s.others, t)
	if o := c.onsetOf(c.Performance.Notes[note].OnS); o >= 0 {
		c.Field.ResidueAt(s.rest, &c.Field.Onsets[o], max(t, c.Field.Onsets[o].AtS))
	}
	for b, v := range c.Field.Noise {
		s.mask[b] += v + s.rest[b]
	}
	return len(s.others)
}
