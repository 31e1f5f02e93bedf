package voicing

import (
	"fmt"
	"image/color"
	"os"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
)

// A family is one row of the table, and a row leaves nothing out.
func TestEveryFamilyIsComplete(t *testing.T) {
	manual, err := os.ReadFile("FORMAT.md")
	require.NoError(t, err)
	colours := map[color.NRGBA]Family{}
	for _, f := range Families() {
		t.Run(string(f), func(t *testing.T) {
			row := f.row()
			require.NotEmpty(t, row.plural)
			require.Contains(t, kindWords(), row.plural, "a word of registration")
			require.Contains(t, string(manual), "`"+string(f)+"`", "FORMAT.md names it")
			require.Equal(t, uint8(0xff), row.colour.A)
			require.Empty(t, colours[row.colour], "a colour of its own")
			colours[row.colour] = f
			require.NotEmpty(t, row.builds)
			for _, b := range row.builds {
				require.Contains(t, string(manual), fmt.Sprintf("| `%s` | `%s` | %g |", f, b.construction, b.levelDB), "FORMAT.md has its level")
				speech := b.speech
				if f == Reed {
					require.Zero(t, speech.edgeStretch, "a reed has no edge")
					speech.edgeStretch = 1
				}
				complete(t, speech)
				for _, field := range []float64{b.tone.slopeDB, b.tone.knee, b.tone.kneeDB, b.tone.thinDB} {
					t.Run(fmt.Sprint(field), func(t *testing.T) {
						require.Positive(t, field, "%s %s: the slope of its spectrum", b.construction, f)
					})
				}
				p := soundOf(f, b.construction)
				require.NotEmpty(t, p.Partials, "%s %s sounds", b.construction, f)
				require.Positive(t, p.Speech.DeadS)
			}
		})
	}
}

// complete tells that no field of a law is left at zero.
func complete(t *testing.T, law any) {
	t.Helper()
	v := reflect.ValueOf(law)
	for i := range v.NumField() {
		require.False(t, v.Field(i).IsZero(), "%s is zero", v.Type().Field(i).Name)
	}
}

// soundOf is middle C of an 8 ft stop.
func soundOf(f Family, c Construction) Pipe {
	o := &Organ{PitchHz: 440, Divisions: []Division{{LowKey: 36, HighKey: 96, Stops: []Stop{{Family: f, Construction: c,
		Feet: 8, Ranks: []Rank{{Breaks: []Break{{36, 8}}}}, WindPa: 735, LowKey: 36, HighKey: 96}}}}}
	return o.Pipe(PipeID{Key: 60})
}

func TestAFamilyThatIsNotInTheTable(t *testing.T) {
	require.Empty(t, soundOf("harp", Open).Partials, "no pipe sounds by a law of zeros")
	_, ok := Family("harp").UsualDB(Open)
	require.False(t, ok)
	for _, c := range []struct{ name, stop, want string }{
		{"family", `name = "Harp 8", family = "harp"`, `t.toml:3: family "harp" is not known; use one of: principal, flute, string, reed`},
		{"construction", `name = "Gamba 8", family = "string", construction = "half-length"`, `t.toml:3: stop "Gamba 8": a string is not built half-length; use open or stopped`},
		{"stopped reed", `name = "Oboe 8", family = "reed", construction = "stopped"`, `t.toml:3: stop "Oboe 8": a reed is not built stopped; use open or half-length`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse([]byte("[[division]]\nname = \"Great\"\nstops = [{ "+c.stop+" }]\n"), "t.toml")
			require.EqualError(t, err, c.want)
		})
	}
}
