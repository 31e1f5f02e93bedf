package main

import (
	"fmt"
	"slices"
	"strings"

	"afterchord/acoustics/room"
	"afterchord/render/table"
	"afterchord/sim/levels"
	"afterchord/voicing"

	"github.com/spf13/cobra"
)

func (f *organShow) place(cmd *cobra.Command) (*room.Room, room.Seat, error) {
	var r *room.Room
	var err error
	if cmd.Flags().Changed("rt") {
		if cmd.Flags().Changed("room") {
			return nil, room.Seat{}, usagef("give --room or --rt, not both")
		}
		if r, err = roomOfTime(f.rt, 0); err != nil {
			return nil, room.Seat{}, err
		}
	} else if r, err = loadRoom(f.room); err != nil {
		return nil, room.Seat{}, err
	}
	seat, err := r.Seat(f.seat)
	if err != nil {
		return nil, room.Seat{}, usageError{err}
	}
	return r, seat, nil
}

// printLevels prints the levels of o at the seat: a row for each mark, a column for each division.
func (f *organShow) printLevels(cmd *cobra.Command, o *voicing.Organ) error {
	r, seat, err := f.place(cmd)
	if err != nil {
		return err
	}
	w, screen := cmd.OutOrStdout(), screen()
	l := levels.NewListener(o, r, seat)
	path := r.Path(r.OrganMiddle(), seat)
	if err := writeLines(w, screen, fmt.Sprintf("%s in %s, seat %s at %s m\nLoudness level in phon and step from mark to mark, full chord, boxes open\n",
		o.Title, r.Title, seat.Name, fixed(path.DistanceM, 0))); err != nil {
		return err
	}
	head, rows, uneven := levelRows(o, l)
	if err := table.Grid(w, screen, head, rows); err != nil {
		return err
	}
	text := ""
	if uneven {
		text += unevenSteps + "\n"
	}
	text += "\n"
	marks := voicing.Marks()
	full := l.Whole(marks[len(marks)-1])
	text += fmt.Sprintf("Full organ    %s phon, %s dB, %s dB(A)\n", fixed(full.Phon(), 1), fixed(full.DB, 1), fixed(full.DBA, 1))
	if s, ok := l.Softest(); ok {
		d := &o.Divisions[s.Division]
		text += fmt.Sprintf("Softest stop  %s phon, %s dB, %s dB(A): %s %s, single keys\n", fixed(s.Level.Phon(), 1), fixed(s.Level.DB, 1), fixed(s.Level.DBA, 1), d.Name, d.Stops[s.Stop].Name)
	}
	for d := range o.Divisions {
		if db, dba, ok := l.Shut(d); ok {
			text += fmt.Sprintf("Box shut      %s dB, %s dB(A): %s at its loudest\n", fixed(db, 1), fixed(dba, 1), o.Divisions[d].Name)
		}
	}
	var late []string
	for d := range o.Divisions {
		if div := &o.Divisions[d]; len(div.Stops) > 0 {
			late = append(late, fmt.Sprintf("%s %s", div.Name, fixed(1000*(div.Action.DelayS+r.Path(div.Place, seat).DelayS), 0)))
		}
	}
	if len(late) > 0 {
		text += fmt.Sprintf("Late by       %s ms (action and way to the seat, before the pipe's own speech)\n", strings.Join(late, ", "))
	}
	text += fmt.Sprintf("Background    %s dB(A)\n", fixed(r.NoiseDBA(), 0))
	for _, c := range r.Cautions {
		text += "Caution       " + c + "\n"
	}
	if r.Measured != nil {
		text += "The recording of this room does not give sound power: its level is assumed.\n"
	}
	return writeLines(w, screen, text)
}

// unevenSteps says what a question mark behind a step means.
const unevenSteps = "? a step below 4 phon or above 10 phon"

// levelRows lays the steps out as a table; uneven says that a step is out of the usual range.
func levelRows(o *voicing.Organ, l *levels.Listener) (head []string, rows [][]string, uneven bool) {
	steps := l.Dynamics()
	var divisions []int
	for _, s := range steps {
		if !slices.Contains(divisions, s.Division) {
			divisions = append(divisions, s.Division)
		}
	}
	head = []string{"mark"}
	for _, d := range divisions {
		name := "whole organ"
		if d != levels.Whole {
			name = o.Divisions[d].Name
		}
		head = append(head, ">"+name, ">step  ")
	}
	for _, mark := range voicing.Marks() {
		row, some := []string{mark}, false
		for _, d := range divisions {
			i := slices.IndexFunc(steps, func(s levels.Step) bool { return s.Division == d && s.Mark == mark })
			if i < 0 {
				row = append(row, "", "")
				continue
			}
			some = true
			s := steps[i]
			step := ""
			if !s.First {
				sign := "  "
				if s.Uneven() {
					sign, uneven = " ?", true
				}
				step = fmt.Sprintf("%+.1f%s", s.StepPhon, sign)
			}
			row = append(row, fixed(s.Level.Phon(), 1), step)
		}
		if some {
			rows = append(rows, row)
		}
	}
	return head, rows, uneven
}
