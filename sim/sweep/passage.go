package sweep

import (
	"math"
	"slices"

	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

// PassageLine says what one passage stands on one organ.
type PassageLine struct {
	Organ   string `json:"organ"`
	FromBar int    `json:"from_bar"`
	ToBar   int    `json:"to_bar"`
	// MostReverberant is the room with the longest reverberation in which the passage has no fail at the
	// tempo nearest the written one; empty where it fails in all.
	MostReverberant string    `json:"most_reverberant"`
	RTS             float64   `json:"rt_s"`
	Fastest         []float64 `json:"fastest_crotchets"` // by room: the quickest tempo without a fail; 0 where none
}

// passage is a stretch of bars judged for itself.
type passage struct{ from, to int }

// longestBars is where a passage without a change of dynamics is cut all the same.
const longestBars = 16

// passagesOf cuts the piece at changes of dynamics and at markers, on bar lines, and every 16 bars.
func passagesOf(in proof.Input) []passage {
	s := in.Score
	cuts := map[int]bool{}
	mark := func(t score.Tick) {
		if t > 0 && t < s.End {
			cuts[s.BarAt(t)] = true
		}
	}
	if perf, err := performance.Build(s, in.Organ, in.Player); err == nil {
		for _, p := range perf.Passages {
			mark(p.From)
		}
	}
	for _, w := range s.Words {
		if w.Kind == score.Marker {
			mark(w.At)
		}
	}
	var out []passage
	first := 0
	for i := range s.Bars {
		last := i+1 >= len(s.Bars) || s.Bars[i+1].Start >= s.End
		if last || cuts[i+1] || i+1-first >= longestBars {
			out = append(out, passage{s.Bars[first].Number, s.Bars[i].Number})
			first = i + 1
		}
		if last {
			break
		}
	}
	return out
}

// passage concludes what a passage stands on one organ.
func (r *Result) passage(organ, i int, q passage) PassageLine {
	l := PassageLine{Organ: r.Organs[organ], FromBar: q.from, ToBar: q.to}
	written := 0
	for t, f := range r.Tempi {
		if math.Abs(math.Log(f)) < math.Abs(math.Log(r.Tempi[written])) {
			written = t
		}
	}
	rooms := make([]int, len(r.Rooms))
	for k := range rooms {
		rooms[k] = k
	}
	slices.SortStableFunc(rooms, func(a, b int) int {
		switch {
		case r.Rooms[a].RTS < r.Rooms[b].RTS:
			return -1
		case r.Rooms[a].RTS > r.Rooms[b].RTS:
			return 1
		}
		return 0
	})
	for _, k := range rooms {
		if r.at(organ, k, written).passages[i].survives {
			l.MostReverberant, l.RTS = r.Rooms[k].Name, r.Rooms[k].RTS
		}
	}
	for k := range r.Rooms {
		l.Fastest = append(l.Fastest, r.fastest(organ, k, func(c *Cell) bool { return c.passages[i].survives }))
	}
	return l
}
