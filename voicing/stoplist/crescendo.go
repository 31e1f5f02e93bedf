package stoplist

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"sort"
	"strings"

	"afterchord/voicing"
)

// mostWorse is how much less even a plan may become by a coupler, phon².
const mostWorse = 1.0

// marksOf are the marks of a plan that has so many.
var marksOf = [][]string{nil, {"mf"}, {"p", "f"}, {"p", "mf", "f"}, {"p", "mf", "f", "ff"}, {"pp", "p", "mf", "f", "ff"}, {"pp", "p", "mp", "mf", "f", "ff"}, {"ppp", "pp", "p", "mp", "mf", "f", "ff"}, {"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"}}

// stage is when an organist adds a stop in a crescendo: soft eight-foot stops, flutes, foundations, octaves, mixtures, reeds
// (common practice); ok is false for stops that do not belong to it: celestes, solo stops, tierces.
func stage(s *Stop, pedal bool) (n int, ok bool) {
	k := s.Kind
	unison := s.Feet == 8 || pedal && s.Feet == 16
	switch {
	case k.Celeste || k.Name == "Vox Humana" || k.Compound == "tierce" || k.Compound == "cornet" || s.LowKey >= 60 && s.HighKey == 0 && false:
		return 0, false
	case k.Compound != "":
		if s.Feet <= 1 {
			return 9, true
		}
		return 8, true
	case k.Family == voicing.Reed:
		switch {
		case k.Name == "Oboe" || k.Name == "English Horn":
			return 7, true
		case k.Name == "Tuba":
			return 13, true
		case s.Feet == 32:
			return 12, true
		case k.Construction == voicing.HalfLength:
			return 9, true
		case unison:
			return 10, true
		}
		return 11, true
	case s.Feet == 32:
		return 7, true
	case !octaveOf(s.Feet):
		return 6, k.Family == voicing.Principal && s.Feet < 5 && !pedal
	case s.Feet == 16 && !pedal:
		return 7, true
	case unison && (k.Soft || k.Construction == voicing.Stopped):
		return 0, true
	case pedal && s.Feet == 8 && k.Family == voicing.Flute:
		return 1, true
	case unison && k.Family == voicing.Flute:
		return 1, true
	case unison && k.Family == voicing.String:
		return 2, true
	case k.Family == voicing.Flute && s.Feet == 4:
		return 2, true
	case unison && k.Name == "Second Diapason":
		return 3, true
	case unison:
		return 4, true
	case pedal && s.Feet == 8:
		return 4, true
	case s.Feet == 4:
		return 5, true
	}
	return 6, true
}

func octaveOf(feet float64) bool {
	x := math.Log2(feet)
	return math.Abs(x-math.Round(x)) < 0.01
}

// planned is the plan of one division: its marks, and the names of what each draws beyond the mark before.
type planned struct {
	marks []string
	adds  [][]string
}

// addCouplers puts the couplers into plans where they keep the steps from mark to mark most even.
func addCouplers(l *List, o *voicing.Organ, plans []planned) {
	t := &trial{o: o, plans: plans, phons: map[voicing.Registration]float64{}}
	for c := range o.Couplers {
		cp := &o.Couplers[c]
		p := &plans[cp.From]
		if cp.Shift != 0 || cp.Fixed || len(p.marks) == 0 || cp.From == cp.To {
			continue
		}
		best, at := t.unevenness(cp.From)+mostWorse, -1 // a coupler that would make a leap of a step is left to the player
		first := max(0, slices.Index(p.marks, "mf"))
		if o.Divisions[cp.From].Pedal && l.Divisions[cp.To].Enclosed {
			first = min(first, 1)
		}
		try := func(i int, gain float64) {
			p.adds[i] = append(p.adds[i], cp.Name)
			if x := t.unevenness(cp.From); x < best-gain {
				best, at = x, i
			}
			p.adds[i] = p.adds[i][:len(p.adds[i])-1]
		}
		for i := first; i < len(p.marks); i++ {
			try(i, 1e-9)
		}
		if o.Divisions[cp.From].Pedal && l.Divisions[cp.To].Enclosed && first > 0 { // nothing between the Subbass and the rest: the Swell is coupled from the softest mark on
			try(0, mostWorse)
		}
		if at >= 0 {
			p.adds[at] = append(p.adds[at], cp.Name)
		}
	}
}

