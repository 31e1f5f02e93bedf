package finding

import (
	"fmt"
	"math"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/plural"
	"afterchord/acoustics/weighting"
	"afterchord/voicing"
)

// LateSpeech finds notes let go before their pipes have come up to half their amplitude, and
// rhythms whose onsets, as the pipes speak them, are moved by much more than the just
// noticeable displacement (Friberg & Sundberg 1995).
func LateSpeech(c *Context) []Finding {
	var out []Finding
	l := newLatency(c)
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

func newLatency(c *Context) *latency { return &latency{c: c, cache: map[speechKey]float64{}} }

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
			if speak < 0 || held >= speak || held < c.Thresholds.LateLeastS {
				continue
			}
			sev, rare := c.verdict(MeasureUnspoken, 1-held/speak, true, true)
			if sev == "" {
				continue
			}
			d := c.Organ.Divisions[p.Division].Name
			out = append(out, Finding{AtS: p.OnS, UntilS: p.OffS, Division: d, Keys: c.keyNames([]int32{n}),
				Severity: sev, Weight: held, Notes: c.noteIDs([]int32{n}),
				Measured: map[string]float64{"speak_ms": round(1000*speak, 0), "note_ms": round(1000*held, 0), "share_lost": 1, "more_than_share": round(1-rare, 4)},
				Message: fmt.Sprintf("%s on the %s is let go after %.0f ms, before its pipes have come up to half their strength (%.0f ms): it hardly sounds; %s.",
					c.keyNames([]int32{n})[0], d, 1000*held, 1000*speak, usual(rare, likeOrgan)),
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
			jnd := worstLimit / c.Thresholds.LateShiftJND
			// an uneven rhythm is still heard as a rhythm: never a fail
			if sev, rare := c.verdict(MeasureUneven, math.Abs(worst)/jnd, true, false); sev != "" {
				out = append(out, l.bentFinding(s, run, worst, worstLimit, sev, rare))
			}
		}
		run, worst, worstLimit = nil, 0, 0
	}
	for i := 1; i < len(s); i++ {
		shift, ioi, ok := l.shift(s, i)
		limit := c.Thresholds.LateShiftJND * hearing.JustNoticeableDisplacement(ioi)
		if !ok || math.Abs(shift) < limit {
			continue
		}
		if len(run) > 0 && s[i].on-s[run[len(run)-1]].on > c.Thresholds.RunTogetherS {
			flush()
		}
		run = append(run, i)
		if worstLimit == 0 || math.Abs(shift)/limit > math.Abs(worst)/worstLimit {
			worst, worstLimit = shift, limit
		}
	}
	flush()
	return out
}

// shift is how much later stroke i speaks than the one before it, s, and the time between their onsets; ok is false where the two
// are not heard as a rhythm.
func (l *latency) shift(s []stroke, i int) (shift, ioi float64, ok bool) {
	ioi = s[i].on - s[i-1].on
	if ioi > bentS || ioi < l.c.Thresholds.LateLeastS || s[i].off-s[i].on < l.c.Thresholds.LateLeastS {
		return 0, ioi, false
	}
	a, b := l.speak(s[i-1].notes[0]), l.speak(s[i].notes[0])
	return b - a, ioi, a >= 0 && b >= 0
}

func (l *latency) bentFinding(s []stroke, run []int, worst, limit float64, sev Severity, rare float64) Finding {
	c := l.c
	var notes []int32
	for _, i := range run {
		notes = append(notes, s[i].notes...)
	}
	first, last := s[run[0]-1], s[run[len(run)-1]]
	d := c.Organ.Divisions[c.Performance.Notes[first.notes[0]].Division].Name
	jnd := limit / c.Thresholds.LateShiftJND
	way := "later"
	if worst < 0 {
		way = "sooner"
	}
	return Finding{AtS: first.on, UntilS: last.off, Division: d, Keys: c.keyNames(notes), Severity: sev,
		Count: 1, Weight: math.Abs(worst) * float64(len(run)), Notes: c.noteIDs(notes),
		Measured: map[string]float64{"shift_ms": round(1000*math.Abs(worst), 0), "just_noticeable_ms": round(1000*jnd, 0), "places": float64(len(run)), "more_than_share": round(1-rare, 4)},
		Message: fmt.Sprintf("The %s does not speak evenly here: in %s a note comes up to %.0f ms %s than its neighbour, against about %.0f ms that a listener just notices; %s.",
			d, plural.Count(len(run), "place"), 1000*math.Abs(worst), way, 1000*jnd, usual(rare, likeOrgan)),
		Try: []string{"keep the figure within a fifth, where pipes speak alike", "draw 8 ft stops alone for it", "play it with a little rubato against the pipes: early low notes"}}
}
