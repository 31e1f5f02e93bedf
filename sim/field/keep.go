package field

import (
	"sort"
)

// snapshotS is how long after an onset the residue is taken: long enough for keys
// let go together with it, short against the decay of any room.
const snapshotS = 0.06

// maxKept bounds the frames kept after one fall: 20 s, longer than any church's decay.
const maxKept = 20 / 0.02

// rowsAtOnce is how many kept frames are made room for at once.
const rowsAtOnce = 64

// kept are the frames after falls of level, those of one stretch after another.
type kept struct {
	first int         // frame of the stretch
	until int         // and the one after its last
	rows  [][]float32 // of the stretch
	falls []fall      // in it
}

// fall is an onset whose frames are kept.
type fall struct {
	onset       int // index
	from, until int // frames
}

// endOf is the end of a frame, s.
func (e *engine) endOf(frame int) float64 { return float64(frame)*e.step + e.step }

// snapshot keeps the residue for an onset at the end of a frame.
func (e *engine) snapshot(onset, frame int) {
	o := &e.f.Onsets[onset]
	o.AtS = e.endOf(frame)
	o.OldDB = -99
	last := max(0, int(o.HeardS/e.step)-1)
	for i := max(0, last-int(OldS/e.step)); i <= last && i < len(e.f.LevelDB); i++ {
		if v := e.f.LevelDB[i]; v > o.OldDB { // quicker than max, which thinks of what is no number
			o.OldDB = v
		}
	}
	for t := 0; t < e.h.terms; t++ {
		o.Residue[t] = e.row(len(e.residue[t]))
		for b, v := range e.residue[t] {
			o.Residue[t][b] = float32(min(v, e.tail[t][b]))
		}
	}
	o.NewDB = float32(toDB(e.steadyNow()))
	if o.OldDB-o.NewDB >= FallDB {
		e.follow(onset, frame)
	}
}

// steadyNow is the mean-square pressure that the pipes now speaking would reach for good.
func (e *engine) steadyNow() float64 {
	h, sum := e.h, 0.0
	for d := range e.speaking {
		if e.sounding[d] == 0 {
			continue
		}
		box := &e.boxes[d]
		for _, o := range h.octaves {
			in, ahead := 0.0, 0.0
			for b := o.from; b < o.to; b++ {
				p := e.speaking[d][b]
				in += p * h.through[d][b]
				ahead += p * h.direct[d][b]
			}
			sum += (in + ahead*(box.aim[o.index]-1)) * box.gain[o.index]
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

// follow has the frames from this one on kept, while what was there before is of interest.
func (e *engine) follow(onset, frame int) {
	o := &e.f.Onsets[onset]
	n := 1 + sort.Search(maxKept-1, func(i int) bool {
		left, kept := 0.0, e.lapses.after(e.endOf(frame+i)-o.AtS)
		for t, left1 := range o.Residue[:e.h.terms] {
			for b, v := range left1 {
				left += float64(v) * kept[b][t]
			}
		}
		return toDB(left) <= float64(o.NewDB)-keepDB
	})
	k := &e.kept
	if frame >= k.until {
		k.close(e.f)
		k.first = frame
	}
	k.until = max(k.until, frame+n)
	k.falls = append(k.falls, fall{onset, frame, frame + n})
}

// keep records the frame where a fall asks for it.
func (e *engine) keep(now, old []float64, frame int) {
	if frame >= e.kept.until {
		return
	}
	row := e.row(len(now))
	for b := range row {
		row[b] = float32(now[b] + old[b])
	}
	e.kept.rows = append(e.kept.rows, row)
}

// close hands the frames of the stretch to its falls.
func (k *kept) close(f *Field) {
	for _, x := range k.falls {
		from, until := x.from-k.first, min(x.until-k.first, len(k.rows))
		f.Onsets[x.onset].Total = k.rows[from:until:until]
	}
	k.rows, k.falls = nil, nil
}
