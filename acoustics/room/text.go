package room

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"afterchord/acoustics/octave"
)

// lineOf is the line, from 1, of key in the n-th (from 0) table of that name; "" is the top
// level. Where key is missing it is the table's own line.
func lineOf(data []byte, table string, n int, key string) int {
	current, seen, found := "", -1, 1
	for i, line := range strings.Split(string(data), "\n") {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[") {
			current = strings.Trim(strings.TrimSpace(strings.SplitN(line, "#", 2)[0]), "[] ")
			if current == table {
				seen++
				if seen == n {
					found = i + 1
				}
			}
			if table == "" && key != "" && (current == key || strings.HasPrefix(key, current+".")) {
				found = i + 1
			}
			continue
		}
		under, inside := strings.CutPrefix(current, table+".")
		if table == "" {
			under, inside = current, current != ""
		}
		if current != table && !inside || table != "" && seen != n {
			continue
		}
		name := strings.Trim(strings.TrimSpace(strings.SplitN(line, "=", 2)[0]), `"'`)
		if inside { // "[surface.absorption]" below its surface
			name = under + "." + name
		}
		if strings.HasPrefix(key, name+".") && strings.Contains(line, "=") { // a table in one line
			found = i + 1
		}
		if key != "" && (name == key || strings.HasPrefix(name, key+".")) && strings.Contains(line, "=") {
			return i + 1
		}
	}
	return found
}

// WriteTOML writes r as a room file that [Load] reads back, with its times per octave band. A measured
// room's response is named where it came from a file that [Room.ResponseFile] names, else it is written into the room file.
func (r *Room) WriteTOML(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "name = %s\ntitle = %s\n", strconv.Quote(r.Name), strconv.Quote(r.Title))
	if r.ConcertHall {
		b.WriteString("kind = \"hall\"\n")
	}
	fmt.Fprintf(&b, "volume = %s # m³\n", number(r.VolumeM3))
	fmt.Fprintf(&b, "size = [%s, %s, %s] # length, width, height, m\n", number(r.SizeM[0]), number(r.SizeM[1]), number(r.SizeM[2]))
	fmt.Fprintf(&b, "temperature = %s # °C\nhumidity = %s # %%\nseed = %d\n", number(r.TempC), number(r.Humidity), r.Seed)
	if r.ResponseFile != "" {
		fmt.Fprintf(&b, "response = %s\n", strconv.Quote(r.ResponseFile))
	}
	writeCautions(&b, r.Cautions)
	if len(r.UnsureHz) > 0 {
		var unsure []string
		for _, hz := range r.UnsureHz {
			unsure = append(unsure, number(hz))
		}
		fmt.Fprintf(&b, "unsure = [%s] # Hz: octave bands of which the measured time is not sure\n", strings.Join(unsure, ", "))
	}
	writeBands(&b, "rt60", "s", r.RT60)
	writeBands(&b, "noise", "dB SPL in each octave band", r.NoiseDB)
	for _, s := range r.Seats {
		fmt.Fprintf(&b, "\n[[seat]]\nname = %s\nat = [%s, %s, %s] # right, from the organ, up, m\n",
			strconv.Quote(s.Name), number(s.At.X), number(s.At.Y), number(s.At.Z))
	}
	if r.Slow != nil {
		fmt.Fprintf(&b, "\n[slow]\nlevel = %s # dB re the first slope at its start\n", number(r.Slow.LevelDB))
		writeBands(&b, "slow.rt60", "s", r.Slow.RT60)
	}
	if r.Measured != nil && r.ResponseFile == "" {
		if err := writeRecording(&b, r.Measured); err != nil {
			return err
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func writeCautions(b *strings.Builder, cautions []string) {
	if len(cautions) == 0 {
		return
	}
	var quoted []string
	for _, c := range cautions {
		quoted = append(quoted, strconv.Quote(c))
	}
	fmt.Fprintf(b, "cautions = [%s]\n", strings.Join(quoted, ", "))
}

func writeBands(b *strings.Builder, table, unit string, v octave.Bands) {
	fmt.Fprintf(b, "\n[%s] # %s\n", table, unit)
	for i, c := range octave.Centres {
		fmt.Fprintf(b, "%q = %s\n", strconv.FormatFloat(c, 'g', -1, 64), number(v[i]))
	}
}

// number has enough digits for a room, and a point so that TOML reads a float.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(s, "0")
	if strings.HasSuffix(s, ".") {
		s += "0"
	}
	return s
}
