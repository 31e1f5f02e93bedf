package voicing

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestEveryMistakeIsNamedByLine(t *testing.T) {
	src := `name = "try"
pitch_hz = 4400
temperament = "wolfish"
colour = "red"

[[division]]
name = "Great"
compass = ["C2", "H6"]
action = "steam"
stops = [
  { name = "Principal 8", family = "principal" },
  { name = "Principal 8", family = "principal" },
  { name = "Flute", family = "flute" },
  { name = "Trumpet 8", family = "reed", construction = "stopped" },
  { name = "Mixture III", family = "principal", mixture = [
    "C2: 1, 2/3",
    "C3: 2, 1, 2/3",
    "x",
  ] },
  { name = "Tierce 1 3/5", family = "flute", wind_mm = "high" },
]

[[coupler]]
name = "Swell to Great"
keys_of = "Great"
sounds = "Swell"

[plan.Great]
p = ["Gamba 8"]
[plan.Solo]
p = []
`
	o, err := Parse([]byte(src), "try.toml")
	require.Nil(t, o)
	var problems Problems
	require.True(t, errors.As(err, &problems))
	lines := map[int]bool{}
	for _, p := range problems {
		lines[p.Line] = true
		require.Equal(t, "try.toml", p.File)
		require.NotEmpty(t, p.Do, p.What)
		require.NotContains(t, p.Error(), "\n")
	}
	for _, want := range []int{2, 3, 4, 8, 9, 12, 13, 14, 17, 18, 20, 26, 29, 30} {
		t.Run(fmt.Sprint(want), func(t *testing.T) {
			require.True(t, lines[want], "line %d is not named in:\n%v", want, err)
		})
	}
	require.Len(t, lines, 14, "%v", err)
}

func TestBrokenTOMLNamesTheLine(t *testing.T) {
	_, err := Parse([]byte("name = \"x\"\n[[division]\n"), "x.toml")
	require.ErrorContains(t, err, "x.toml:2: ")
	_, err = Parse([]byte("name = \"x\"\nname = \"y\"\n"), "x.toml")
	require.ErrorContains(t, err, "x.toml:")
	_, err = Parse(nil, "empty.toml")
	require.ErrorContains(t, err, "empty.toml:1: there is no division")
}

func TestLimitsAreKept(t *testing.T) {
	_, err := Parse([]byte("[[division]]\nname = \"Great\"\ncompass = [\"C2\", \"C9\"]\nstops = [{ name = \"Flute 8\", family = \"flute\" }]\n"), "long.toml")
	require.ErrorContains(t, err, "long.toml:3: compass \"C2\" to \"C9\" makes 85 keys")

	many := strings.Repeat("[[division]]\nname = \"Great\"\n", MaxDivisions+1)
	_, err = Parse([]byte(many), "many.toml")
	require.ErrorContains(t, err, "too many")
	stops := "[[division]]\nname = \"Great\"\nstops = [" + strings.Repeat("{ name = \"Flute 8\", family = \"flute\" },\n", MaxStops+1) + "]"
	_, err = Parse([]byte(stops), "many.toml")
	require.ErrorContains(t, err, "too many")
}

func TestUsualPlanOfADescriptionWithoutOne(t *testing.T) {
	o, err := Parse([]byte(`
[[division]]
name = "Great"
stops = [
  { name = "Principal 8", family = "principal" },
  { name = "Trumpet 8", family = "reed" },
  { name = "Flute 8", family = "flute" },
  { name = "Celeste 8", family = "string", detune_cents = 8 },
]`), "small.toml")
	require.NoError(t, err)
	require.Equal(t, "small", o.Name)
	require.Equal(t, []string{"Great: Flute 8"}, o.Describe(o.Plan("ppp", 0)))
	require.Equal(t, []string{"Great: Principal 8", "Great: Trumpet 8", "Great: Flute 8"}, o.Describe(o.Plan("fff", 0)))
}

