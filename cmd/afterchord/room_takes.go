package main

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/render/table"
)

// printTakes prints each take with its times, whether it is used, and what is wrong; nothing where a single take is good.
func printTakes(w io.Writer, o table.Options, paths []string, j measure.Joined) error {
	if len(j.Takes) == 0 || len(j.Takes) == 1 && len(j.Takes[0].Cautions) == 0 {
		return nil
	}
	sum := "The reverberation time is not sure."
	low, high := j.Result.Bands[octave.Index(500)].RT(), j.Result.Bands[octave.Index(1000)].RT()
	switch rt, ok := j.Result.MidTime(); {
	case ok && low.Reliable && high.Reliable:
		sum = fmt.Sprintf("Reverberation time %s s, mean of 500 Hz and 1 kHz", fixed(rt, 1))
	case ok && high.Reliable:
		sum = fmt.Sprintf("Reverberation time %s s at 1 kHz; at 500 Hz it is not sure", fixed(rt, 1))
	case ok:
		sum = fmt.Sprintf("Reverberation time %s s at 500 Hz; at 1 kHz it is not sure", fixed(rt, 1))
	}
	if _, err := fmt.Fprintf(w, "%s\n\n", sum); err != nil {
		return err
	}
	var rows [][]string
	for i, t := range j.Takes {
		used := "used"
		if !t.Used {
			used = "not used"
		}
		cells := []string{fmt.Sprint(i + 1), filepath.Base(paths[t.Recording]), fixed(t.AtS, 1)}
		for _, m := range measure.MidBands {
			f := t.Result.Bands[m.Band].RT()
			mark := ""
			if !f.Reliable && !math.IsNaN(f.Value) {
				mark = " ?"
			}
			cells = append(cells, fixed(f.Value, 2)+mark)
		}
		var brief []string
		for _, c := range t.Cautions {
			brief = append(brief, measure.Brief(c))
		}
		rows = append(rows, append(cells, used, strings.Join(brief, "; ")))
	}
	head := []string{">take", "recording", ">at, s", ">T 500 Hz, s", ">T 1 kHz, s", "", "caution"}
	if err := table.Grid(w, o, head, rows); err != nil {
		return err
	}
	if len(j.Takes) > 1 {
		for _, m := range measure.MidBands {
			f := j.Result.Bands[m.Band].RT()
			if name, within, ok := j.Averaged(m.Band); ok {
				line := fmt.Sprintf("%s at %s: %s s, sure within %s %%; read from the mean of the takes", name, m.Name, fixed(f.Value, 2), fixed(100*within, 0))
				if _, err := fmt.Fprintln(w, o.Text(line)); err != nil {
					return err
				}
			} else if f.Reliable && j.Spread[m.Band] > 0 {
				line := fmt.Sprintf("T at %s: %s s, takes within %s %% (standard deviation)", m.Name, fixed(f.Value, 2), fixed(100*j.Spread[m.Band], 0))
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
