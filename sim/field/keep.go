package field

import "math"

// snapshotS is how long after an onset the residue is taken: long enough for keys
// let go together with it, short against the decay of any room.
const snapshotS = 0.06

// maxKept bounds the frames kept after one fall: 20 s, longer than any church's decay.
const maxKept = 20 / 0.02

// rowsAtOnce is how many kept frames are made room for at once.
const rowsAtOnce = 64

// snapshot keeps the residue for an onset at the end (t1) of a frame.
func (e *engine) snapshot(o *Onset, frame int, t1 float64) {
	o.AtS = t1
	o.OldDB = -99
	last := max(0, int(o.HeardS/e.step)-1)
	for i := max(0, last-int(OldS/e.step)); i <= last && i < len(e.f.LevelDB); i++ {
		o.OldDB = max(o.OldDB, e.f.LevelDB[i])
	}
	for t := 0; t < e.h.terms; t++ {
		o.Residue[t] = e.row(len(e.residue[t]))
		for b, v := range e.residue[t] {
			o.Residue[t][b] = float32(min(v, e.tail[t][b]))
		}
	}
	o.NewDB = float32(toDB(e.steadyNow()))
	if o.OldDB-o.NewDB >= FallDB {
		e.falls = append(e.falls, o)
	}
}

// steadyNow is the mean-square pressure that the pipes now speaking would reach for good.
func (e *engine) steadyNow() float64 {
	h, sum := e.h, 0.0
	for d := range e.speaking {
		for b, p := range e.speaking[d] {
			if p > 0 {
				o := h.octaveOf[b]
				sum += p * h.through(d, b) * e.boxes[d][o]
			}
		}
	}
	for i := range e.rising {
		v := e.rising[i].voice
		for j, b := range v.bands {
			o := h.octaveOf[b]
			sum += v.steady[j] * h.through(v.division, int(b)) * e.boxes[v.division][o]
		}
	}
	return sum
}

// row is n values that stay, cut from a longer piece.
func (e *engine) row(n int) []float32 {
	if len(e.rows) < n {
		e.rows = make([]float32, rowsAtOnce*n)
	}
	row := e.rows[:n:n]
	e.rows = e.rows[n:]
	return row
}

// keep records the frame for the falls that are still of interest.
func (e *engine) keep(now, old []float64, t1 float64) {
	if len(e.falls) == 0 {
		return
	}
	row := e.row(len(now))
	for b := range row {
		row[b] = float32(now[b] + old[b])
	}
	kept := e.falls[:0]
	for _, o := range e.falls {
		o.Total = append(o.Total, row)
		left := 0.0
		for i := 0; i < e.h.terms; i++ {
			for b, v := range o.Residue[i] {
				left += float64(v) * math.Exp(-e.h.rate[b][i]*(t1-o.AtS))
			}
		}
		if toDB(left) > float64(o.NewDB)-keepDB && len(o.Total) < maxKept {
			kept = append(kept, o)
		}
	}
	e.falls = kept
}
