package levels

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
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

// The softest stop is well above the background noise of 27 dB(A), and full organ 95-100 dB at a middle seat (common
// practice); a dB more or less where the building is larger or smaller than the organ was made for.
// The Hauptwerk is the main manual though the Rückpositiv lies below it, in whatever language (common practice).
func TestMainManualIsTheHauptwerk(t *testing.T) {
	for _, c := range [][2]string{{"Rückpositiv", "Hauptwerk"}, {"Positif", "Grand-Orgue"}, {"Positif de dos", "Grand Orgue"}, {"Organo Positivo", "Grand'Organo"}, {"Rugwerk", "Hoofdwerk"}, {"Choir", "Great"},
		{"Positivo", "Grand Organo"}, {"Cadereta", "Órgano Mayor"}, {"Ryggpositiv", "Huvudverk"}, {"Rygpositiv", "Hovedværk"}} {
		below, main := c[0], c[1]
		o := &voicing.Organ{Divisions: []voicing.Division{{Name: below}, {Name: main}, {Name: "Pedal", Pedal: true}}}
		require.Equal(t, 1, MainManual(o), main)
	}
}

func TestMinsterIsAsLoudAsALargeOrgan(t *testing.T) {
	for _, roomName := range []string{"parish-church", "abbey", "cathedral"} {
		t.Run(roomName, func(t *testing.T) {
			l, _ := listener(t, "minster", roomName, "middle")
			s, ok := l.Softest()
			require.True(t, ok)
			full := l.Whole("fff").DB
			require.True(t, s.Level.DBA >= 30 && s.Level.DBA <= 46, "%s: softest stop %.1f dB(A)", roomName, s.Level.DBA)
			require.True(t, full >= 95 && full <= 101.5, "%s: full organ %.1f dB", roomName, full)
		})
	}
}

// A village organ of 14 stops has the softest stop of a large one, and some 10 dB less at its loudest
// (common practice: a large organ's full chorus and reeds are what it lacks).
func TestVillageInItsChurch(t *testing.T) {
	l, _ := listener(t, "village", "parish-church", "middle")
	s, _ := l.Softest()
	require.True(t, s.Level.DBA >= 34 && s.Level.DBA <= 52, "%.1f dB(A)", s.Level.DBA)
	full := l.Whole("fff").DB
	require.True(t, full >= 80 && full <= 92, "%.1f dB", full)
}

// Each mark is 4 to 10 phon over the one before on every division, in every room (common practice), and the whole
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
								require.Greater(t, s.StepPhon, 2.0, "%s %s %s whole %s", organ, roomName, seat, s.Mark)
								require.Less(t, s.StepPhon, voicing.LargestStep, "%s %s %s whole %s", organ, roomName, seat, s.Mark)
							default:
								require.False(t, s.Uneven(), "%s %s %s %s %s: a step of %.2f phon",
									organ, roomName, seat, o.Divisions[s.Division].Name, s.Mark, s.StepPhon)
							}
						}
					})
				}
			}
		})
	}
}

// The softest mark of each division draws its softest stop and no other: softest to the ear, in single keys as in the full chord, near and far.
func TestTheSoftestMarkIsTheSoftestStop(t *testing.T) {
	for _, organ := range voicing.BuiltIns() {
		for _, place := range [][2]string{{"practice-room", "back"}, {"parish-church", "middle"}, {"cathedral", "back"}} {
			l, o := listener(t, organ, place[0], place[1])
			for d := range o.Divisions {
				if len(o.Divisions[d].Stops) == 0 {
					continue
				}
				drawn := o.Plan(o.PlanMarks(d)[0], d).Stops[d]
				softest := bits.TrailingZeros64(drawn)
				require.Equal(t, uint64(1)<<softest, drawn, "%s %s", organ, o.Divisions[d].Name)
				loudness := func(s int) (single, chord float64) {
					var r voicing.Registration
					r.Stops[d] = 1 << s
					level, _ := l.stop(d, s)
					return level.Sone, l.Of(r, []Part{{d, o.FullChordKeys(d)}}, false).Sone
				}
				single, chord := loudness(softest)
				for s, stop := range o.Divisions[d].Stops {
					if s == softest {
						continue
					}
					a, b := loudness(s)
					require.Greater(t, a, 1.05*single, "%s %s in %s: %s", organ, o.Divisions[d].Name, place[0], stop.Name)
					require.Greater(t, b, 1.05*chord, "%s %s in %s: %s, full chord", organ, o.Divisions[d].Name, place[0], stop.Name)
				}
			}
		}
	}
}

// The two stops that are heard together at a mark are in balance, and so are the families: a string is not louder than the flute that it is drawn
// with, a Great trumpet is twice the first diapason and no more than 9 dB over it, a soft pedal stop of 16 ft can be heard down to its lowest key, fundamental
// and all (thresholds of hearing: ISO 389-7:2005, Table 1, diffuse field, 59.5 dB at 31.5 Hz, from memory), all of it common practice.
func TestStopsAreInBalance(t *testing.T) {
	l, o := listener(t, "minster", "parish-church", "middle")
	stop := func(division, name string) StopLevel {
		d, ok := o.DivisionByName(division)
		require.True(t, ok)
		s := slices.IndexFunc(o.Divisions[d].Stops, func(s voicing.Stop) bool { return s.Name == name })
		require.GreaterOrEqual(t, s, 0, name)
		level, _ := l.stop(d, s)
		return StopLevel{d, s, level}
	}
	salicional, gedackt := stop("Swell", "Salicional 8").Level, stop("Swell", "Gedackt 8").Level
	require.True(t, gedackt.Sone > salicional.Sone && gedackt.Sone < 2*salicional.Sone, "%.1f and %.1f sone", salicional.Sone, gedackt.Sone)
	diapason, trumpet := stop("Great", "First Open Diapason 8").Level, stop("Great", "Trumpet 8").Level
	require.Less(t, trumpet.DB-diapason.DB, 9.0)
	require.InDelta(t, 2, trumpet.Sone/diapason.Sone, 0.5)
	bourdon := stop("Pedal", "Bourdon 16")
	lowest := o.Pipe(voicing.PipeID{Division: uint8(bourdon.Division), Stop: uint8(bourdon.Stop), Key: 36})
	for _, name := range []string{"parish-church", "abbey", "cathedral"} {
		hall, _ := room.BuiltIn(name)
		seat, _ := hall.Seat("middle")
		path := hall.Path(o.Divisions[bourdon.Division].Place, seat)
		gain, tail := path.At(lowest.Hz)
		for _, term := range tail {
			gain += term.Gain
		}
		require.Greater(t, 10*math.Log10(lowest.Partials[0].Power*gain), 59.5, name)
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
	db, dba, ok := l.Shut(swell)
	require.True(t, ok)
	lo, hi := 0.0, 0.0
	for b := range octave.N {
		lo = min(lo, o.Divisions[swell].Box.ClosedDB[b])
	}
	require.True(t, db < -3 && db > lo, "%.1f dB", db)
	require.Less(t, dba, hi)
	great, _ := o.DivisionByName("Great")
	_, _, ok = l.Shut(great)
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