// trial works out how even a plan is before it is written.
type trial struct {
	o     *voicing.Organ
	plans []planned
	phons map[voicing.Registration]float64
}

// draws is what the plan of division d draws at a mark, by the rule of [voicing.Organ.Plan].
func (t *trial) draws(d int, mark string) (r voicing.Registration) {
	p := &t.plans[d]
	want, nearest := slices.Index(voicing.Marks(), mark), -1
	for i, m := range p.marks {
		at := slices.Index(voicing.Marks(), m)
		if nearest < 0 || distance(at, want) < distance(slices.Index(voicing.Marks(), p.marks[nearest]), want) {
			nearest = i
		}
	}
	for i := 0; i <= nearest; i++ {
		for _, name := range p.adds[i] {
			for s := range t.o.Divisions[d].Stops {
				if t.o.Divisions[d].Stops[s].Name == name {
					r.Stops[d] |= 1 << s
				}
			}
			for c := range t.o.Couplers {
				if t.o.Couplers[c].Name == name && t.o.Couplers[c].From == d {
					r.Couplers |= 1 << c
				}
			}
		}
	}
	return r
}

func distance(a, b int) int { return max(a-b, b-a) }

// unevenness adds up how far the steps of division d are from what players expect.
func (t *trial) unevenness(d int) float64 {
	sum, last := 0.0, 0.0
	for i, m := range t.plans[d].marks {
		r := t.draws(d, m)
		for c := range t.o.Couplers {
			if to := t.o.Couplers[c].To; r.Couplers>>c&1 != 0 && to != d {
				r.Stops[to] |= t.draws(to, m).Stops[to]
			}
		}
		phon, known := t.phons[r]
		if !known {
			phon = t.o.Sound(r, d, t.o.FullChordKeys(d)).Phon()
			t.phons[r] = phon
		}
		if i > 0 {
			sum += unevenness(phon - last)
		}
		last = phon
	}
	return sum
}

// unevenness is how far a step, phon, is from what players expect, squared.
func unevenness(step float64) float64 {
	switch {
	case step < voicing.SmallestStep:
		return (voicing.SmallestStep - step) * (voicing.SmallestStep - step)
	case step > voicing.LargestStep:
		return (step - voicing.LargestStep) * (step - voicing.LargestStep)
	}
	return 0
}

// chorus is the plan of division d from its own stops in the order in which an organist adds them, cut into marks so that the
// steps are as even as they can be; trims is by how much each stop is then regulated, dB, as a voicer does.
func (l *List) chorus(o *voicing.Organ, d int) (p planned, trims []float64) {
	type entry struct {
		stop, stage int
		phon        float64
	}
	div := &l.Divisions[d]
	var order, rest []entry
	keys := o.FullChordKeys(d)
	for s := range o.Divisions[d].Stops {
		var r voicing.Registration
		r.Stops[d] = 1 << s
		e := entry{stop: s, phon: o.Sound(r, d, keys).Phon()}
		n, ok := stage(&div.Stops[s], div.Pedal)
		e.stage = n
		switch {
		case e.phon == 0:
		case ok:
			order = append(order, e)
		default:
			rest = append(rest, e)
		}
	}
	if len(order) == 0 {
		order = rest
	}
	if len(order) == 0 {
		return planned{}, nil
	}
	sort.SliceStable(order, func(i, j int) bool {
		if order[i].stage != order[j].stage {
			return order[i].stage < order[j].stage
		}
		return order[i].phon < order[j].phon
	})
	// the loudness of the first n stops together
	phon := make([]float64, len(order))
	var r voicing.Registration
	for i, e := range order {
		r.Stops[d] |= 1 << e.stop
		phon[i] = o.Sound(r, d, keys).Phon()
	}
	cuts := evenCuts(phon)
	p.marks = marksOf[len(cuts)]
	trims = make([]float64, len(o.Divisions[d].Stops))
	added := make([]voicing.Sound, len(cuts)) // of each mark's own stops
	from := 0
	for i, to := range cuts {
		var own voicing.Registration
		for _, e := range order[from : to+1] {
			own.Stops[d] |= 1 << e.stop
		}
		added[i] = o.Sound(own, d, keys)
		from = to + 1
	}
	from = 0
	for i, trim := range regulation(added) {
		var adds []string
		for _, e := range order[from : cuts[i]+1] {
			trims[e.stop] = trim
			adds = append(adds, o.Divisions[d].Stops[e.stop].Name)
		}
		p.adds = append(p.adds, adds)
		from = cuts[i] + 1
	}
	return p, trims
}

