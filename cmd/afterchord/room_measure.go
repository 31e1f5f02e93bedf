package main

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"afterchord/acoustics"
	"afterchord/acoustics/octave"
	"afterchord/render/figures"
	"afterchord/render/table"
)

type roomMeasure struct {
	kind string
	out  string
	picture
}

func newRoomMeasure() *cobra.Command {
	var f roomMeasure
	cmd := &cobra.Command{
		Use:   "measure RECORDING.wav",
		Short: "measure a room from an impulse response, a burst, or a chord cut off",
		Long: `measure reads a WAV recording and prints, per octave band, RT60 as T20 and T30, EDT, C80,
D50 and Ts as ISO 3382-1 defines them, with the noise taken off. A figure that the
recording does not carry safely is marked "?", one that it does not carry at all is "-";
the reasons stand below the table. --kind says what made the room ring:
  impulse      an impulse response, a balloon burst, a hand clap
  interrupted  a chord or a noise that was held and cut off: T20 and T30 only
--out writes a room file for 'proof --room'. After an impulse the room sounds as it was
recorded (the file names the recording: keep both together).

A balloon burst close to the ear harms hearing: hold it at arm's length and wear ear
protection.`,
		Example: `  afterchord room measure balloon.wav --out our-church.toml
  afterchord room measure chord.wav --kind interrupted`,
		Args: exactly(1, "one RECORDING.wav"),
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd, args[0]) },
	}
	fl := cmd.Flags()
	fl.StringVar(&f.kind, "kind", "impulse", "impulse (also balloon, clap) or interrupted (also chord, noise)")
	fl.StringVarP(&f.out, "out", "o", "", "room file to write (.toml)")
	f.register(cmd)
	return cmd
}

func (f *roomMeasure) run(cmd *cobra.Command, path string) error {
	var made acoustics.Excitation
	switch f.kind {
	case "impulse", "balloon", "clap":
		made = acoustics.Impulse
	case "interrupted", "chord", "noise":
		made = acoustics.CutOff
	default:
		return usagef("--kind %q: use impulse or interrupted", f.kind)
	}
	if f.out != "" && !strings.EqualFold(filepath.Ext(f.out), ".toml") {
		return usagef("--out %s: a room file ends in .toml", f.out)
	}
	resp, err := acoustics.ReadResponse(path)
	if err != nil {
		return namedError(path, err)
	}
	var m acoustics.Measures
	if made == acoustics.Impulse {
		m, err = acoustics.MeasureResponse(resp)
	} else {
		m, err = acoustics.FromRecording(resp, made)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	w, o := cmd.OutOrStdout(), screen()
	title := fmt.Sprintf("%s: %d Hz, %s s; the sound begins at %s s", filepath.Base(path), resp.Rate, fixed(float64(len(resp.L))/float64(resp.Rate), 2), fixed(m.OnsetS, 3))
	if made == acoustics.CutOff {
		title = strings.Replace(title, "the sound begins", "it is cut off", 1)
	}
	if _, err := fmt.Fprintln(w, o.Text(title)); err != nil {
		return err
	}
	if err := writeMeasures(w, o, m); err != nil {
		return err
	}
	if f.out == "" && f.svg == "" && f.png == "" {
		return nil
	}
	r, err := f.room(path, resp, m, made)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if seat, err := r.Seat("middle"); err == nil {
		if err := f.draw(func() (figures.Figure, error) { return figures.Room(r, seat) }); err != nil {
			return err
		}
	}
	if f.out == "" {
		return nil
	}
	if err := writeWhole(f.out, r.WriteTOML); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "\n%s\n", f.out)
	return err
}

// room is the measured room, named after the file that it goes to.
func (f *roomMeasure) room(path string, resp *acoustics.Response, m acoustics.Measures, made acoustics.Excitation) (*acoustics.Room, error) {
	base := filepath.Base(path)
	if f.out != "" {
		base = filepath.Base(f.out)
	}
	name := strings.TrimSuffix(base, filepath.Ext(base))
	if made == acoustics.CutOff {
		return acoustics.RoomFromMeasures(m, name)
	}
	r, err := acoustics.RoomFromResponse(resp, name)
	if err != nil {
		return nil, err
	}
	r.ResponseFile = responseName(path, f.out)
	return r, nil
}

