package finding

import (
	"fmt"
	"math"
	"sort"

	"afterchord/acoustics/hearing"
	"afterchord/sim/field"
)

// singleShare is the share of a part's onsets that must be single notes for it to be a line.
const singleShare = 0.95

// MaskedSolo finds the notes of a solo line, alone on its manual, that do not stand out from
// an accompaniment on another: less than solo_share of their loudness is left beside it.
func MaskedSolo(c *Context) []Finding {
	lines := c.soloLines()
	var out []Finding
	for _, l := range lines {
		if !l.accompanies(lines) {
			out = append(out, soloist{c: c, work: c.Hearing.NewWork()}.line(l.strokes)...)
		}
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
	for part := range c.Score.Parts {
		var l soloLine
		for _, x := range c.strokes(part) {
			if d := c.Performance.Notes[x.notes[0]].Division; len(l.strokes) == 0 || d != l.division {
				if c.isSolo(l) {
					out = append(out, l)
				}
				l = soloLine{part: part, division: d}
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
	c    *Context
	work *hearing.Work
}

// masked is one note of the solo that is too soft.
type masked struct {
	stroke int
	share  float64
	lacks  float64
}

func (s soloist) line(strokes []stroke) []Finding {
	c := s.c
	var out []Finding
	var run []masked
	for i, x := range strokes {
		share, lacks, ok := s.note(x.notes[0])
		if !ok || share >= c.Thresholds.SoloShare {
			continue
		}
		if len(run) > 0 && x.on-strokes[run[len(run)-1].stroke].off > soloApartS {
			out = append(out, s.finding(strokes, run))
			run = nil
		}
		run = append(run, masked{i, share, lacks})
	}
	if len(run) > 0 {
		out = append(out, s.finding(strokes, run))
	}
	return out
}

// mostLackingDB is how far a note's level is raised at most in search of what it lacks, dB.
const mostLackingDB = 40

// note is the share of its loudness that a solo note keeps, and how many dB it lacks to
// keep solo_share of it.
func (s soloist) note(note int32) (share, lacks float64, ok bool) {
	c := s.c
	n := c.Performance.Notes[note]
	if len(c.Field.NoteEvents(int(note))) == 0 {
		return 0, 0, false
	}
	t := c.Field.Hall.HeardAt(n.Division, n.OnS) + min(0.5, (n.OffS-n.OnS)*0.7)
	size := c.Hearing.N()
	sig, mask := make([]float64, size), make([]float64, size)
	if s.beside(sig, mask, note, t) == 0 {
		return 1, 0, false
	}
	heard := func(db float64) float64 {
		g := math.Pow(10, db/10)
		up := make([]float64, size)
		for b, v := range sig {
			up[b] = v * g
		}
		part, alone := c.Hearing.Partial(up, mask, s.work)
		if alone <= 0 {
			return 0
		}
		return min(1, part/alone)
	}
	share = heard(0)
	if share < c.Thresholds.SoloShare {
		lacks = bisect(0, mostLackingDB, func(db float64) bool { return heard(db) >= c.Thresholds.SoloShare })
	}
	return share, lacks, true
}

// intended reports whether the page says how loud a part is to be, or what to draw: a solo by intention. Two manuals at
// one assumed dynamic are none.
func (c *Context) intended(part int) bool {
	for _, p := range c.Performance.Passages {
		if p.Part == part && !p.Assumed {
			return true
		}
	}
	return c.Performance.Registered
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

func (s soloist) finding(strokes []stroke, run []masked) Finding {
	c := s.c
	worst := run[0]
	var notes []int32
	lost, mean := 0.0, 0.0
	for _, m := range run {
		if m.share < worst.share || m.share == worst.share && m.lacks > worst.lacks {
			worst = m
		}
		notes = append(notes, strokes[m.stroke].notes...)
		lost += (1 - m.share) * (strokes[m.stroke].off - strokes[m.stroke].on)
		mean += m.share / float64(len(run))
	}
	first, last := strokes[run[0].stroke], strokes[run[len(run)-1].stroke]
	d := c.Organ.Divisions[c.Performance.Notes[first.notes[0]].Division].Name
	sev := Warning
	if mean < c.Thresholds.SoloFailShare {
		sev = Fail
	}
	switch {
	case len(run) < 3 && worst.lacks <= c.Thresholds.TwoEarsDB:
		sev = Notice // two ears may make it up, and a line bridges a weak note
	case !c.intended(c.Performance.Notes[first.notes[0]].Part):
		sev = Notice // what is assumed condemns nobody
	}
	lacking := fmt.Sprintf("%.0f dB", math.Ceil(worst.lacks))
	if worst.lacks > mostLackingDB-0.1 {
		lacking = fmt.Sprintf("more than %d dB", mostLackingDB)
	}
	level := fmt.Sprintf("put the solo %s up, or the accompaniment as much down", steps(worst.lacks))
	if worst.lacks > 3*stepDB {
		level = "bring the accompaniment down by several dynamic marks: a louder solo stop alone does not make up so much"
	}
	f := Finding{AtS: first.on, UntilS: last.off, Division: d, Keys: c.keyNames(notes), Severity: sev,
		Count: len(run), Weight: lost, Notes: c.noteIDs(notes), Trace: s.trace(strokes[worst.stroke].notes[0]),
		Measured: map[string]float64{"heard_share": round(mean, 2), "worst_share": round(worst.share, 2),
			"lacks_db": round(worst.lacks, 1), "notes": float64(len(run))}}
	f.Message = fmt.Sprintf("The solo on the %s does not stand out: %d of its notes keep on average %.0f %% of their loudness beside the accompaniment, and the worst lacks %s.",
		d, len(run), 100*mean, lacking)
	if len(run) == 1 {
		f.Message = fmt.Sprintf("One note of the solo on the %s does not stand out: it keeps %.0f %% of its loudness beside the accompaniment, and lacks %s.",
			d, 100*mean, lacking)
	}
	f.Try = []string{level,
		"give the solo a stop of another colour, a reed or a mutation", "move the accompaniment out of the solo's octave"}
	return f
}

// trace is the level of a solo note against all else over its length.
func (s soloist) trace(note int32) *Trace {
	c := s.c
	n := c.Performance.Notes[note]
	from := c.Field.Hall.HeardAt(n.Division, n.OnS)
	t := &Trace{FromS: from, StepS: max(c.Field.StepS, (n.OffS-n.OnS)/traceSteps), OldTag: "everything else", NewTag: "the solo"}
	size := c.Hearing.N()
	sig, mask := make([]float64, size), make([]float64, size)
	for at := from; at < from+n.OffS-n.OnS; at += t.StepS {
		clear(sig)
		s.beside(sig, mask, note, at)
		part, alone := c.Hearing.Partial(sig, mask, s.work)
		t.NewDB = append(t.NewDB, float32(round(field.DB(sig), 2)))
		t.OldDB = append(t.OldDB, float32(round(field.DB(mask), 2)))
		t.Share = append(t.Share, float32(round(hearing.PartialShare(part, alone), 3)))
	}
	return t
}

// traceSteps is how many points the picture of a note has at the most.
const traceSteps = 60

// beside fills sig with the note alone and mask with all else that sounds at t: the other
// pipes, the residue and the background noise. It returns how many other pipes there are.
func (s soloist) beside(sig, mask []float64, note int32, t float64) int {
	c := s.c
	clear(mask)
	c.Field.Energy(sig, c.Field.NoteEvents(int(note)), t)
	others := 0
	for _, e := range c.Field.Sounding(nil, t) {
		if c.Field.Events[e].Note != note {
			c.Field.Energy(mask, []int32{e}, t)
			others++
		}
	}
	if o := c.onsetOf(c.Performance.Notes[note].OnS); o >= 0 {
		c.Field.ResidueAt(mask, &c.Field.Onsets[o], max(t, c.Field.Onsets[o].AtS))
	}
	for b, v := range c.Field.Noise {
		mask[b] += v
	}
	return others
}
