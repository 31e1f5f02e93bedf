package voicing

import (
	"math"
	"sort"
	"strings"
)

// plan reads the table [plan.NAME] of each division and makes a usual plan for the others.
func (p *parser) plan(f *fields, o *Organ) {
	if f != nil {
		names := make([]string, 0, len(f.m))
		for n := range f.m {
			names = append(names, n)
		}
		sort.Strings(names)
		for _, name := range names {
			d, ok := o.divisionNamed(name)
			df := f.table(name)
			if !ok {
				f.problem(name, "name one of: "+strings.Join(o.divisionNames(), ", "), "the plan names %q, which is not a division", name)
			} else if df != nil {
				p.divisionPlan(df, o, d)
			}
		}
	}
	for d := range o.Divisions {
		planned := false
		for i := range marks {
			planned = planned || o.plan[i].given[d]
		}
		if !planned {
			o.usualPlan(d)
		}
	}
}

func (p *parser) divisionPlan(f *fields, o *Organ, d int) {
	for i, mark := range marks {
		list, ok := f.texts(mark)
		if !ok {
			continue
		}
		step := &o.plan[i]
		step.given[d] = true
		for _, item := range list {
			if r, ok := o.planItem(d, i, item); ok {
				step.draws[d] = step.draws[d].With(r)
				continue
			}
			f.problem(mark, "name a stop of the division, a coupler of its keys, \"Tremulant\", or a softer mark of this plan",
				"%s of %s draws %q, which is not there", mark, o.Divisions[d].Name, item)
		}
	}
	f.done()
}

// planItem is what one entry of the plan of division d draws at mark i.
func (o *Organ) planItem(d, i int, item string) (r Registration, ok bool) {
	for s := range o.Divisions[d].Stops {
		if strings.EqualFold(o.Divisions[d].Stops[s].Name, item) {
			r.Stops[d] = 1 << s
			return r, true
		}
	}
	for c := range o.Couplers {
		if o.Couplers[c].From == d && strings.EqualFold(o.Couplers[c].Name, item) {
			r.Couplers = 1 << c
			return r, true
		}
	}
	if strings.EqualFold(item, "tremulant") && o.Divisions[d].TremulantHz > 0 {
		r.Tremulants = 1 << d
		return r, true
	}
	if m := markIndex(item); m >= 0 && m < i && o.plan[m].given[d] {
		return o.plan[m].draws[d], true
	}
	return r, false
}

// usualPlan fills in a division whose description has no plan: its stops one after the other,
// softest first and celestes left out, spread over the eight marks.
func (o *Organ) usualPlan(d int) {
	stops := o.Divisions[d].Stops
	var order []int
	for s := range stops {
		if stops[s].DetuneCents == 0 {
			order = append(order, s)
		}
	}
	loud := make([]float64, len(stops))
	for s := range stops {
		loud[s] = stops[s].phon()
	}
	sort.SliceStable(order, func(i, j int) bool { return loud[order[i]] < loud[order[j]] })
	for i := range marks {
		step := &o.plan[i]
		step.given[d] = true
		n := int(math.Ceil(float64(len(order)) * float64(i+1) / float64(len(marks))))
		for _, s := range order[:n] {
			step.draws[d].Stops[d] |= 1 << s
		}
	}
}
