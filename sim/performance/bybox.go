package performance

import (
	"cmp"
	"slices"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// boxMarks is how many dynamic marks a hairpin may lead through for the box to make all of the difference: p to f, pp to mf
// (common practice: a good box does about as much; beyond it stops are added too).
const boxMarks = 3

// markKey tells marks of a score apart.
type markKey struct {
	at   score.Tick
	part int
	text string
}

// marksByBox finds the marks to which a hairpin leads on a keyboard in a swell box: the foot makes the change and no stop moves
// (common practice).
func marksByBox(s *score.Score, o *voicing.Organ, h hands) map[markKey]bool {
	enclosed := func(part int, t score.Tick) bool {
		if part >= 0 {
			return !h.as[part].Silent && o.Divisions[h.at(part, t)].Enclosed
		}
		some := false
		for i, a := range h.as { // a hairpin for all: every manual that plays
			d := h.at(i, t)
			if a.Silent || o.Divisions[d].Pedal {
				continue
			}
			if !o.Divisions[d].Enclosed {
				return false
			}
			some = true
		}
		return some
	}
	type dynamic struct {
		at    score.Tick
		level score.Dynamic
	}
	out := map[markKey]bool{}
	for i, w := range s.Words {
		if w.Kind != score.Hairpin || w.Text == "stop" || w.Part >= len(h.as) {
			continue
		}
		before := dynamic{-1, score.MF}
		for _, x := range s.Words[:i] {
			if d, ok := markOver(x, w.Part); ok && x.At <= w.At {
				before = dynamic{x.At, d}
			}
		}
		until := s.End
		for _, x := range s.Words[i+1:] {
			if x.Part != w.Part {
				continue
			}
			if x.Kind == score.Hairpin && x.At > w.At {
				if x.Text != "stop" {
					break
				}
				until = x.At + s.TicksPerCrotchet
			}
			level, ok := markOver(x, w.Part)
			if !ok {
				continue
			}
			if x.At <= w.At { // beside the hairpin's beginning
				before = dynamic{x.At, level}
				continue
			}
			steps := int(level - before.level)
			if w.Text == "diminuendo" {
				steps = -steps
			}
			if x.At <= until && before.at >= 0 && steps > 0 && steps <= boxMarks && enclosed(w.Part, x.At) {
				out[markKey{x.At, x.Part, x.Text}] = true
			}
			break
		}
	}
	return out
}

// markOver is the level of a mark that holds for a part.
func markOver(w score.Word, part int) (score.Dynamic, bool) {
	if w.Kind != score.Mark || w.Part != part {
		return 0, false
	}
	return score.ParseDynamic(w.Text)
}

// drawnFor are the passages with the dynamic for which stops are drawn: where the box makes the change, that of before.
func drawnFor(passages []Passage) []Passage {
	out := slices.Clone(passages)
	last := map[int]score.Dynamic{}
	for i := range out {
		p := &out[i]
		if d, ok := last[p.Part]; ok && p.ByBox {
			p.Dynamic, p.Source = d, "the box makes the change"
		}
		last[p.Part] = p.Dynamic
	}
	return out
}

// boxAfter are the moves by which a box that a hairpin has moved stands right for a later mark: shut again where the music falls
// back to where the crescendo came from or below, open for what is louder.
func boxAfter(s *score.Score, o *voicing.Organ, passages []Passage) []BoxMove {
	var out []BoxMove
	moved := map[int]score.Dynamic{} // divisions whose box stands where a hairpin has left it, and the level from which it came
	drawn := map[int]score.Dynamic{}
	order := slices.Clone(passages)
	slices.SortStableFunc(order, func(a, b Passage) int { return cmp.Compare(a.From, b.From) })
	for _, p := range order {
		d := p.Division
		if !o.Divisions[d].Enclosed {
			continue
		}
		switch from, ok := moved[d]; {
		case p.ByBox:
			if !ok {
				moved[d] = drawn[d]
			}
		case ok:
			open := 1.0
			if p.Dynamic <= from {
				open = softBox
			}
			out = append(out, BoxMove{s.Seconds(p.From), d, open})
			delete(moved, d)
		}
		if !p.ByBox {
			drawn[d] = p.Dynamic
		}
	}
	return out
}
