package voicing

import (
	"math"
	"strings"
	"testing"

	"afterchord/acoustics/octave"

	"github.com/stretchr/testify/require"
)

// largeChurch and smallChurch are 10·lg(4/A) by Sabine, A = 0.161·V/T m²: the reverberant level over the sound power, dB.
var (
	largeChurch = 10 * math.Log10(4/(0.161*30000/7.0))
	smallChurch = 10 * math.Log10(4/(0.161*6000/2.8))
)

// rooms weigh the octave bands as different buildings do, dB: evenly; a stone church that rings longest in the bass and loses its top
// to the air; a hall of thin panels that swallows the bass; one where people swallow the top.
var rooms = map[string][9]float64{
	"even":         {},
	"stone church": {1.5, 1.5, 1.2, 0.7, 0, 0, -1, -2.5, -5},
	"panelled":     {-4, -3.5, -2.5, -1, 0, 0, 0, -1, -2},
	"full house":   {1, 1, 0.5, 0, -1, -2, -2.5, -3, -4},
}

func weigh(b [9]float64, room [9]float64) float64 {
	sum := 0.0
	for i := range b {
		sum += b[i] * math.Pow(10, room[i]/10)
	}
	return 10 * math.Log10(sum)
}

// Each dynamic mark is 4 to 10 phon over the one before, on each division, with the chord of FullChord (common practice), and in
// buildings of every kind has more power; A-weighted levels (IEC 61672-1, Table 3) rise too.
func TestDynamicPlanRisesByEvenSteps(t *testing.T) {
	aWeighting := [9]float64{-39.4, -26.2, -16.1, -8.6, -3.2, 0, 1.2, 1, -1.1}
	for _, name := range BuiltIns() {
		o, _ := BuiltIn(name)
		for d := range o.Divisions {
			var last octave.Bands
			before := 0.0
			for i, m := range marks {
				if !o.plan[i].given[d] || len(o.Divisions[d].Stops) == 0 {
					continue
				}
				var by [MaxDivisions]string
				by[d] = m
				now, loud := o.Power(o.Draw(by), d, o.FullChordKeys(d)), o.Sound(o.Draw(by), d, o.FullChordKeys(d)).Phon()
				if last != (octave.Bands{}) {
					require.True(t, loud-before >= SmallestStep && loud-before <= LargestStep, "%s %s %s: a step of %.1f phon", name, o.Divisions[d].Name, m, loud-before)
					for room, w := range rooms {
						t.Run(room, func(t *testing.T) {
							step := weigh(now, w) - weigh(last, w)
							require.Greater(t, step, 0.0, "%s %s %s in the room %q: a step of %.1f dB", name, o.Divisions[d].Name, m, room, step)
						})
					}
					require.Greater(t, weigh(now, aWeighting), weigh(last, aWeighting)+1, "%s %s %s", name, o.Divisions[d].Name, m)
				}
				last, before = now, loud
			}
		}
	}
}

// Softest stop about 38-46 dB (a string; a flute as loud has 15 dB more), full organ about 95-100 dB at a middle seat of a large church (common practice).
func TestLevelsInALargeChurch(t *testing.T) {
	o, _ := BuiltIn("minster")
	softest := math.Inf(1)
	for d := range o.Divisions {
		for s := range o.Divisions[d].Stops {
			var r Registration
			r.Stops[d] = 1 << s
			sum := 0.0
			for k := 55; k <= 67; k++ {
				for _, x := range o.Power(r, d, []int{k}) {
					sum += x / 13
				}
			}
			if sum > 0 {
				softest = math.Min(softest, 10*math.Log10(sum))
			}
		}
	}
	require.InDelta(t, 42, softest+largeChurch, 4.5, "the softest stop, one key")

	r := o.Draw([MaxDivisions]string{"fff", "fff", "fff", "fff"})
	total := 0.0
	pedal, _ := o.DivisionByName("Pedal")
	great, _ := o.DivisionByName("Great")
	for _, b := range [][9]float64{o.Power(r, great, FullChord.Hands), o.Power(r, pedal, []int{FullChord.Feet})} {
		for _, x := range b {
			total += x
		}
	}
	require.InDelta(t, 97.5, 10*math.Log10(total)+largeChurch, 2.5, "full organ, eight keys and a pedal")

	village, _ := BuiltIn("village")
	quiet := weigh(village.Power(village.Plan("pp", 1), 1, []int{60}), [9]float64{}) + smallChurch
	require.True(t, quiet > 40 && quiet < 48, "softest stop of the village organ: %.1f dB", quiet)
}

func TestMinsterIsAsDescribed(t *testing.T) {
	o, _ := BuiltIn("minster")
	stops, ranks, _ := o.Count()
	require.Equal(t, 40, stops)
	require.Greater(t, ranks, 40)
	require.Len(t, o.manuals(), 3)
	v, _ := BuiltIn("village")
	stops, _, _ = v.Count()
	require.Equal(t, 14, stops)
	c, _ := BuiltIn("cabinet")
	stops, _, _ = c.Count()
	require.Equal(t, 4, stops)
}

func TestPlanFallsToTheNearestMark(t *testing.T) {
	o, _ := BuiltIn("village")
	require.Equal(t, o.Plan("pp", 0), o.Plan("ppp", 0))
	require.Equal(t, o.Plan("p", 0), o.Plan("mp", 0), "the softer of two equally near")
	require.Equal(t, o.Plan("ff", 0), o.Plan("fff", 0))
	require.Equal(t, o.Plan("mf", 0), o.Plan("", 0))
	require.Zero(t, o.Plan("f", 99))
}

