package smf

import (
	"fmt"
	"slices"

	"afterchord/sim/score"
)

// metreMap makes Metres and Bars from the time signatures of all tracks, from 0
// to at least end.
func (r *reader) metreMap(end score.Tick) error {
	sorted := slices.Clone(r.metres)
	slices.SortStableFunc(sorted, func(a, b metreEvent) int { return cmpTicks(a.tick, b.tick) })
	metres := []score.Metre{{At: 0, Beats: 4, Unit: 4}}
	for i, e := range sorted {
		at := score.Tick(e.tick) * r.source.scale
		if i+1 < len(sorted) && sorted[i+1].tick == e.tick {
			if r.remarkMetres && (sorted[i+1].beats != e.beats || sorted[i+1].unit != e.unit) {
				r.remark(at, -1, fmt.Sprintf("two time signatures at one place: %d/%d is left out", e.beats, e.unit))
			}
			continue
		}
		if at == 0 {
			metres[0] = score.Metre{At: 0, Beats: e.beats, Unit: e.unit}
			continue
		}
		if at >= end {
			break
		}
		metres = append(metres, score.Metre{At: at, Beats: e.beats, Unit: e.unit})
	}
	remarks, err := layBars(r.s, metres, end)
	if r.remarkMetres {
		if r.f.division&0x8000 == 0 && (len(sorted) == 0 || sorted[0].tick > 0) {
			r.remark(0, -1, "no time signature at the start: 4/4")
		}
		r.s.Remarks = append(r.s.Remarks, remarks...)
	}
	return err
}

// maxCutRemarks is how many cut bars are remarked on one by one.
const maxCutRemarks = 20

// layBars sets Metres and Bars. A change of metre inside a bar ends the bar there;
// a time signature that changes nothing is passed over where it stands on a bar
// line. Bar lines are exact: the k-th after a change is rounded down by itself,
// so bars whose length is no whole number of ticks do not drift.
func layBars(s *score.Score, metres []score.Metre, end score.Tick) (remarks []score.Remark, err error) {
	s.Metres, s.Bars = nil, nil
	cut, section := map[score.Tick]bool{}, 0 // section: the first bar of the metre in force
	for i, m := range metres {
		until := end
		if i+1 < len(metres) {
			until = metres[i+1].At
		}
		if i > 0 {
			last := s.Metres[len(s.Metres)-1]
			same := last.Beats == m.Beats && last.Unit == m.Unit
			if same && !cut[m.At] {
				m = last
			} else {
				s.Metres = append(s.Metres, m)
				section = len(s.Bars)
			}
		} else {
			s.Metres = append(s.Metres, m)
		}
		num, den := max(4*s.TicksPerCrotchet*score.Tick(m.Beats), score.Tick(m.Unit)), score.Tick(m.Unit)
		if more := (until - m.At) * den / num; more+score.Tick(len(s.Bars)) > maxBars+score.Tick(section) {
			return nil, tooManyBars(s, m, end)
		}
		for k := score.Tick(len(s.Bars) - section); ; k++ {
			start, stop := m.At+k*num/den, m.At+(k+1)*num/den
			if start >= until && !(until == 0 && k == 0) {
				break
			}
			if len(s.Bars) >= maxBars {
				return nil, tooManyBars(s, m, end)
			}
			if i+1 < len(metres) && stop > until {
				stop = until
				cut[until] = true
			}
			s.Bars = append(s.Bars, score.Bar{Start: start, Length: stop - start, Metre: m})
		}
	}
	pickup := findPickup(s)
	for i := range s.Bars {
		s.Bars[i].Number = i + 1
		if pickup {
			s.Bars[i].Number = i
		}
	}
	for _, m := range s.Metres {
		if cut[m.At] && !(pickup && m.At == s.Bars[1].Start) {
			if len(remarks) == maxCutRemarks {
				remarks = append(remarks, score.Remark{At: m.At, Part: -1, Text: "more time signatures stand inside bars from here on: each ends its bar"})
				break
			}
			b := s.Bars[s.BarAt(m.At-1)]
			remarks = append(remarks, score.Remark{At: m.At, Part: -1, Text: fmt.Sprintf("a time signature (%d/%d) stands inside bar %d: the bar ends there", m.Beats, m.Unit, b.Number)})
		}
	}
	return remarks, nil
}

func tooManyBars(s *score.Score, m score.Metre, end score.Tick) error {
	return fmt.Errorf("more than %d bars: %d/%d with %d ticks to the crotchet over %d ticks", maxBars, m.Beats, m.Unit, s.TicksPerCrotchet, end)
}

// findPickup tells whether the first bar is a pickup, and gives it the metre
// that it leads into.
func findPickup(s *score.Score) bool {
	if len(s.Bars) < 2 || len(s.Metres) < 2 || s.Metres[1].At != s.Bars[1].Start {
		return false
	}
	first, second := s.Metres[0], s.Metres[1]
	if s.Bars[0].Length >= s.BarTicks(second) {
		return false
	}
	if len(s.Metres) > 2 {
		third := s.Metres[2]
		alternates := third.Beats == first.Beats && third.Unit == first.Unit && third.At-second.At <= 2*s.BarTicks(second)
		same := first.Beats == second.Beats && first.Unit == second.Unit
		if alternates && !same {
			return false
		}
	}
	s.Bars[0].Metre = second
	return true
}
