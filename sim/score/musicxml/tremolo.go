package musicxml

import (
	"math"

	"afterchord/sim/score"
)

// tremoloOf is the tremolo over a chord, nil where there is none.
func tremoloOf(chord []*printedNote) *sign {
	for _, n := range chord {
		if n.sign != nil && n.sign.kind != "" && !n.rest && !n.grace {
			return n.sign
		}
	}
	return nil
}

// tremolo plays repeated notes, or two chords in turn.
func (r *reader) tremolo(m *measure, chords [][]*printedNote, i int, s *sign) {
	c := chords[i]
	if s.kind == "stop" {
		return // played with its start
	}
	first := c[0]
	speed := r.src.speeds.at(r.src.page.starts[m.index] + first.on())
	unit := float64(r.tpq) / float64(int(1)<<s.strokes)
	if v := typeCrotchets[text(first.el, "type")]; v > 0 && v < 1 && s.kind != "start" {
		unit *= v // flags count as strokes do
	}
	for unit/float64(r.tpq)*60/speed < 0.92/s.row.Rate {
		unit *= 2
	}
	if s.kind == "start" {
		for _, o := range chords[i+1 : min(i+maxOpen, len(chords))] {
			if o[0].voice == first.voice && o[0].staff == first.staff && !o[0].rest && !o[0].grace {
				if t := tremoloOf(o); t != nil && t.kind == "stop" {
					alternate(c, o, unit)
				}
				return
			}
		}
		return
	}
	b := &bundle{rigid: len(c) > 1, strikes: true}
	for _, n := range c {
		count := min(int(float64(n.off()-n.on())/unit+0.01), mostTones)
		if count < 2 {
			continue
		}
		n.bundle = b
		n.tones = evenly(n.on(), n.end(), unit, count, n.key)
	}
}

func evenly(from, end score.Tick, unit float64, count, key int) (out []tone) {
	for k := range count {
		t := tone{from + score.Tick(math.Round(float64(k)*unit)), from + score.Tick(math.Round(float64(k+1)*unit)), key}
		if k == count-1 {
			t.to = end
		}
		out = append(out, t)
	}
	return out
}

// alternate plays two chords in turn over the time of both.
func alternate(a, b []*printedNote, unit float64) {
	from, end := a[0].on(), b[0].end()
	count := min(int(float64(end-from)/unit+0.01), mostTones) &^ 1
	if count < 2 || b[0].at < a[0].at {
		return
	}
	all := evenly(from, end, unit, count, 0)
	common := &bundle{rigid: true, strikes: true}
	for k, c := range [][]*printedNote{a, b} {
		for _, n := range c {
			n.bundle = common
			for i := k; i < count; i += 2 {
				t := all[i]
				t.key = n.key
				n.tones = append(n.tones, t)
			}
		}
	}
}
