// Command sensitivity writes a table of how each finding of the demo pieces moves with the
// reverberation time, the tempo, the fall in level, the level of an accompaniment, the pitch and the organ, so that a reader can see whether
// the model behaves as a musician expects. Run it from the top folder:
//
//	go run ./cmd/sensitivity > sim/finding/SENSITIVITY.md
package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"

	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
	"afterchord/voicing"
)

// setting is one way to run a piece.
type setting struct {
	name  string
	rt    float64
	tempo float64
	organ string
	great float64 // level of the Great's stops re the description, dB
}

var usual = setting{rt: 3.5, tempo: 1, organ: "minster"}

// series are the settings of a table: one choice moves, the rest stay usual.
func series() map[string][]setting {
	out := map[string][]setting{}
	for _, rt := range []float64{0.5, 1, 2, 3.5, 5, 7} {
		s := usual
		s.name, s.rt = fmt.Sprintf("%.1f s", rt), rt
		out["rt"] = append(out["rt"], s)
	}
	for _, f := range []float64{0.5, 0.75, 1, 1.25} {
		s := usual
		s.name, s.tempo = fmt.Sprintf("× %.2f", f), f
		out["tempo"] = append(out["tempo"], s)
	}
	for _, db := range []float64{-6, -3, 0, 3, 6} {
		s := usual
		s.name, s.great = fmt.Sprintf("%+.0f dB", db), db
		out["level"] = append(out["level"], s)
	}
	for _, db := range []float64{-12, -8, -4, 0, 4, 8} {
		s := usual
		s.name, s.great = fmt.Sprintf("%+.0f dB", db), db
		out["fall"] = append(out["fall"], s)
	}
	for _, o := range voicing.BuiltIns() {
		s := usual
		s.name, s.organ = o, o
		out["organ"] = append(out["organ"], s)
	}
	return out
}

func main() {
	w := bufio.NewWriter(os.Stdout)
	err := write(w)
	if e := w.Flush(); err == nil {
		err = e
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "sensitivity:", err)
		os.Exit(1)
	}
}

func write(w io.Writer) error {
	fmt.Fprintf(w, "# How the findings move\n\nWritten by `go run ./cmd/sensitivity`. Each demo piece is run with one choice moved and the rest as usual: a room of %.1f s,\nthe written tempo and dynamics, the minster organ, the middle seat. Every figure is the worst place of its kind; – is no finding.\n", usual.rt)
	all := series()
	for _, t := range tables {
		fmt.Fprintf(w, "\n## %s\n\n%s\n\n", t.title, t.expect)
		if err := table(w, all[t.key], t.columns); err != nil {
			return err
		}
	}
	return nil
}

// tables are the settings' tables in order, with what a musician expects of each.
var tables = []struct {
	key, title, expect string
	columns            []column
}{
	{"rt", "Reverberation time", "The longer the room rings, the longer an entry is covered, the smaller the dip between notes and the less is left of a solo.", columns},
	{"tempo", "Tempo", "Slower repetitions leave a deeper dip; how long an entry is covered does not depend on the tempo, but how much of its first note that eats does.", columns},
	{"fall", "Fall in level", "The stops of the Great, on which the loud passage is, voiced so much louder, none more or less drawn: the further the music falls, the longer the entry is covered. By dynamic marks instead it also goes by the colours that each mark draws.", fallColumns},
	{"level", "Level of the accompaniment", "The stops of the Great, on which the accompaniment is, voiced so much louder, none drawn or put in: the louder it is, the less is left of the solo. By dynamic marks instead it goes up and down, since each mark draws stops of other colours; and the ringing of the solo's own last notes, which no voicing of the accompaniment changes, has the greater part in it.", soloColumns},
	{"organ", "Organ", "A small organ falls less between the same two marks, so less is covered; with one manual there is neither a solo nor an accompaniment.", columns},
}

