package finding

import (
	"fmt"
	"math"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/weighting"
	"afterchord/voicing"
)

// LateSpeech finds notes let go before their pipes have come up to half their amplitude, and
// rhythms whose onsets, as the pipes speak them, are moved by much more than the just
// noticeable displacement (Friberg & Sundberg 1995).
func LateSpeech(c *Context) []Finding {
	var out []Finding
	l := latency{c: c, cache: map[speechKey]float64{}}
	for part := range c.Score.Parts {
		s := c.strokes(part)
		out = append(out, l.unspoken(s)...)
		out = append(out, l.bent(s)...)
	}
	return out
}

type speechKey struct {
	reg           voicing.Registration
	division, key int
}

type latency struct {
	c     *Context
	cache map[speechKey]float64
}

// speak is how long after its pallet opens a note has reached the share late_share of
// its amplitude, s: the pipes it opened together, each weighted by what the ear
// makes of its partials. It is negative where the note opened no pipe of its own.
func (l *latency) speak(note int32) float64 {
	c := l.c
	events := c.Field.NoteEvents(int(note))
	if len(events) == 0 {
		return -1
	}
	n := c.Performance.Notes[note]
	key := speechKey{c.Performance.RegistrationAt(n.OnS), n.Division, n.Key}
	if v, ok := l.cache[key]; ok {
		return v
	}
	type part struct{ power, dead, rise float64 }
	var parts []part
	total := 0.0
	for _, e := range events {
		p := c.Organ.Pipe(c.Field.Events[e].Pipe)
		for _, q := range p.Partials {
			w := q.Power * weighting.A(q.Hz)
			parts = append(parts, part{w, p.Speech.DeadS, q.RiseS})
			total += w
		}
	}
	goal := c.Thresholds.LateShare
	v := bisect(0, 4, func(t float64) bool {
		sum := 0.0
		for _, p := range parts {
			if t > p.dead {
				a := 1 - math.Exp(-(t-p.dead)/p.rise)
				sum += p.power * a * a
			}
		}
		return sum >= total*goal*goal
	})
	l.cache[key] = v
	return v
}

// unspoken are the notes let go too soon.
func (l *latency) unspoken(s []stroke) []Finding {
	c := l.c
	var out []Finding
	for _, x := range s {
		for _, n := range x.notes {
			p := c.Performance.Notes[n]
			held := p.OffS - p.OnS
			speak := l.speak(n)
			if speak < 0 || held >= speak {
				continue
			}
			d := c.Organ.Divisions[p.Division].Name
			out = append(out, Finding{AtS: p.OnS, UntilS: p.OffS, Division: d, Keys: c.keyNames([]int32{n}),
				Severity: Fail, Weight: held, Notes: c.noteIDs([]int32{n}),
				Measured: map[string]float64{"speak_ms": round(1000*speak, 0), "note_ms": round(1000*held, 0), "share_lost": 1},
				Message: fmt.Sprintf("%s on the %s is let go after %.0f ms, before its pipes have come up to half their strength (%.0f ms): it hardly sounds.",
					c.keyNames([]int32{n})[0], d, 1000*held, 1000*speak),
				Try: []string{fmt.Sprintf("hold it for at least a %s", NoteValue(2*speak, c.tempoAt(p.OnS))),
					"write it an octave higher, or draw stops that speak sooner (8 ft for 16 ft, a reed for a string)"}})
		}
	}
	return out
}

// bentS is the longest distance between two onsets over which an uneven rhythm is judged, s.
const bentS = 0.6

// bent are the stretches of a line whose rhythm the pipes bend.
func (l *latency) bent(s []stroke) []Finding {
	c := l.c
	var out []Finding
	var run []int
	worst, worstLimit := 0.0, 0.0
	flush := func() {
		if len(run) > 0 {
			out = append(out, l.bentFinding(s, run, worst, worstLimit))
		}
		run, worst = nil, 0
	}
	for i := 1; i < len(s); i++ {
		ioi := s[i].on - s[i-1].on
		a, b := l.speak(s[i-1].notes[0]), l.speak(s[i].notes[0])
		if ioi > bentS || a < 0 || b < 0 {
			continue
		}
		limit := c.Thresholds.LateShiftJND * hearing.JustNoticeableDisplacement(ioi)
		shift := b - a
		if math.Abs(shift) < limit {
			continue
		}
		if len(run) > 0 && i-run[len(run)-1] > 4 {
			flush()
		}
		run = append(run, i)
		if math.Abs(shift) > math.Abs(worst) {
			worst, worstLimit = shift, limit
		}
	}
	flush()
	return out
}

func (l *latency) bentFinding(s []stroke, run []int, worst, limit float64) Finding {
	c := l.c
	var notes []int32
	for _, i := range run {
		notes = append(notes, s[i].notes...)
	}
	first, last := s[run[0]-1], s[run[len(run)-1]]
	d := c.Organ.Divisions[c.Performance.Notes[first.notes[0]].Division].Name
	jnd := limit / c.Thresholds.LateShiftJND
	sev := Notice
	if math.Abs(worst) >= 2*limit && len(run) >= 2 {
		sev = Warning
	}
	way := "later"
	if worst < 0 {
		way = "sooner"
	}
	return Finding{AtS: first.on, UntilS: last.off, Division: d, Keys: c.keyNames(notes), Severity: sev,
		Count: len(run), Weight: math.Abs(worst) * float64(len(run)), Notes: c.noteIDs(notes),
		Measured: map[string]float64{"shift_ms": round(1000*math.Abs(worst), 0), "just_noticeable_ms": round(1000*jnd, 0), "places": float64(len(run))},
		Message: fmt.Sprintf("The %s does not speak evenly here: in %s a note comes up to %.0f ms %s than its neighbour, against about %.0f ms that a listener just notices.",
			d, countOf(len(run), "place"), 1000*math.Abs(worst), way, 1000*jnd),
		Try: []string{"keep the figure within a fifth, where pipes speak alike", "draw 8 ft stops alone for it", "play it with a little rubato against the pipes: early low notes"}}
}
