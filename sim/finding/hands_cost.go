package finding

import (
	"slices"
)

// option is one way of sharing out with its own cost.
type option struct {
	right uint32
	cost  float64
}

// splits lists the cheapest ways of sharing out the held keys, whatever came before.
func (c *Context) splits(h *handed) []option {
	opts := []option{{}}
	for i := 0; i < len(h.notes); {
		d := c.note(h.notes[i]).Division
		j := i
		for j < len(h.notes) && c.note(h.notes[j]).Division == d {
			j++
		}
		var next []option
		for _, o := range opts {
			for cut := i; cut <= j; cut++ { // notes[cut:j] go to the right hand
				next = append(next, option{right: o.right | (1<<j - 1<<cut)})
			}
		}
		opts = next
		i = j
	}
	for i := range opts {
		opts[i].cost = c.holding(h, opts[i].right)
	}
	slices.SortStableFunc(opts, func(a, b option) int {
		switch {
		case a.cost < b.cost:
			return -1
		case a.cost > b.cost:
			return 1
		}
		return 0
	})
	return opts[:min(len(opts), sharings)]
}

// grip is what one hand holds.
type grip struct {
	keys     int
	low      int // on the manual with most of its keys
	high     int
	stretch  int // widest stretch, across manuals too, semitones
	manuals  int // bit d: it has keys on division d
	division int
}

func (c *Context) grip(h *handed, right uint32, hand int) grip {
	g := grip{division: -1, low: 999, high: -1}
	var count [8]int
	for i, n := range h.notes {
		if int(right>>i&1) != hand {
			continue
		}
		x := c.note(n)
		g.keys++
		g.low, g.high = min(g.low, x.Key), max(g.high, x.Key)
		g.manuals |= 1 << x.Division
		count[x.Division&7]++
	}
	for d, k := range count {
		if k > 0 && (g.division < 0 || k > count[g.division]) {
			g.division = d
		}
	}
	g.stretch = max(0, g.high-g.low)
	return g
}

func (g grip) bridges() bool { return g.manuals&(g.manuals-1) != 0 }

// holding is the cost of what the hands hold.
func (c *Context) holding(h *handed, right uint32) float64 {
	cost := 0.0
	var g [2]grip
	for hand := range g {
		g[hand] = c.grip(h, right, hand)
		x := &g[hand]
		if x.keys == 0 {
			continue
		}
		cost += float64(x.stretch*x.stretch) / 400
		if over := float64(x.stretch) - c.Thresholds.HandStretchSemitones; over > 0 {
			cost += 6 + 4*over
		}
		if over := x.keys - c.Thresholds.HandKeys; over > 0 {
			cost += 15 * float64(over)
		}
		if x.bridges() {
			cost += 8
			if x.keys > c.Thresholds.ThumbKeys {
				cost += 10
			}
		}
	}
	if g[0].keys > 0 && g[1].keys > 0 && g[0].low > g[1].high {
		cost += 0.5 // crossed hands on two manuals
	}
	// a hand that has a line to itself lies better in its own half
	for hand, side := range [2]float64{-1, 1} {
		if g[hand].keys > 0 {
			mid := float64(g[hand].low+g[hand].high)/2 - 62
			cost += float64(0.01 * max(0, -side*mid))
		}
	}
	return cost
}

// take goes from one sharing to the next moment's option.
func (c *Context) take(p *sharing, h *handed, before []handed, o option) sharing {
	s := sharing{right: o.right, cost: p.cost + o.cost, hands: p.hands}
	var cont [2]bool
	if len(before) > 0 {
		old := &before[len(before)-1]
		for i, n := range h.notes {
			if h.fresh>>i&1 != 0 {
				continue
			}
			k := slices.Index(old.notes, n)
			if k < 0 {
				continue
			}
			was, now := p.right>>k&1, o.right>>i&1
			if was != now {
				s.cost += 3 // a silent exchange
			} else {
				cont[now] = true
			}
		}
	}
	for hand := range 2 {
		low, high, div, off := 999, -1, -1, 0.0
		fresh := false
		for i, n := range h.notes {
			if int(o.right>>i&1) != hand {
				continue
			}
			x := c.note(n)
			low, high, div, off = min(low, x.Key), max(high, x.Key), x.Division, max(off, x.OffS)
			fresh = fresh || h.fresh>>i&1 != 0
		}
		if !fresh {
			continue
		}
		was := p.hands[hand]
		if was.division >= 0 && !cont[hand] {
			move := 0
			if was.high-was.low <= handSpan && high-low <= handSpan {
				move = max(0, high-handSpan-was.low, was.high-handSpan-low)
			} else {
				move = max(0, low-was.high, was.low-high)
			}
			other := was.division != div
			if move > 0 || other {
				s.needS[hand] = c.Thresholds.HandLeapS + float64(c.Thresholds.HandLeapSPerM*float64(move)*keyM)
				if other {
					s.needS[hand] = max(s.needS[hand], c.Thresholds.HandChangeS)
				}
				s.haveS[hand] = h.atS - was.onS - pressS
				s.leap[hand], s.moved[hand] = float64(move), other
				if s.haveS[hand] < s.needS[hand] {
					s.cost += 5 + 10*(s.needS[hand]-s.haveS[hand])/s.needS[hand]
				}
				s.cost += float64(float64(move) * 0.03)
				if other {
					s.cost += 0.3
				}
			}
		}
		s.hands[hand] = hull{div, low, high, h.atS, off}
	}
	return s
}

// handsOf is [Context.handOf] for one sharing out.
func (c *Context) handsOf(held []handed) []int8 {
	out := make([]int8, len(c.Performance.Notes))
	for i := range out {
		out[i] = -1
	}
	for _, h := range held {
		for i, n := range h.notes {
			if h.fresh>>i&1 != 0 {
				out[n] = int8(h.right >> i & 1)
			}
		}
	}
	return out
}