func TestFeet(t *testing.T) {
	for text, want := range map[string]float64{"8": 8, "8'": 8, "2 2/3": 8.0 / 3, "1 3/5'": 1.6, "10 2/3": 32.0 / 3, "1/2": 0.5, "2⅔": 8.0 / 3, "16 ft": 16} {
		t.Run(text, func(t *testing.T) {
			got, ok := ParseFeet(text)
			require.True(t, ok, text)
			require.InDelta(t, want, got, 1e-12, text)
		})
	}
	for _, text := range []string{"", "0", "-8", "128", "NaN", "Inf", "1/0", "2/3 2", "eight", "8 8", "1e9"} {
		t.Run(text, func(t *testing.T) {
			_, ok := ParseFeet(text)
			require.False(t, ok, text)
		})
	}
	for _, f := range []string{"64", "10 2/3", "5 1/3", "2 2/3", "1 3/5", "1 1/3", "1 1/7", "2/3", "1/2"} {
		t.Run(f, func(t *testing.T) {
			x, _ := ParseFeet(f)
			require.Equal(t, f, FeetText(x))
		})
	}
}

func TestKeys(t *testing.T) {
	for text, want := range map[string]int{"C4": 60, "A4": 69, "C2": 36, "G6": 91, "Bb3": 58, "F#1": 30} {
		t.Run(text, func(t *testing.T) {
			got, ok := ParseKey(text)
			require.True(t, ok, text)
			require.Equal(t, want, got)
			require.Equal(t, text, KeyText(got))
		})
	}
}

func FuzzParse(f *testing.F) {
	for _, n := range BuiltIns() {
		src, _ := BuiltInSource(n)
		f.Add(src)
	}
	f.Add([]byte("[[division]]\nname = 'x'\nstops = [{name='Flute 8', family='flute', mixture=['C2: 8, -']}]\n[plan.x]\np=['Flute 8','ppp']"))
	f.Add([]byte("division = [[1], {}]\ncoupler = {a=1}\nplan = 3"))
	f.Add([]byte("a.b.c = 1\n[a.b]\nd=2\n[[division.stops]]"))
	f.Add([]byte("pitch_hz = nan\nseed = inf\npistons = 9223372036854775807"))
	f.Fuzz(func(t *testing.T, data []byte) {
		o, err := Parse(data, "f.toml")
		if err != nil {
			for _, p := range err.(Problems) {
				if p.Line < 1 || strings.ContainsAny(p.What, "\n") {
					t.Fatalf("bad message: %+v", p)
				}
			}
			return
		}
		r := o.Draw([MaxDivisions]string{"fff", "ppp", "f"})
		for d := range o.Divisions {
			for k := range 128 {
				for _, id := range o.Reach(nil, r, d, k) {
					if p := o.Pipe(id); len(p.Partials) == 0 || !(p.Hz > 0) || !(SpeakS(p, 0.9) > 0) {
						t.Fatalf("pipe %v does not sound: %+v", id, p)
					}
				}
			}
		}
		Specification(o)
	})
}

func FuzzParseRegistration(f *testing.F) {
	for _, text := range []string{"Tirasse G.O., R.", "ff Gt. coupled to full Sw.", "II/I ab", "Gt. to 15th", "8, 4 & 2 flutes", "Accouplez Récit au G.O.", "open the box", "Prepare: R.H. Sw. Oboe (with Trem.)", "Anches Péd. or Mixtures"} {
		f.Add(text)
	}
	for _, s := range []string{"Gt 8' flutes", "+ reeds; - mixtures", "Sw. box 30%", "Sw to Gt off", "General 3", "Sw ff", "−", "+", "to", "ÄÖ: 2⅔"} {
		f.Add(s)
	}
	o, _ := BuiltIn("minster")
	f.Fuzz(func(t *testing.T, text string) {
		c, ok := ParseRegistration(o, text)
		if ok && len(c.Read) == 0 {
			t.Fatal("understood nothing and said yes")
		}
		c.Apply(o, Registration{})
		_, _ = ParseStopsFile(o, []byte("bar 1: "+text), "f")
	})
}
