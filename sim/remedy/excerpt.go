package remedy

import (
	"fmt"
	"slices"

	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// Excerpts are proved in place of the piece where the piece is longer than this, s: shorter
// ones are judged whole.
const excerptFromS = 20

// leadS is how much of the reverberation time is played before the passage, and restS how
// much after it, so that what rings into it and out of it is there.
const (
	leadOfRT = 1.0
	leadS    = 2.0
	restS    = 3.0
)

// around is the stretch to play so that a finding can be judged: whole bars.
func around(in proof.Input, f finding.Finding) (from, to score.Tick) {
	s := in.Score
	factor := in.Tempo
	if factor == 0 {
		factor = 1
	}
	from, to = span(s, f)
	if s.Seconds(s.End)/factor <= excerptFromS {
		return 0, s.End
	}
	lead := (leadS + leadOfRT*in.Room.RT(500)) * factor
	from = s.Bars[s.BarAt(max(0, s.TickAt(s.Seconds(from)-lead)))].Start
	last := s.Bars[s.BarAt(s.TickAt(s.Seconds(to)+restS*factor))]
	to = min(last.Start+last.Length, max(s.End, to))
	return from, to
}

// played is a score and who plays what of it.
type played struct {
	score *score.Score
	perf  *performance.Performance
}

func play(in proof.Input) (played, error) {
	perf, err := performance.Build(in.Score, in.Organ, in.Player)
	return played{in.Score, perf}, err
}

// excerpt is the input with the score cut down to [from, to): bars keep their numbers and notes
// their IDs; who plays what, dynamics and stops are those of the whole piece, which is worked out where it is not known.
func excerpt(in proof.Input, known played, from, to score.Tick) (proof.Input, error) {
	s := in.Score
	if from <= 0 && to >= s.End {
		return in, nil
	}
	if known.score != s {
		var err error
		if known, err = play(in); err != nil {
			return in, err
		}
	}
	perf := known.perf
	c := &score.Score{Title: s.Title, File: s.File, Format: s.Format, TicksPerCrotchet: s.TicksPerCrotchet, Parts: s.Parts}
	for _, n := range s.Notes {
		if n.On < to && n.Off > from {
			n.On, n.Off = max(0, n.On-from), n.Off-from
			c.Notes = append(c.Notes, n)
			c.End = max(c.End, n.Off)
		}
	}
	c.Tempos = []score.Tempo{{At: 0, Crotchets: s.TempoAt(from)}}
	for _, t := range s.Tempos {
		if t.At > from && t.At < to {
			c.Tempos = append(c.Tempos, score.Tempo{At: t.At - from, Crotchets: t.Crotchets})
		}
	}
	first := s.BarAt(from)
	for _, b := range s.Bars[first:] {
		b.Start -= from
		c.Bars = append(c.Bars, b)
		if b.Start+b.Length >= c.End && b.Start+b.Length >= to-from {
			break
		}
	}
	c.Metres = []score.Metre{{At: 0, Beats: c.Bars[0].Metre.Beats, Unit: c.Bars[0].Metre.Unit}}
	for _, m := range s.Metres {
		if m.At > from && m.At < to {
			m.At -= from
			c.Metres = append(c.Metres, m)
		}
	}
	on := manuals(s, perf, from, to)
	c.Words = words(s, perf, from, to)
	for part, divisions := range on {
		if len(divisions) > 1 { // the hand begins here and goes where the words of the stretch say
			c.Words = append(c.Words, score.Word{Part: part, Kind: score.Direction, Text: in.Organ.Divisions[divisions[0]].Name})
		}
	}
	slices.SortStableFunc(c.Words, func(a, b score.Word) int { return int(a.At - b.At) })
	for _, x := range s.Controls {
		if x.At < to {
			x.At = max(0, x.At-from)
			c.Controls = append(c.Controls, x)
		}
	}
	c.SortNotes()
	c.Index()
	in.Score = c
	in.Player = player(in, on, c.Bars[0].Number)
	return in, nil
}

// words are those of the stretch, earlier words that may be stops, and the dynamics as marks.
func words(s *score.Score, perf *performance.Performance, from, to score.Tick) []score.Word {
	var out []score.Word
	for _, p := range perf.Passages {
		if p.From < to && p.To > from {
			out = append(out, score.Word{At: max(0, p.From-from), Part: p.Part, Kind: score.Mark, Text: p.Dynamic.String()})
		}
	}
	for _, w := range s.Words {
		switch {
		case w.At >= to || w.Kind == score.Mark || w.Kind == score.Hairpin && w.At < from:
			continue
		}
		w.At = max(0, w.At-from)
		out = append(out, w)
	}
	return out
}

// manuals lists the divisions on which each part plays in the stretch, in that order; of a part that does not play
// there, the one that it begins on.
func manuals(s *score.Score, perf *performance.Performance, from, to score.Tick) [][]int {
	out := make([][]int, len(perf.Assignments))
	for _, n := range perf.Notes {
		if x := s.Notes[n.Score]; x.On < to && x.Off > from && !slices.Contains(out[n.Part], n.Division) {
			out[n.Part] = append(out[n.Part], n.Division)
		}
	}
	for i, a := range perf.Assignments {
		if len(out[i]) == 0 {
			out[i] = []int{a.Division}
		}
	}
	return out
}

// player names the division of every part that stays on one, and brings earlier lines of a stops file to the first bar.
func player(in proof.Input, on [][]int, first int) performance.Options {
	opt := performance.Options{Assign: map[string]string{}, Stops: append([]voicing.StopsLine(nil), in.Player.Stops...)}
	for part, divisions := range on {
		if len(divisions) == 1 {
			opt.Assign[fmt.Sprintf("Part %d", part+1)] = in.Organ.Divisions[divisions[0]].Name
		}
	}
	for i := range opt.Stops {
		if opt.Stops[i].Bar < first {
			opt.Stops[i].Bar, opt.Stops[i].Beat = first, 1
		}
	}
	return opt
}
