package voicing

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// union works out which pipes keys reach in the slow, obvious way: a set of every (division, key) a coupler leads to.
func union(o *Organ, r Registration, division int, keys []int) map[PipeID]bool {
	on := func(c int) bool { return o.Couplers[c].Fixed || r.Couplers&(1<<c) != 0 }
	has := func(d, k int) bool { return k >= o.Divisions[d].LowKey && k <= o.Divisions[d].HighKey }
	type place struct{ d, k int }
	pipes := map[PipeID]bool{}
	for _, key := range keys {
		if !has(division, key) {
			continue
		}
		first := []place{{division, key}}
		for c, cp := range o.Couplers {
			if on(c) && cp.From == division && cp.To != division {
				first = append(first, place{cp.To, key + cp.Shift})
			}
		}
		all := append([]place(nil), first...)
		for _, p := range first {
			for c, cp := range o.Couplers {
				if on(c) && cp.From == p.d && cp.To == p.d && has(p.d, p.k) {
					all = append(all, place{p.d, p.k + cp.Shift})
				}
			}
		}
		for _, p := range all {
			if !has(p.d, p.k) {
				continue
			}
			for s, stop := range o.Divisions[p.d].Stops {
				for rank := range stop.Ranks {
					if r.Stops[p.d]&(1<<s) != 0 && p.k >= stop.LowKey && p.k <= stop.HighKey {
						pipes[PipeID{uint8(p.d), uint8(s), uint8(rank), uint8(p.k)}] = true
					}
				}
			}
		}
	}
	return pipes
}

func TestOnePipeOnceThroughAnyCouplers(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, name := range BuiltIns() {
		o, _ := BuiltIn(name)
		for range 400 {
			var r Registration
			for d := range o.Divisions {
				r.Stops[d] = rng.Uint64() & (1<<len(o.Divisions[d].Stops) - 1)
			}
			r.Couplers = rng.Uint64() & (1<<len(o.Couplers) - 1)
			d := rng.IntN(len(o.Divisions))
			var keys []int
			for range 1 + rng.IntN(8) {
				keys = append(keys, rng.IntN(128))
			}
			got := map[PipeID]bool{}
			for _, k := range keys {
				ids := o.Reach(nil, r, d, k)
				one := map[PipeID]bool{}
				for _, id := range ids {
					require.False(t, one[id], "%s: key %d reaches pipe %v twice", name, k, id)
					one[id], got[id] = true, true
					s := o.Divisions[id.Division].Stops[id.Stop]
					require.True(t, int(id.Key) >= s.LowKey && int(id.Key) <= s.HighKey, "%v is beyond the compass", id)
					require.NotEmpty(t, o.Pipe(id).Partials)
				}
			}
			require.Equal(t, union(o, r, d, keys), got, name)
		}
	}
}

func TestCouplerRules(t *testing.T) {
	o, _ := BuiltIn("minster")
	great, _ := o.DivisionByName("Great")
	pedal, _ := o.DivisionByName("Pedal")
	change := func(text string) Registration {
		c, ok := ParseRegistration(o, text)
		require.True(t, ok, "%q: %v", text, c.Unread)
		return c.Apply(o, Registration{})
	}
	swell := change("Sw: Salicional 8")
	for _, c := range []struct {
		couplers      string
		division, key int
		want          []uint8
	}{
		{"Sw to Gt", great, 60, []uint8{60}},
		{"Sw to Gt; Swell Octave", great, 60, []uint8{60, 72}},
		{"Sw to Gt; Swell Octave; Swell Sub-octave", great, 60, []uint8{48, 60, 72}},
		{"Sw to Gt; Swell Octave", great, 96, []uint8{96}}, // C8 is beyond the compass
		{"Sw to Gt; Gt to Ped", pedal, 48, nil},            // the Great does not bring the Swell with it
		{"Sw to Ped", pedal, 48, []uint8{48}},
		{"Gt to Ped", great, 60, nil},
		{"Sw to Ped", pedal, 80, nil}, // the pedal has no such key
	} {
		t.Run(c.couplers, func(t *testing.T) {
			var got []uint8
			for _, id := range o.Reach(nil, swell.With(change(c.couplers)), c.division, c.key) {
				got = append(got, id.Key)
			}
			require.Equal(t, c.want, got, c.couplers)
		})
	}
}

func TestPullDownPedal(t *testing.T) {
	o, _ := BuiltIn("cabinet")
	pedal, _ := o.DivisionByName("Pedal")
	r := o.Plan("ff", 0)
	require.Equal(t, o.Reach(nil, r, 0, 40), o.Reach(nil, r, pedal, 40))
	require.Empty(t, o.Divisions[pedal].Stops, "no pedal pipes")
}

func TestReachAllocatesNothing(t *testing.T) {
	o, _ := BuiltIn("minster")
	r := o.Draw([MaxDivisions]string{"fff", "fff", "fff", "fff"})
	dst := make([]PipeID, 0, 512)
	require.Zero(t, testing.AllocsPerRun(100, func() { dst = o.Reach(dst[:0], r, 1, 60) }))
}

func BenchmarkReach(b *testing.B) {
	o, _ := BuiltIn("minster")
	r := o.Draw([MaxDivisions]string{"fff", "fff", "fff", "fff"})
	dst := make([]PipeID, 0, 512)
	b.ReportAllocs()
	for b.Loop() {
		dst = o.Reach(dst[:0], r, 1, 60)
	}
}

func BenchmarkPipe(b *testing.B) {
	o, _ := BuiltIn("minster")
	for b.Loop() {
		o.Pipe(PipeID{1, 1, 0, 60})
	}
}

func ExampleOrgan_Reach() {
	o, _ := BuiltIn("village")
	change, _ := ParseRegistration(o, "Great: Principal 4; Swell to Great")
	swell, _ := ParseRegistration(o, "Swell: Oboe 8")
	r := swell.Apply(o, change.Apply(o, Registration{}))
	great, _ := o.DivisionByName("Great")
	for _, id := range o.Reach(nil, r, great, 60) {
		p := o.Pipe(id)
		fmt.Printf("%s, %.0f Hz\n", o.Divisions[id.Division].Stops[id.Stop].Name, p.Hz)
	}
	// Output:
	// Principal 4, 523 Hz
	// Oboe 8, 262 Hz
}