// column is what a table shows: a demo, a kind of finding and a measured value.
type column struct{ demo, kind, measured, head string }

var columns = []column{
	{"drop", finding.KindCoveredEntry, "inaudible_s", "drop: inaudible, s"},
	{"drop", finding.KindCoveredEntry, "faint_s", "faint, s"},
	{"drop", finding.KindCoveredEntry, "blurred_s", "blurred, s"},
	{"drop", finding.KindCoveredEntry, "share_lost", "of the note"},
	{"drop", finding.KindBlurredHarmony, "blurred_s", "harmony blurred, s"},
	{"dotted", finding.KindRunTogether, "dip_db", "dotted: dip, dB"},
	{"dotted", finding.KindRunTogether, placesKey, "notes lost"},
	{"solo", finding.KindMaskedSolo, "worst_share", "solo: heard"},
	{"solo", finding.KindMaskedSolo, "lacks_db", "lacks, dB"},
}

// The columns of one demo each.
var (
	fallColumns = append([]column{{"drop", finding.KindCoveredEntry, "drop_db", "fall, dB"}}, columns[:4]...)
	soloColumns = columns[7:]
)

func table(w io.Writer, rows []setting, columns []column) error {
	fmt.Fprint(w, "| |")
	for _, c := range columns {
		fmt.Fprintf(w, " %s |", c.head)
	}
	fmt.Fprint(w, "\n|---|")
	for range columns {
		fmt.Fprint(w, "---|")
	}
	fmt.Fprintln(w)
	for _, s := range rows {
		fmt.Fprintf(w, "| %s |", s.name)
		found := map[string][]finding.Finding{}
		for _, c := range columns {
			if _, ok := found[c.demo]; ok {
				continue
			}
			f, err := run(c.demo, s)
			if err != nil {
				return err
			}
			found[c.demo] = f
		}
		for _, c := range columns {
			fmt.Fprintf(w, " %s |", cell(found[c.demo], c.kind, c.measured))
		}
		fmt.Fprintln(w)
	}
	return nil
}

// placesKey is the measured value that is summed over the findings of a kind.
const placesKey = "places"

// cell is a measured value of the worst finding of a kind; placesKey is summed over all of them.
func cell(fs []finding.Finding, kind, measured string) string {
	places, value, found := 0.0, "", false
	for _, f := range fs { // the worst comes first
		if f.Kind != kind {
			continue
		}
		if !found {
			value = fmt.Sprintf("%.4g", f.Measured[measured])
		}
		found = true
		places += f.Measured[placesKey]
	}
	switch {
	case !found:
		return "–"
	case measured == placesKey:
		return fmt.Sprint(places)
	}
	return value
}

func run(demo string, x setting) ([]finding.Finding, error) {
	data, ok := demos.Piece(demo)
	if !ok {
		return nil, fmt.Errorf("no demo %q", demo)
	}
	s, err := smf.Read(data, demo+".mid")
	if err != nil {
		return nil, err
	}
	hall, err := room.FromRT(x.rt)
	if err != nil {
		return nil, err
	}
	organ, err := voiced(x)
	if err != nil {
		return nil, err
	}
	seat, err := hall.Seat("middle")
	if err != nil {
		return nil, err
	}
	p, err := proof.Run(context.Background(), proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ, Tempo: x.tempo})
	if err != nil {
		return nil, err
	}
	return p.Document.Findings, nil
}

// voiced is the setting's organ, stops voiced as it says.
func voiced(x setting) (*voicing.Organ, error) {
	data, ok := voicing.BuiltInSource(x.organ)
	if !ok {
		return nil, fmt.Errorf("no organ %q", x.organ)
	}
	o, err := voicing.Parse(data, x.organ+".toml")
	if err != nil {
		return nil, err
	}
	d, _ := o.DivisionByName("Great")
	for i := range o.Divisions[d].Stops {
		o.Divisions[d].Stops[i].LevelDB += x.great
	}
	return o, nil
}