// mostTrim is the most that a stop is regulated by for an even crescendo, dB.
const mostTrim = 3.0

// regulation is by how much the stops of each mark have to be trimmed so that the steps are even, dB: at most 3 dB up or down, and as
// little as does it; added is the sound that they add.
func regulation(added []voicing.Sound) []float64 {
	const most, fine, inside = mostTrim, 0.5, 0.3
	type way struct {
		sound      voicing.Sound
		phon, cost float64
		trims      []float64
	}
	ways := []way{{sound: make(voicing.Sound, len(added[0]))}}
	for i, a := range added {
		best := map[int]way{} // by the loudness reached, in halves of a phon
		for _, w := range ways {
			for trim := -most; trim <= most; trim += fine {
				next := way{sound: slices.Clone(w.sound), cost: w.cost + 0.02*trim*trim}
				gain := math.Pow(10, trim/10)
				for b, x := range a {
					next.sound[b] += x * gain
				}
				next.phon = next.sound.Phon()
				if i > 0 {
					step := next.phon - w.phon
					next.cost += math.Pow(math.Max(0, voicing.SmallestStep+inside-step), 2) + math.Pow(math.Max(0, step-voicing.LargestStep+inside), 2)
				}
				at := int(math.Round(2 * next.phon))
				if known, ok := best[at]; !ok || next.cost < known.cost {
					next.trims = append(slices.Clone(w.trims), trim)
					best[at] = next
				}
			}
		}
		ways = ways[:0]
		for _, at := range slices.Sorted(maps.Keys(best)) {
			ways = append(ways, best[at])
		}
	}
	return slices.MinFunc(ways, func(a, b way) int { return cmp.Compare(a.cost, b.cost) }).trims
}

// evenCuts chooses where the marks of a crescendo end, at most eight, the last at the end of loud (phon, ascending), so that the
// steps are even and the marks many.
func evenCuts(loud []float64) []int {
	const most = 8
	n := len(loud)
	const missing = 4.0 // cost of a mark that is not there
	best := make([][most + 1]float64, n)
	from := make([][most + 1]int, n)
	for i := range n {
		for k := range best[i] {
			best[i][k] = math.Inf(1)
		}
		if loud[i]-loud[0] < 6 { // the softest mark may draw a few stops
			best[i][1] = loud[i] - loud[0]
			from[i][1] = -1
		}
		for k := 2; k <= most; k++ {
			for j := range i {
				if x := best[j][k-1] + 2*unevenness(loud[i]-loud[j]); x < best[i][k] {
					best[i][k], from[i][k] = x, j
				}
			}
		}
	}
	k, lowest := 0, math.Inf(1)
	for i := 1; i <= most; i++ {
		if x := best[n-1][i] + missing*float64(most-i); x < lowest {
			k, lowest = i, x
		}
	}
	if k == 0 {
		return []int{n - 1}
	}
	var cuts []int
	for i := n - 1; k > 0; k-- {
		cuts = append(cuts, i)
		i = from[i][k]
	}
	for i, j := 0, len(cuts)-1; i < j; i, j = i+1, j-1 {
		cuts[i], cuts[j] = cuts[j], cuts[i]
	}
	return cuts
}

// planText writes the plans as tables.
func planText(o *voicing.Organ, plans []planned) string {
	var b strings.Builder
	for d := range plans {
		p := &plans[d]
		if len(p.marks) == 0 {
			continue
		}
		b.WriteString("\n[plan." + quote(o.Divisions[d].Name) + "]\n")
		for i, m := range p.marks {
			var items []string
			if i > 0 {
				items = append(items, quote(p.marks[i-1]))
			}
			for _, a := range p.adds[i] {
				items = append(items, quote(a))
			}
			b.WriteString(m + " = [" + strings.Join(items, ", ") + "]\n")
		}
	}
	return b.String()
}