func TestDrawPreparesTheCoupledDivision(t *testing.T) {
	o, _ := BuiltIn("minster")
	great, _ := o.DivisionByName("Great")
	swell, _ := o.DivisionByName("Swell")
	var by [MaxDivisions]string
	by[great] = "f"
	require.Equal(t, o.Plan("f", swell).Stops[swell], o.Draw(by).Stops[swell])
	by[swell] = "pp"
	require.Equal(t, o.Plan("pp", swell).Stops[swell], o.Draw(by).Stops[swell], "a division that plays keeps its own mark")
}

func TestDescriptionOfAChange(t *testing.T) {
	o, _ := BuiltIn("village")
	on, off := o.Diff(o.Plan("pp", 0), o.Plan("f", 0))
	require.Equal(t, []string{"Great: Open Diapason 8", "Great: Principal 4", "Great: Fifteenth 2"}, on)
	require.Empty(t, off)
	on, off = o.Diff(o.Plan("ff", 2), o.Plan("pp", 2))
	require.Empty(t, on)
	require.Equal(t, []string{"Pedal: Principal 8", "Great to Pedal", "Swell to Pedal"}, off)
}

func TestDivisionByName(t *testing.T) {
	o, _ := BuiltIn("minster")
	for name, want := range map[string]string{
		"great": "Great", "GT.": "Great", "Hauptwerk": "Great", "Grand Orgue": "Great", "II": "Great", "Man. II": "Great", "Manual 2": "Great",
		"Sw": "Swell", "Récit": "Swell", "RÉCIT": "Swell", "Schwellwerk": "Swell", "III": "Swell", "Clavier III": "Swell",
		"Choir": "Choir", "Positif": "Choir", "Rückpositiv": "Choir", "I": "Choir", "Solo": "Choir", "Echo": "Swell",
		"Ped.": "Pedal", "Pédale": "Pedal", "Pedaliera": "Pedal",
	} {
		t.Run(name, func(t *testing.T) {
			d, ok := o.DivisionByName(name)
			require.True(t, ok, name)
			require.Equal(t, want, o.Divisions[d].Name, name)
		})
	}
	for _, name := range []string{"", "Violin", "IV", "Track 3", "Piano"} {
		t.Run(name, func(t *testing.T) {
			_, ok := o.DivisionByName(name)
			require.False(t, ok, name)
		})
	}
	c, _ := BuiltIn("cabinet")
	d, ok := c.DivisionByName("Great")
	require.True(t, ok)
	require.Equal(t, "Manual", c.Divisions[d].Name)
}

func TestSpecificationReadsAsAStopList(t *testing.T) {
	for _, name := range BuiltIns() {
		o, _ := BuiltIn(name)
		text := Specification(o)
		for d := range o.Divisions {
			require.Contains(t, text, strings.ToUpper(o.Divisions[d].Name))
		}
		for _, c := range o.Couplers {
			require.Contains(t, text, c.Name)
		}
		for _, line := range strings.Split(text, "\n") {
			require.LessOrEqual(t, len([]rune(line)), 90)
			require.Equal(t, strings.TrimRight(line, " "), line)
		}
	}
}

func TestPlanRemarks(t *testing.T) {
	for _, name := range []string{"village", "minster"} {
		t.Run(name, func(t *testing.T) {
			o, _ := BuiltIn(name)
			require.Empty(t, PlanRemarks(o), name)
		})
	}
	o, err := Parse([]byte(`
[[division]]
name = "Great"
stops = [{ name = "Flute 8", family = "flute" }, { name = "Trumpet 8", family = "reed" }]
[plan.Great]
p = ["Flute 8"]
f = ["Trumpet 8"]
ff = ["Flute 8"]`), "odd.toml")
	require.NoError(t, err)
	remarks := PlanRemarks(o)
	require.Len(t, remarks, 2, "%v", remarks)
	require.Contains(t, remarks[0], "Great: f jumps by 1")
	require.Contains(t, remarks[1], "Great: ff is not louder")
}

// A step that a coupled manual makes says so.
func TestPlanJumpsWithACoupledManual(t *testing.T) {
	o, err := Parse([]byte(`
[[division]]
name = "Great"
stops = [{ name = "Flute 8", family = "flute" }, { name = "Principal 8", family = "principal" }, { name = "Principal 4", family = "principal" }]
[[division]]
name = "Swell"
stops = [{ name = "Gedackt 8", family = "flute" }, { name = "Trumpet 8", family = "reed" }]
[[coupler]]
name = "Sw to Gt"
keys_of = "Great"
sounds = "Swell"
[plan.Great]
p = ["Flute 8"]
f = ["Flute 8", "Principal 8", "Principal 4", "Sw to Gt"]
[plan.Swell]
p = ["Gedackt 8"]
f = ["Gedackt 8", "Trumpet 8"]`), "odd.toml")
	require.NoError(t, err)
	remarks := PlanRemarks(o)
	require.NotEmpty(t, remarks)
	require.Contains(t, remarks[0], "Great: f jumps by 1")
	require.Contains(t, remarks[0], "Sw to Gt comes on")
}
