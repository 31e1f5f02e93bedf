package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"afterchord/acoustics/air"
	"afterchord/acoustics/room"
	"afterchord/sim/levels"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

func TestOrganList(t *testing.T) {
	out := must(t, "organ", "list")
	for _, name := range voicing.BuiltIns() {
		o, _ := voicing.BuiltIn(name)
		stops, ranks, pipes := o.Count()
		line := strings.Join(row(t, out, name), " ")
		require.Contains(t, line, o.Title)
		require.Contains(t, line, fmt.Sprintf(" %d %d %d ", stops, ranks, pipes))
	}
	require.Contains(t, row(t, out, "minster"), "32", "lowest stop")
}

func TestOrganShowPrintsEveryStop(t *testing.T) {
	for _, name := range voicing.BuiltIns() {
		out := must(t, "organ", "show", name)
		o, _ := voicing.BuiltIn(name)
		stops, _, _ := o.Count()
		require.Contains(t, out, fmt.Sprintf("%4d  ", stops))
		require.Contains(t, out, fmt.Sprintf("%d stops", stops))
	}
}

// What --toml prints is a description that reads back as the same organ.
func TestOrganTOMLIsAStart(t *testing.T) {
	for _, name := range voicing.BuiltIns() {
		path := write(t, "own.toml", must(t, "organ", "show", name, "--toml"))
		require.Equal(t, must(t, "organ", "show", name), must(t, "organ", "show", path))
	}
}

func TestOrganLevelsAreTheLibrarys(t *testing.T) {
	out := must(t, "organ", "show", "minster", "--levels", "--room", "abbey", "--seat", "back")
	o, _ := voicing.BuiltIn("minster")
	r, _ := room.BuiltIn("abbey")
	seat, err := r.Seat("back")
	require.NoError(t, err)
	l := levels.NewListener(o, r, seat)
	for _, mark := range []string{"ppp", "fff"} {
		t.Run(mark, func(t *testing.T) {
			f := row(t, out, mark)
			at := len(f) - 2 // the level of the whole organ, then its step
			if mark == "ppp" {
				at = len(f) - 1
			}
			require.InDelta(t, l.Whole(mark).Phon(), numberAt(t, f, at), 0.051, "%v", f)
		})
	}
	s, _ := l.Softest()
	require.Contains(t, out, fmt.Sprintf("Softest stop  %.1f phon, %.1f dB", s.Level.Phon(), s.Level.DB))
	require.Contains(t, out, "Box shut")
	great, _ := o.DivisionByName("Great")
	place := o.Divisions[great].Place
	require.Contains(t, out, fmt.Sprintf("Great %.0f", 55+1000*place.Distance(seat.At)/air.SpeedOfSound(r.TempC)), "action 55 ms and the way")
	require.NotContains(t, out, "?", "every step of the minster is even")

	near := must(t, "organ", "show", "minster", "--levels", "--room", "abbey", "--seat", "6.5")
	require.Greater(t, numberAt(t, row(t, near, "fff"), 1), numberAt(t, row(t, out, "fff"), 1))
	require.Contains(t, must(t, "organ", "show", "cabinet", "--levels", "--rt", "0.8"), "0.8 s")
}

func TestOrganLevelsMarkUnevenSteps(t *testing.T) {
	path := write(t, "odd.toml", `
[[division]]
name = "Great"
stops = [{ name = "Flute 8", family = "flute" }, { name = "Trumpet 8", family = "reed", level_db = 12 }]
[plan.Great]
p = ["Flute 8"]
f = ["Trumpet 8"]`)
	out := must(t, "organ", "show", path, "--levels")
	require.Contains(t, strings.Join(row(t, out, "f"), " "), "?")
	require.Contains(t, out, "below 4 phon or above 10 phon")
}

