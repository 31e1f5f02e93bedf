package voicing

import "math/bits"

// keyset is the keys 0..127 of one division as a bit set.
type keyset [2]uint64

func (k *keyset) add(key int) { k[key>>6&1] |= 1 << (key & 63) }

// Reach appends to dst every distinct pipe that key of division sounds through the
// stops and couplers drawn in r, each once, ordered by division, stop, rank and key.
// It allocates nothing where dst has the capacity.
//
// Couplers follow one rule: a key goes through at most one coupler to another
// division, and there, or on its own division, through at most one octave or
// sub-octave coupler of that division onto itself. So "Swell to Great" carries "Swell
// Octave" with it, while "Swell to Great" and "Great to Pedal" together do not bring the
// Swell to the Pedal, and an octave coupler never feeds itself (common practice). A
// pipe outside the compass of its stop never sounds, nor does a key outside the
// compass of its keyboard.
func (o *Organ) Reach(dst []PipeID, r Registration, division, key int) []PipeID {
	if division < 0 || division >= len(o.Divisions) || key < 0 || key > 127 {
		return dst
	}
	if d := &o.Divisions[division]; key < d.LowKey || key > d.HighKey {
		return dst
	}
	var keys [MaxDivisions]keyset
	keys[division].add(key)
	for c := range o.Couplers {
		cp := &o.Couplers[c]
		if cp.From == division && cp.To != division && o.on(r, c) && o.within(cp.To, key+cp.Shift) {
			keys[cp.To].add(key + cp.Shift)
		}
	}
	direct := keys
	for c := range o.Couplers {
		cp := &o.Couplers[c]
		if cp.From != cp.To || !o.on(r, c) {
			continue
		}
		for w, word := range direct[cp.From] {
			for ; word != 0; word &= word - 1 {
				if k := w<<6 + bits.TrailingZeros64(word) + cp.Shift; o.within(cp.To, k) {
					keys[cp.To].add(k)
				}
			}
		}
	}
	for d := range o.Divisions {
		if keys[d] != (keyset{}) {
			dst = o.sounding(dst, r.Stops[d], d, keys[d])
		}
	}
	return dst
}

// sounding appends the pipes of the drawn stops of division d for keys.
func (o *Organ) sounding(dst []PipeID, drawn uint64, d int, keys keyset) []PipeID {
	stops := o.Divisions[d].Stops
	for ; drawn != 0; drawn &= drawn - 1 {
		s := bits.TrailingZeros64(drawn)
		if s >= len(stops) {
			break
		}
		stop := &stops[s]
		for rank := range stop.Ranks {
			for w, word := range keys {
				for ; word != 0; word &= word - 1 {
					k := w<<6 + bits.TrailingZeros64(word)
					if k < stop.LowKey || k > stop.HighKey || stop.Ranks[rank].FeetAt(k) <= 0 {
						continue
					}
					dst = append(dst, PipeID{uint8(d), uint8(s), uint8(rank), uint8(k)})
				}
			}
		}
	}
	return dst
}

// on tells whether coupler c works under r.
func (o *Organ) on(r Registration, c int) bool {
	return o.Couplers[c].Fixed || r.Couplers>>c&1 != 0
}

// within tells whether division d has key k.
func (o *Organ) within(d, k int) bool {
	return k >= 0 && k <= 127 && k >= o.Divisions[d].LowKey && k <= o.Divisions[d].HighKey
}

// FeetAt is the length that the rank has at key, feet; 0 where the rank has no pipe there.
func (r Rank) FeetAt(key int) float64 {
	feet := 0.0
	for _, b := range r.Breaks {
		if b.FromKey > key {
			break
		}
		feet = b.Feet
	}
	return feet
}
