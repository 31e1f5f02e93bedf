package pipework

import (
	"cmp"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/performance"
	"afterchord/voicing"
)

func organ(t testing.TB, name string) *voicing.Organ {
	t.Helper()
	o, ok := voicing.BuiltIn(name)
	require.True(t, ok)
	return o
}

// randomRegistration draws each stop and coupler with the odds one in n.
func randomRegistration(r *rand.Rand, o *voicing.Organ, n int) voicing.Registration {
	var reg voicing.Registration
	for d := range o.Divisions {
		for s := range o.Divisions[d].Stops {
			if r.IntN(n) == 0 {
				reg.Stops[d] |= 1 << s
			}
		}
		if o.Divisions[d].TremulantHz > 0 && r.IntN(n) == 0 {
			reg.Tremulants |= 1 << d
		}
	}
	for c := range o.Couplers {
		if r.IntN(n) == 0 {
			reg.Couplers |= 1 << c
		}
	}
	return reg
}

// randomPerformance presses keys anywhere, keys that no keyboard has among them, for
// anything from no time to seconds, under changing stops. Times are whole ticks of 10 ms, so that many fall together.
func randomPerformance(r *rand.Rand, o *voicing.Organ) *performance.Performance {
	p := &performance.Performance{}
	tick := func(n int) float64 { return float64(r.IntN(n)) / 100 }
	for range 1 + r.IntN(60) {
		on := tick(500)
		p.Notes = append(p.Notes, performance.Note{Division: r.IntN(len(o.Divisions)), Key: r.IntN(128), OnS: on, OffS: on + tick(150)})
	}
	slices.SortStableFunc(p.Notes, func(a, b performance.Note) int { return cmp.Compare(a.OnS, b.OnS) })
	at := 0.0
	for range 1 + r.IntN(6) {
		p.Changes = append(p.Changes, performance.Change{AtS: at, Registration: randomRegistration(r, o, 4)})
		at += tick(200)
	}
	return p
}

// asked lists the pipes that the keys held at t ask for, by brute force.
func asked(o *voicing.Organ, p *performance.Performance, t float64) map[voicing.PipeID]bool {
	out := map[voicing.PipeID]bool{}
	for _, n := range p.Notes {
		if n.OnS <= t && t < n.OffS {
			for _, id := range o.Reach(nil, p.RegistrationAt(t), n.Division, n.Key) {
				out[id] = true
			}
		}
	}
	return out
}

// However keys, couplers, octaves and stops overlap, a pipe speaks once at a time, and at
// every moment the pipes that speak are the union of what the keys held ask for.
func TestOnePipeSpeaksOnceAndAllThatAreAskedSpeak(t *testing.T) {
	for _, name := range voicing.BuiltIns() {
		o := organ(t, name)
		for seed := range uint64(60) {
			r := rand.New(rand.NewPCG(seed, 7))
			p := randomPerformance(r, o)
			events := Schedule(o, p)
			byPipe := map[voicing.PipeID][]Event{}
			for i, e := range events {
				require.LessOrEqual(t, e.OnS, e.OffS)
				if i > 0 {
					require.LessOrEqual(t, events[i-1].OnS, e.OnS, "events by start")
				}
				require.Less(t, int(e.Note), len(p.Notes))
				for _, x := range byPipe[e.Pipe] {
					require.True(t, x.OffS < e.OnS || e.OffS < x.OnS, "%s seed %d: pipe %v speaks twice at once", name, seed, e.Pipe)
				}
				byPipe[e.Pipe] = append(byPipe[e.Pipe], e)
			}
			for range 40 {
				at := float64(r.IntN(700))/100 + 0.005 // between two ticks
				want := asked(o, p, at)
				got := map[voicing.PipeID]bool{}
				for _, e := range events {
					d := o.Divisions[e.Pipe.Division].Action.DelayS
					if e.OnS-d <= at && at < e.OffS-d {
						got[e.Pipe] = true
					}
				}
				require.True(t, maps.Equal(want, got), "%s seed %d at %g s: %d pipes asked for, %d speak", name, seed, at, len(want), len(got))
			}
		}
	}
}

// held schedules notes under changes; without any, the first stop of each division is drawn.
func held(o *voicing.Organ, changes []performance.Change, notes ...performance.Note) []Event {
	if changes == nil {
		var r voicing.Registration
		for d := range o.Divisions {
			r.Stops[d] = 1
		}
		changes = []performance.Change{{Registration: r}}
	}
	return Schedule(o, &performance.Performance{Notes: notes, Changes: changes})
}

func TestSecondKeyOnASpeakingPipe(t *testing.T) {
	o := organ(t, "minster")
	d, _ := o.DivisionByName("Great")
	note := func(on, off float64) performance.Note {
		return performance.Note{Division: d, Key: 60, OnS: on, OffS: off}
	}
	once := held(o, nil, note(0, 1))
	require.NotEmpty(t, once)
	for _, c := range []struct {
		name  string
		notes []performance.Note
		times int
		until float64
	}{
		{"the same key by two voices, the second longer", []performance.Note{note(0, 1), note(0.5, 2)}, 1, 2},
		{"the second within the first", []performance.Note{note(0, 2), note(0.5, 1)}, 1, 2},
		{"tied without a gap", []performance.Note{note(0, 1), note(1, 2)}, 1, 2},
		{"struck again after a gap", []performance.Note{note(0, 1), note(1.05, 2)}, 2, 2},
		{"no length", []performance.Note{note(1, 1)}, 0, 0},
	} {
		events := held(o, nil, c.notes...)
		assert.Len(t, events, c.times*len(once), c.name)
		last := 0.0
		for _, e := range events {
			last = max(last, e.OffS-o.Divisions[d].Action.DelayS)
		}
		assert.InDelta(t, c.until, last, 1e-9, c.name)
	}
}

// A stop that stays drawn through a change does not speak again; one that comes on
// under a held key speaks from there, one that goes off stops there.
func TestStopsChangeUnderAHeldKey(t *testing.T) {
	o := organ(t, "minster")
	d, _ := o.DivisionByName("Great")
	require.GreaterOrEqual(t, len(o.Divisions[d].Stops), 3)
	var before, after voicing.Registration
	before.Stops[d], after.Stops[d] = 0b011, 0b110
	events := held(o, []performance.Change{{Registration: before}, {AtS: 1, Registration: after}},
		performance.Note{Division: d, Key: 60, OnS: 0, OffS: 2})
	delay := o.Divisions[d].Action.DelayS
	want := map[uint8][2]float64{0: {0, 1}, 1: {0, 2}, 2: {1, 2}}
	for _, e := range events {
		w := want[e.Pipe.Stop]
		assert.InDelta(t, w[0], e.OnS-delay, 1e-9, "stop %d", e.Pipe.Stop)
		assert.InDelta(t, w[1], e.OffS-delay, 1e-9, "stop %d", e.Pipe.Stop)
		delete(want, e.Pipe.Stop)
	}
	assert.Empty(t, want)
}

func BenchmarkSchedule(b *testing.B) {
	o := organ(b, "minster")
	r := rand.New(rand.NewPCG(1, 1))
	p := &performance.Performance{Changes: []performance.Change{{Registration: randomRegistration(r, o, 1)}}}
	for i := range 4000 {
		p.Notes = append(p.Notes, performance.Note{Division: i % len(o.Divisions), Key: 40 + r.IntN(20), OnS: float64(i) / 8, OffS: float64(i)/8 + 0.4})
	}
	b.ReportAllocs()
	for b.Loop() {
		Schedule(o, p)
	}
}
