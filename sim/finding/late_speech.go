package finding

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/plural"
	"afterchord/acoustics/weighting"
	"afterchord/sim/field"
	"afterchord/voicing"
)

// LateSpeech finds notes let go before their pipes are heard to begin, and rhythms whose onsets, as the pipes speak them, are moved by
// more than a listener notices: the just noticeable displacement in an even sequence (Friberg & Sundberg 1995), and no less
// than is noticed in a melody (Clarke 1989). A note is heard to begin 15 to 6 dB below its full level
// (Vos & Rasch 1981); both ends are looked at.
func LateSpeech(c *Context) []Finding {
	var out []Finding
	l := newLatency(c)
	for _, s := range c.lines() {
		out = append(out, l.unspoken(s)...)
		out = append(out, l.bent(s)...)
	}
	return out
}

type speechKey struct {
	reg           voicing.Registration
	division, key int
	share         float64
}

type latency struct {
	c     *Context
	cache map[speechKey]float64
	pipes field.Speaking // scratch
}

func newLatency(c *Context) *latency { return &latency{c: c, cache: map[speechKey]float64{}} }

// speak is how long after its pallet opens a note has reached a share of its amplitude, s: the pipes it opened together, each
// weighted by what the ear makes of its partials. It is negative where the note opened no pipe of its own.
func (l *latency) speak(note int32, share float64) float64 {
	c := l.c
	events := c.Field.NoteEvents(int(note))
	if len(events) == 0 {
		return -1
	}
	n := c.Performance.Notes[note]
	key := speechKey{c.Performance.RegistrationAt(n.OnS), n.Division, n.Key, share}
	if v, ok := l.cache[key]; ok {
		return v
	}
	v := field.Recall(c.Field.Hall, "speaks", func(f *field.Figures) {
		f.Float(share)
		for _, e := range events {
			p := c.Field.Events[e].Pipe
			f.Int(int(p.Division), int(p.Stop), int(p.Rank), int(p.Key))
		}
	}, func() float64 { return l.reaches(events, share) })
	l.cache[key] = v
	return v
}

// reaches is how long the pipes of events take to reach a share of their amplitude together, s.
func (l *latency) reaches(events []int32, share float64) float64 {
	c := l.c
	l.pipes.Clear()
	total, latest, times := 0.0, 0.0, -math.Log1p(-share) // time constants
	for _, e := range events {
		p := c.Organ.Pipe(c.Field.Events[e].Pipe)
		l.pipes.Pipe(p.Speech.DeadS)
		for i := range p.Partials {
			q := &p.Partials[i]
			w := q.Power * weighting.A(q.Hz)
			l.pipes.Partial(w, q.RiseS)
			total += w
			latest += w * (p.Speech.DeadS + q.RiseS*times)
		}
	}
	return crossing(0, 4, latest/total, total*share*share, l.pipes.At)
}

// begins is how long after its pallets open a stroke has reached a share of the amplitude of the note that speaks soonest, s: a chord is
// heard to begin with its quickest pipes. It is negative where no note opened a pipe of its own.
func (l *latency) begins(x stroke, share float64) float64 {
	soonest := -1.0
	for _, n := range x.notes {
		if v := l.speak(n, share); v >= 0 && (soonest < 0 || v < soonest) {
			soonest = v
		}
	}
	return soonest
}

// unspoken are the notes let go too soon.
func (l *latency) unspoken(s []stroke) []Finding {
	c := l.c
	var out []Finding
	for _, x := range s {
		for _, n := range x.notes {
			p := c.Performance.Notes[n]
			held := p.OffS - p.OnS
			speak, soonest := l.speak(n, c.Thresholds.LateShare), l.speak(n, c.Thresholds.LateKeenShare)
			if speak < 0 || held >= speak || held < c.Thresholds.LateLeastS {
				continue
			}
			sev, rare := c.verdict(MeasureUnspoken, 1-held/speak, true, held < soonest)
			if sev == "" {
				continue
			}
			d := c.Organ.Divisions[p.Division].Name
			out = append(out, Finding{AtS: p.OnS, UntilS: p.OffS, Division: d, Keys: c.keyNames([]int32{n}),
				Severity: sev, Weight: held, Notes: c.noteIDs([]int32{n}),
				Measured: map[string]float64{"speak_ms": round(1000*speak, 0), "speak_least_ms": round(1000*soonest, 0), "note_ms": round(1000*held, 0), "share_lost": 1, "more_than_share": round(1-rare, 4)},
				Message: fmt.Sprintf("%s on the %s is let go after %.0f ms, before a listener hears its pipes begin (%.0f to %.0f ms): it hardly sounds; %s.",
					c.keyNames([]int32{n})[0], d, 1000*held, 1000*soonest, 1000*speak, usual(rare, likeOrgan)),
				Try: []string{fmt.Sprintf("hold it for at least a %s", NoteValue(2*speak, c.tempoAt(p.OnS))),
					"write it an octave higher, or draw stops that speak sooner (8 ft for 16 ft, a reed for a string)"}})
		}
	}
	return out
}

