package figures

import (
	"fmt"

	"afterchord/render/internal/words"
	"afterchord/sim/sweep"
)

// Swept is the heat map of one organ (by index): the share of the piece that is lost in each room at each tempo.
func Swept(r *sweep.Result, organ int) (Figure, error) {
	h := Heat{Title: "Music lost on " + r.Organs[organ], Unit: "% of the piece", Decimals: 1, RowName: "room", ColName: "tempo, crotchets a minute"}
	for i, room := range r.Rooms {
		h.Rows = append(h.Rows, fmt.Sprintf("%s %s s", room.Name, words.Number(room.RTS, 1)))
		row := make([]float64, len(r.Tempi))
		for t := range r.Tempi {
			c := &r.Cells[(organ*len(r.Rooms)+i)*len(r.Tempi)+t]
			row[t] = 100 * c.LostShare
			if i == 0 {
				h.Cols = append(h.Cols, words.Number(c.Crotchets, 0))
			}
		}
		h.Values = append(h.Values, row)
	}
	return HeatMap(h)
}