func TestOrganCheck(t *testing.T) {
	path := write(t, "bad.toml", `
[[division]]
name = "Great"
stops = [
  { name = "Flute 8", family = "brass" },
  { name = "Open 8", family = "principal", feet = -3 },
]
[plan.Great]
p = ["Krummhorn 8"]
`)
	out, err := inProcess("organ", "check", path)
	require.Error(t, err)
	var u usageError
	require.False(t, errors.As(err, &u), "a mistake in a file is a failure, not a usage error")
	require.Contains(t, err.Error(), "bad.toml: ")
	require.Contains(t, err.Error(), "mistakes")
	for _, at := range []string{"bad.toml:5: ", "bad.toml:6: ", "bad.toml:9: "} {
		t.Run(at, func(t *testing.T) {
			require.Contains(t, out, at)
		})
	}

	good := write(t, "good.toml", must(t, "organ", "show", "village", "--toml"))
	require.Equal(t, "good.toml: no mistakes; 3 divisions, 14 stops, 16 ranks, 844 pipes\n", must(t, "organ", "check", good))

	remarked := write(t, "plan.toml", `
[[division]]
name = "Great"
stops = [{ name = "Flute 8", family = "flute" }, { name = "Trumpet 8", family = "reed", level_db = 12 }]
[plan.Great]
p = ["Flute 8"]
f = ["Trumpet 8"]
`)
	require.Contains(t, must(t, "organ", "check", remarked), "plan.toml: remark: Great: f jumps by")
}

func TestOrganSpeechIsTheLibrarys(t *testing.T) {
	out := must(t, "organ", "speech", "--organ", "minster", "--division", "Pédale")
	o, _ := voicing.BuiltIn("minster")
	pedal, _ := o.DivisionByName("Pedal")
	for _, c := range voicing.SpeechCurve(o, pedal) {
		line := ""
		for _, l := range strings.Split(out, "\n") {
			if strings.HasPrefix(l, c.Stop.Name+" ") {
				line = l
			}
		}
		first := fmt.Sprintf(" %.0f ", 1000*c.SpeakS[0])
		require.Contains(t, line+" ", first, c.Stop.Name)
	}
	// The lowest stop is the slowest, and reeds speak sooner than flues of the same pitch (common practice).
	wood, trombone, open := line(t, out, "Double Open Wood 32"), line(t, out, "Trombone 16"), line(t, out, "Open Diapason 16")
	slowest := func(f []string) float64 { return numberAt(t, f, len(f)-2) }
	require.Greater(t, slowest(wood), slowest(open))
	require.Greater(t, slowest(open), slowest(trombone))
	require.NotContains(t, out, "Great")
	require.Equal(t, 4, strings.Count(must(t, "organ", "speech"), "time to speak"), "all divisions")
	require.Equal(t, 1, strings.Count(must(t, "organ", "speech", "--organ", "cabinet"), "time to speak"), "a pull-down pedal has no pipes")
}

func line(t *testing.T, out, prefix string) []string {
	t.Helper()
	for _, l := range strings.Split(out, "\n") {
		if strings.HasPrefix(l, prefix+" ") {
			return strings.Fields(l)
		}
	}
	require.Fail(t, "no line", prefix)
	return nil
}

func TestOrganSpeechDraws(t *testing.T) {
	pictures(t, "organ", "speech", "--organ", "village")
	pictures(t, "organ", "speech", "--organ", "minster", "--division", "Pedal")
}

func TestOrganRefuses(t *testing.T) {
	refused(t, true, "there is no command", "organ", "tune")
	refused(t, true, "takes one ORGAN", "organ", "show")
	refused(t, true, "there is no organ", "organ", "show", "barrel")
	refused(t, true, "--seat goes with --levels", "organ", "show", "village", "--seat", "back")
	refused(t, true, "not both", "organ", "show", "village", "--levels", "--room", "abbey", "--rt", "2")
	refused(t, true, "no seat", "organ", "show", "village", "--levels", "--seat", "loft")
	refused(t, true, "there is no room", "organ", "show", "village", "--levels", "--room", "barn")
	refused(t, true, "village has Great, Swell, Pedal", "organ", "speech", "--organ", "village", "--division", "Violin")
	refused(t, true, "no pipes of its own", "organ", "speech", "--organ", "cabinet", "--division", "Pedal")
	refused(t, false, "no such file", "organ", "check", filepath.Join(t.TempDir(), "none.toml"))
	refused(t, false, "is a folder", "organ", "check", t.TempDir())

	dir := t.TempDir()
	_, err := inProcess("organ", "speech", "--organ", "cabinet", "--png", filepath.Join(dir, "no", "such.png"))
	require.Error(t, err)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left)
}

// The organ may be named as for organ show, once.
func TestOrganSpeechTakesAnOrgan(t *testing.T) {
	require.Equal(t, must(t, "organ", "speech", "--organ", "village"), must(t, "organ", "speech", "village"))
	refused(t, true, "takes one ORGAN", "organ", "speech", "village", "--organ", "cabinet")
	refused(t, true, "takes one ORGAN", "organ", "speech", "village", "cabinet")
}
