package sound

// bus is the sound of one division.
type bus struct {
	division         int
	voices, shaken   []voice // without and with the tremulant
	plain, tremulous []float32
	out, aside       []float64
	box              *box
	ahead            []float64 // what goes straight to the seat where the box moves; nil where it does not or nothing else is heard
	spareOut         []float64 // the other of out and of ahead, see swap
	spareAhead       []float64
	tremulant        *tremulant
	breath           *breath
	calm, shaking    blown // what breath carries of plain and of tremulous
	origin           int64 // sample of the piece at which the job begins
	ringing          bool  // the filters may still sound
}

func alive(v []voice, start int64) []voice {
	kept := v[:0]
	for _, x := range v {
		if x.end > start {
			kept = append(kept, x)
		}
	}
	clear(v[len(kept):])
	return kept
}

// finish passes n samples of a bus through its wind, tremulant and box: what goes all around, and straight to the seat where that is
// told apart; nil stands for silence.
func (b *bus) finish(start int64, n int) (around, ahead []float64) {
	plain, out := b.plain[:n], b.out[:n]
	if len(b.voices)+len(b.shaken) == 0 {
		if !b.ringing {
			if b.breath != nil {
				b.breath.sag.rest(n)
			}
			return nil, nil
		}
		clear(plain)
		clear(b.tremulous)
		b.ringing = false
	} else {
		b.ringing = true
	}
	if b.breath != nil {
		b.breath.sag.gather(start, n, b.voices, b.shaken)
		b.breath.blow(b.origin+start, n)
		b.calm.process(plain, b.breath.knots)
		if b.tremulant != nil {
			b.shaking.process(b.tremulous[:n], b.breath.knots)
		}
	}
	for i, v := range plain {
		out[i] = float64(v)
	}
	if b.tremulant != nil {
		aside := b.aside[:n]
		for i, v := range b.tremulous[:n] {
			aside[i] = float64(v)
		}
		b.tremulant.process(aside, start)
		for i, v := range aside {
			out[i] += v
		}
	}
	if b.box == nil {
		return out, nil
	}
	if b.ahead != nil {
		ahead = b.ahead[:n]
	}
	b.box.process(out, ahead, start)
	return out, ahead
}
