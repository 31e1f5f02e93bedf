package sweep

import (
	"encoding/csv"
	"io"
	"strconv"
)

// WriteCSV writes one line for each cell (RFC 4180).
func (r *Result) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	if err := c.Write([]string{"organ", "room", "rt_s", "tempo", "crotchets_a_minute", "fails", "warnings", "notes", "places", "lost_s", "lost_share", "stopped_by", "at"}); err != nil {
		return err
	}
	num := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	for i, x := range r.Cells {
		f, stop := x.Findings, x.Stops
		if stop == nil {
			stop = &Stop{}
		}
		room := r.Rooms[i/len(r.Tempi)%len(r.Rooms)]
		if err := c.Write([]string{x.Organ, x.Room, num(room.RTS), num(x.Tempo), num(x.Crotchets), strconv.Itoa(f.Fails),
			strconv.Itoa(f.Warnings), strconv.Itoa(f.Notes), strconv.Itoa(f.Places), num(f.LostS), num(x.LostShare), stop.Kind, stop.Where}); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}