// responseName is the recording as a room file at out names it: beside it where that can be said.
func responseName(recording, out string) string {
	to, err1 := filepath.Abs(recording)
	from, err2 := filepath.Abs(filepath.Dir(out))
	if err1 == nil && err2 == nil {
		if rel, err := filepath.Rel(from, to); err == nil {
			return filepath.ToSlash(rel)
		}
	}
	return recording
}

// doubt is a reason for which figures are marked, and the bands of each figure that it holds for.
type doubt struct {
	why   string
	bands map[string][]int
}

// figureNames are the columns of the table of measures.
var figureNames = []string{"T20", "T30", "EDT", "C80", "D50", "Ts"}

// writeMeasures prints the table, the reliability marks and why they are there.
func writeMeasures(w io.Writer, o table.Options, m acoustics.Measures) error {
	var rows [][]string
	var doubts []doubt
	for b, hz := range octave.Centres {
		band := m.Bands[b]
		row := []string{plain(hz), fixed(band.RangeDB, 0)}
		for i, x := range []struct {
			f        acoustics.Figure
			scale    float64
			decimals int
		}{{band.T20, 1, 2}, {band.T30, 1, 2}, {band.EDT, 1, 2}, {band.C80, 1, 1}, {band.D50, 100, 0}, {band.Ts, 1000, 0}} {
			cell := fixed(x.f.Value*x.scale, x.decimals)
			mark := "  "
			if !x.f.Reliable {
				if !math.IsNaN(x.f.Value) {
					mark = " ?"
				}
				doubts = addDoubt(doubts, x.f.Why, figureNames[i], b)
			}
			row = append(row, cell+mark)
		}
		rows = append(rows, row)
	}
	head := []string{">band, Hz", ">range, dB", ">T20, s  ", ">T30, s  ", ">EDT, s  ", ">C80, dB  ", ">D50, %  ", ">Ts, ms  "}
	if err := table.Grid(w, o, head, rows); err != nil {
		return err
	}
	if m.Clipped {
		if _, err := fmt.Fprintln(w, "? the recording is clipped: record it again at a lower level"); err != nil {
			return err
		}
		doubts = slices.DeleteFunc(doubts, func(d doubt) bool { return strings.Contains(d.why, "clipped") })
	}
	for _, d := range doubts {
		if _, err := fmt.Fprintln(w, o.Text(d.String())); err != nil {
			return err
		}
	}
	return nil
}

func addDoubt(doubts []doubt, why, figure string, band int) []doubt {
	i := slices.IndexFunc(doubts, func(d doubt) bool { return d.why == why })
	if i < 0 {
		i = len(doubts)
		doubts = append(doubts, doubt{why, map[string][]int{}})
	}
	doubts[i].bands[figure] = append(doubts[i].bands[figure], band)
	return doubts
}

// String is the doubt as one line: "? T30 at 63, 125 Hz: 41 dB above the noise; needs 45 dB".
func (d doubt) String() string {
	var parts []string
	for i, name := range figureNames {
		bands := d.bands[name]
		if len(bands) == 0 || slices.ContainsFunc(figureNames[:i], func(n string) bool { return slices.Equal(d.bands[n], bands) }) {
			continue // said with an earlier figure of the same bands
		}
		names := name
		for _, n := range figureNames[i+1:] {
			if slices.Equal(d.bands[n], bands) {
				names += ", " + n
			}
		}
		if len(bands) == octave.N {
			parts = append(parts, names+" in every band")
			continue
		}
		var at []string
		for _, b := range bands {
			at = append(at, plain(octave.Centres[b]))
		}
		parts = append(parts, names+" at "+strings.Join(at, ", ")+" Hz")
	}
	return "? " + strings.Join(parts, "; ") + ": " + d.why
}

// namedError puts path before an error that does not name it.
func namedError(path string, err error) error {
	if strings.HasPrefix(err.Error(), path) {
		return err
	}
	return plainError(path, err)
}
