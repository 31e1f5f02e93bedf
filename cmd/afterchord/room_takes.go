package main

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/room"
	"afterchord/acoustics/wav"
	"afterchord/render/figures"
	"afterchord/render/table"
)

// printTakes prints each take with its times, whether it is used, and what is wrong; nothing where a single take is good.
func printTakes(w io.Writer, o table.Options, paths []string, j measure.Joined) error {
	if len(j.Takes) == 0 || len(j.Takes) == 1 && len(j.Takes[0].Cautions) == 0 {
		return nil
	}
	var rows [][]string
	for i, t := range j.Takes {
		used := "used"
		if !t.Used {
			used = "not used"
		}
		cells := []string{fmt.Sprint(i + 1), filepath.Base(paths[t.Recording]), fixed(t.AtS, 1)}
		for _, b := range []int{4, 5} {
			f := t.Result.Bands[b].RT()
			mark := ""
			if !f.Reliable && !math.IsNaN(f.Value) {
				mark = " ?"
			}
			cells = append(cells, fixed(f.Value, 2)+mark)
		}
		rows = append(rows, append(cells, used, strings.Join(t.Cautions, "; ")))
	}
	head := []string{">take", "recording", ">at, s", ">T 500 Hz, s", ">T 1 kHz, s", "", "caution"}
	if err := table.Grid(w, o, head, rows); err != nil {
		return err
	}
	if len(j.Takes) > 1 {
		for _, b := range []int{4, 5} {
			if f := j.Result.Bands[b].RT(); f.Reliable && j.Spread[b] > 0 {
				line := fmt.Sprintf("T at %s: %s s, takes within %s %% (standard deviation)", []string{"500 Hz", "1 kHz"}[b-4], fixed(f.Value, 2), fixed(100*j.Spread[b], 0))
				if _, err := fmt.Fprintln(w, o.Text(line)); err != nil {
					return err
				}
			}
		}
	}
	for _, c := range j.Cautions {
		if _, err := fmt.Fprintln(w, o.Text("! "+c)); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintln(w)
	return err
}

// writeTakes writes the room that several takes make: its file, and beside it the sound of the best take.
func (f *roomMeasure) writeTakes(cmd *cobra.Command, j measure.Joined, recordings []*impulse.Response, m measure.Result) error {
	if f.out == "" && f.svg == "" && f.png == "" {
		return nil
	}
	name := "church"
	if f.out != "" {
		name = baseName(f.out)
	}
	r, err := room.FromTakes(j, recordings, name)
	if err != nil {
		return err
	}
	if err := f.draw(func() (figures.Figure, error) { return figures.MeasuredRoom(r, m) }); err != nil {
		return err
	}
	if f.out == "" {
		return nil
	}
	best := j.Takes[j.Best].Sound(recordings)
	sound := strings.TrimSuffix(f.out, filepath.Ext(f.out)) + ".wav"
	if err := writeSoundFile(sound, best); err != nil {
		return err
	}
	r.ResponseFile = filepath.Base(sound)
	if err := writeWhole(f.out, r.WriteTOML); err != nil {
		return err
	}
	if f.json {
		return nil
	}
	_, err = fmt.Fprintf(cmd.OutOrStdout(), "\n%s\n%s\n", f.out, sound)
	return err
}

func writeSoundFile(path string, s *impulse.Response) error {
	block := make([]float64, 2*len(s.L))
	for i := range s.L {
		block[2*i], block[2*i+1] = s.L[i], s.R[i]
	}
	w, err := wav.Create(path, wav.Options{Rate: s.Rate, Channels: 2, Format: wav.Float32})
	if err != nil {
		return err
	}
	if err := w.Write64(block); err != nil {
		w.Abort()
		return err
	}
	return w.Close()
}