// bentS is the longest distance between two onsets over which an uneven rhythm is judged, s.
const bentS = 0.6

// bend is how much later one stroke speaks than the one before it, and what a listener would just notice, s.
type bend struct {
	i     int
	shift float64 // at half the amplitude
	least float64 // the lesser of that and what keen ears hear
	just  float64
}

// times is the bend in just noticeable ones.
func (b bend) times() float64 { return math.Abs(b.shift) / b.just }

// bent are the stretches of a line whose rhythm the pipes bend.
func (l *latency) bent(s []stroke) []Finding {
	c := l.c
	var out []Finding
	var run []bend
	flush := func() {
		if len(run) > 0 {
			worst := slices.MaxFunc(run, func(a, b bend) int { return cmp.Compare(a.times(), b.times()) })
			// an uneven rhythm is still heard as a rhythm: never a fail
			if sev, rare := c.verdict(MeasureUneven, worst.times(), worst.least >= worst.just, false); sev != "" {
				if worst.least < c.Thresholds.LateWarnS {
					sev = Notice // no more than players' time wavers
				}
				out = append(out, l.bentFinding(s, run, worst, sev, rare))
			}
		}
		run = nil
	}
	for i := 1; i < len(s); i++ {
		b, ok := l.bend(s, i)
		if !ok || b.times() < c.Thresholds.LateShiftJND {
			continue
		}
		if len(run) > 0 && s[i].on-s[run[len(run)-1].i].on > c.Thresholds.RunTogetherS {
			flush()
		}
		run = append(run, b)
	}
	flush()
	return out
}

// bend measures stroke i against the one before it; ok is false where the two are not heard as a rhythm.
func (l *latency) bend(s []stroke, i int) (b bend, ok bool) {
	t := &l.c.Thresholds
	ioi := s[i].on - s[i-1].on
	if ioi > bentS || ioi < t.LateLeastS || s[i].off-s[i].on < t.LateLeastS {
		return b, false
	}
	before, after := l.begins(s[i-1], t.LateShare), l.begins(s[i], t.LateShare)
	if before < 0 || after < 0 {
		return b, false
	}
	keen := l.begins(s[i], t.LateKeenShare) - l.begins(s[i-1], t.LateKeenShare)
	b = bend{i: i, shift: after - before, just: max(t.LateOnsetS, hearing.JustNoticeableDisplacement(ioi))}
	if keen*b.shift > 0 {
		b.least = min(math.Abs(keen), math.Abs(b.shift))
	}
	return b, true
}

func (l *latency) bentFinding(s []stroke, run []bend, worst bend, sev Severity, rare float64) Finding {
	c := l.c
	var notes []int32
	for _, b := range run {
		notes = append(notes, s[b.i].notes...)
	}
	first, last := s[run[0].i-1], s[run[len(run)-1].i]
	d := c.Organ.Divisions[c.Performance.Notes[first.notes[0]].Division].Name
	way := "later"
	if worst.shift < 0 {
		way = "sooner"
	}
	most, least := 1000*math.Abs(worst.shift), 1000*worst.least
	return Finding{AtS: first.on, UntilS: last.off, Division: d, Keys: c.keyNames(notes), Severity: sev,
		Count: 1, Weight: math.Abs(worst.shift) * float64(len(run)), Notes: c.noteIDs(notes),
		Measured: map[string]float64{"shift_ms": round(most, 0), "shift_least_ms": round(least, 0), "just_noticeable_ms": round(1000*worst.just, 0),
			"places": float64(len(run)), "more_than_share": round(1-rare, 4)},
		Message: fmt.Sprintf("The %s does not speak evenly here: in %s a note comes up to %.0f ms %s than its neighbour (%.0f ms to ears that hear it begin sooner), against about %.0f ms that a listener just notices; %s.",
			d, plural.Count(len(run), "place"), most, way, least, 1000*worst.just, usual(rare, likeOrgan)),
		Try: []string{"keep the figure within a fifth, where pipes speak alike", "draw 8 ft stops alone for it", "play it with a little rubato against the pipes: early low notes"}}
}
