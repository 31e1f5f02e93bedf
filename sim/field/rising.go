package field

// Rising is a set of pipes that begin together, as the seat hears them fill the room.
type Rising struct {
	h     *Hall
	power [][]float64 // per division: steady power with the box as it stands, pW per auditory band; nil where none
	boxes []boxState  // per division
}

// Rising takes the pipes of events as steady sources that begin together, with the boxes as they stand at atS.
func (f *Field) Rising(events []int32, atS float64) *Rising {
	h := f.Hall
	r := &Rising{h: h, power: make([][]float64, len(h.Organ.Divisions)), boxes: make([]boxState, len(h.Organ.Divisions))}
	for _, e := range events {
		v := h.voice(f.Events[e].Pipe)
		if r.power[v.division] == nil {
			r.power[v.division] = make([]float64, h.Model.N())
			r.boxes[v.division] = h.boxAt(v.division, atS)
		}
		g := &r.boxes[v.division].gain
		for i, b := range v.bands {
			r.power[v.division][b] += v.steady[i] * g[h.octaveOf[b]]
		}
	}
	return r
}

// Add adds to dst the mean-square pressure, (20 µPa)² per auditory band, after the pipes have sounded for
// forS seconds: the direct sound, and each decay filled to 1−exp(−kt) of its steady state (Kuttruff, Room
// Acoustics, from memory: a diffuse field grows as it decays). The pipes' own speech is left out.
func (r *Rising) Add(dst []float64, forS float64) {
	h := r.h
	l := h.borrowed()
	lacks := l.after(forS)
	for d, power := range r.power {
		if power == nil {
			continue
		}
		for b, p := range power {
			if p == 0 {
				continue
			}
			through := h.direct[d][b] * r.boxes[d].aim[h.octaveOf[b]]
			for t := 0; t < h.terms; t++ {
				through += h.gain[d][b][t] * (1 - lacks[b][t])
			}
			dst[b] += p * through
		}
	}
	h.spare.Put(l)
}
