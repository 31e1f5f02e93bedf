package levels

import (
	"fmt"
	"math"
	"testing"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

func listener(t testing.TB, organ, roomName, seat string) (*Listener, *voicing.Organ) {
	t.Helper()
	o, ok := voicing.BuiltIn(organ)
	require.True(t, ok)
	r, ok := room.BuiltIn(roomName)
	require.True(t, ok)
	s, err := r.Seat(seat)
	require.NoError(t, err)
	return NewListener(o, r, s), o
}

// Softest stop 45-50 dB and full organ 95-100 dB at a middle seat (common practice); a dB more or less where the
// building is larger or smaller than the organ was made for.
func TestMinsterIsAsLoudAsALargeOrgan(t *testing.T) {
	for _, roomName := range []string{"parish-church", "abbey", "cathedral"} {
		t.Run(roomName, func(t *testing.T) {
			l, _ := listener(t, "minster", roomName, "middle")
			s, ok := l.Softest()
			require.True(t, ok)
			full := l.Whole("fff").DB
			require.True(t, s.Level.DB >= 45 && s.Level.DB <= 51, "%s: softest stop %.1f dB", roomName, s.Level.DB)
			require.True(t, full >= 95 && full <= 101, "%s: full organ %.1f dB", roomName, full)
		})
	}
}

// A village organ of 14 stops has the softest stop of a large one, and some 10 dB less at its loudest
// (common practice: a large organ's full chorus and reeds are what it lacks).
func TestVillageInItsChurch(t *testing.T) {
	l, _ := listener(t, "village", "parish-church", "middle")
	s, _ := l.Softest()
	require.True(t, s.Level.DB >= 45 && s.Level.DB <= 50, "%.1f dB", s.Level.DB)
	full := l.Whole("fff").DB
	require.True(t, full >= 80 && full <= 92, "%.1f dB", full)
}

// Each mark is 4 to 8 dB over the one before on every division, in every room (common practice), and the whole
// organ rises with every mark.
func TestEveryMarkIsAStepInEveryRoom(t *testing.T) {
	for _, organ := range []string{"village", "minster"} {
		t.Run(organ, func(t *testing.T) {
			for _, roomName := range room.BuiltIns() {
				for _, seat := range []string{"front", "middle", "back"} {
					t.Run(seat, func(t *testing.T) {
						l, o := listener(t, organ, roomName, seat)
						for _, s := range l.Dynamics() {
							switch {
							case s.First:
							case s.Division == Whole:
								require.Greater(t, s.StepDB, 2.0, "%s %s %s whole %s", organ, roomName, seat, s.Mark)
								require.Less(t, s.StepDB, 8.0, "%s %s %s whole %s", organ, roomName, seat, s.Mark)
							default:
								require.True(t, s.StepDB >= 4 && s.StepDB <= 8, "%s %s %s %s %s: a step of %.2f dB",
									organ, roomName, seat, o.Divisions[s.Division].Name, s.Mark, s.StepDB)
							}
						}
					})
				}
			}
		})
	}
}

// N equal incoherent sources are 10·lg N louder than one (energies add: any handbook of acoustics).
func TestEqualPipesAdd(t *testing.T) {
	l, _ := listener(t, "village", "chapel", "middle")
	r := l.organ.Plan("pp", 0)
	one := l.Of(r, []Part{{0, []int{60}}}, false).DB
	twice := l.Of(r, []Part{{0, []int{60}}, {0, []int{60}}}, false).DB
	require.InDelta(t, one, twice, 1e-12, "one pipe speaks once")
	var want float64
	keys := []int{48, 52, 55, 60}
	for _, k := range keys {
		want += math.Pow(10, l.Of(r, []Part{{0, []int{k}}}, false).DB/10)
	}
	require.InDelta(t, 10*math.Log10(want), l.Of(r, []Part{{0, keys}}, false).DB, 1e-9)
}

// Far from the organ in a live room the level is that of the diffuse field, Lp = Lw + 10·lg(4/A) with Sabine's A = 0.161·V/T
// (e.g. Kuttruff, Room Acoustics, ch. 5), less what arrives before the direct sound (Barron & Lee 1988); 0.2 dB for ρc re 400.
func TestReverberantLevel(t *testing.T) {
	r, err := room.FromRT(6)
	require.NoError(t, err)
	r.ConcertHall = true
	seat, err := r.Seat("back")
	require.NoError(t, err)
	o, _ := voicing.BuiltIn("village")
	l := NewListener(o, r, seat)
	reg := o.Plan("mf", 0)
	keys := o.FullChordKeys(0)
	d := o.Divisions[0].Place.Distance(seat.At)
	var want float64
	for b, p := range o.Power(reg, 0, keys) {
		a := 0.161 * r.VolumeM3 / r.RT60[b]
		want += p * (4/a*math.Exp(-0.04*d/r.RT60[b]) + 1/(4*math.Pi*d*d))
	}
	require.InDelta(t, 10*math.Log10(want)+0.14, l.Of(reg, []Part{{0, keys}}, false).DB, 0.2)
}

func TestBoxTakesDown(t *testing.T) {
	l, o := listener(t, "minster", "abbey", "middle")
	swell, _ := o.DivisionByName("Swell")
	down, ok := l.Shut(swell)
	require.True(t, ok)
	lo, hi := 0.0, 0.0
	for b := range octave.N {
		lo = min(lo, o.Divisions[swell].Box.ClosedDB[b])
	}
	require.True(t, down.DB < -3 && down.DB > lo, "%.1f dB", down.DB)
	require.Less(t, down.DBA, hi)
	great, _ := o.DivisionByName("Great")
	_, ok = l.Shut(great)
	require.False(t, ok)
}

func TestFartherIsSofter(t *testing.T) {
	last := math.Inf(1)
	for _, seat := range []string{"front", "middle", "back"} {
		t.Run(seat, func(t *testing.T) {
			l, _ := listener(t, "minster", "cathedral", seat)
			now := l.Whole("ff").DB
			require.Less(t, now, last)
			last = now
		})
	}
}

func ExampleListener_Whole() {
	o, _ := voicing.BuiltIn("minster")
	r, _ := room.BuiltIn("cathedral")
	seat, _ := r.Seat("middle")
	fmt.Printf("%.0f dB\n", NewListener(o, r, seat).Whole("fff").DB)
	// Output: 96 dB
}
