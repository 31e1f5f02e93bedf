package room

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"afterchord/acoustics/measure"
)

func TestRoomFileRefuses(t *testing.T) {
	for _, row := range []struct{ text, want string }{
		{"volume = 0\nrt = 2\n", "x.toml:1: volume"},
		{"rt = -1\n", "x.toml:1:"},
		{"name = \"a\"\nrt = nan\n", "x.toml:2:"},
		{"volume = 100\n[[surface]]\nmaterial = \"brick\"\narea = 10\n[[surface]]\nmaterial = \"moss\"\narea = 3\nabsorption = { \"125\" = 1.2 }\n", "x.toml:8:"},
		{"volume = 100\n[[surface]]\nmaterial = \"moss\"\narea = 3\n[surface.absorption]\n\"125\" = 0.2\n\"300\" = 0.2\n", "x.toml:7:"},
		{"volume = 100\npeople = -5\n[[surface]]\nmaterial = \"brick\"\narea = 10\n", "x.toml:2: people"},
		{"volume = 100\n[[surface]]\nmaterial = \"cheese\"\narea = 10\n", "x.toml:3: no material"},
		{"rt = 2\nrt60 = { \"500\" = 2.0 }\n", "one of the three"},
		{"rt = 2\nbright = true\n", "x.toml:2: unknown key"},
		{"rt = \n", "x.toml:1:"},
		{"humidity = 0\nrt = 2\n", "x.toml:1: humidity"},
		{"size = [1, 2]\nrt = 2\n", "x.toml:1: size"},
		{"", "how long does it ring"},
	} {
		_, err := Parse([]byte(row.text), "x.toml")
		if err == nil || !strings.Contains(err.Error(), row.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %v, want one line with %q", row.text, err, row.want)
		}
	}
}

func TestWriteTOMLReadsBack(t *testing.T) {
	for _, name := range BuiltIns() {
		r, _ := BuiltIn(name)
		r.Slow = &SlowDecay{LevelDB: -12, RT60: r.RT60}
		r.UnsureHz = []float64{31.5, 500}
		var b bytes.Buffer
		if err := r.WriteTOML(&b); err != nil {
			t.Fatal(err)
		}
		back, err := Parse(b.Bytes(), name+".toml")
		if err != nil {
			t.Fatal(err)
		}
		var again bytes.Buffer
		if err := back.WriteTOML(&again); err != nil || again.String() != b.String() {
			t.Errorf("%s changes: %v\n%s\n%s", name, err, b.String(), again.String())
		}
	}
}

func TestSeat(t *testing.T) {
	r, _ := BuiltIn("abbey")
	for _, name := range []string{"console", "Front", "", "12.5", "12.5 m"} {
		if _, err := r.Seat(name); err != nil {
			t.Error(err)
		}
	}
	for _, name := range []string{"roof", "0", "-3", "900", "nan"} {
		if _, err := r.Seat(name); err == nil {
			t.Errorf("seat %q is accepted", name)
		}
	}
}

func FuzzParseRoom(f *testing.F) {
	for _, name := range BuiltIns() {
		data, _ := builtInFiles.ReadFile("builtin/" + name + ".toml")
		f.Add(data)
	}
	f.Add([]byte("volume=900\npeople=3\n[[surface]]\nmaterial=\"brick\"\narea=600\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Parse(data, "x.toml")
		if faults := Check(data, "x.toml"); (len(faults) > 0) != (err != nil) && !strings.Contains(fmt.Sprint(err), "response") {
			t.Fatalf("%v, but Check finds %v", err, faults)
		}
		if err == nil && (r == nil || r.VolumeM3 <= 0 || len(r.Seats) == 0) {
			t.Fatal("half a room")
		}
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Fatalf("more than a line: %q", err)
		}
	})
}

// Check names each mistake once, in order, and no mistake that only follows from another.
func TestCheckNamesEveryMistake(t *testing.T) {
	text := `title = "Ours"
size = [30, 12]
humidity = 0
colour = "white"

[[surface]]
material = "brick"
area = 300
[[surface]]
material = "cheese"
area = 10

[[seat]]
name = "loft"
at = [0, 20, 4]
[[seat]]
name = "loft"
at = [0, 10, 1]

[noise]
"500" = 400
`
	var got []string
	for _, f := range Check([]byte(text), "x.toml") {
		got = append(got, f.Error())
	}
	want := []string{"x.toml:2: size", "x.toml:3: humidity", "x.toml:4: unknown key", "x.toml:10: no material", "x.toml:17: seat", "x.toml:21: noise"}
	if len(got) != len(want) {
		t.Fatalf("%d mistakes, want %d:\n%s", len(got), len(want), strings.Join(got, "\n"))
	}
	for i := range want {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("%q, want %q", got[i], want[i])
		}
	}
	if found := Check([]byte("rt = 2\n"), "x.toml"); len(found) != 0 {
		t.Errorf("a whole file: %v", found)
	}
}

// The bands whose measured time is not sure are named, and the rest is not.
func TestMeasuredTimesThatAreNotSure(t *testing.T) {
	var m measure.Result
	for b := range m.Bands {
		m.Bands[b].T30 = measure.Figure{Value: 2, Reliable: b != 0 && b != 4}
	}
	r, err := FromMeasures(m, "ours")
	if err != nil || !slices.Equal(r.UnsureHz, []float64{31.5, 500}) {
		t.Fatal(r, err)
	}
}
