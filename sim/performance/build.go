package performance

import (
	"cmp"
	"slices"
	"sort"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// Options are the player's choices.
type Options struct {
	Assign map[string]string   // part name, "Track 3" or "Part 1" -> division name
	Stops  []voicing.StopsLine // registration over time that overrides the dynamic plan
}

// reliefS and reliefShare are how long before a key is struck again the finger has to
// let it go: a key must rise to sound anew (common practice: a quarter of
// a short note, at least some 60 ms of a long one).
const (
	reliefS     = 0.06
	reliefShare = 0.25
)

// Build plays the score on the organ.
func Build(s *score.Score, o *voicing.Organ, opt Options) (*Performance, error) {
	as, err := assign(s, o, opt.Assign)
	if err != nil {
		return nil, err
	}
	h := handsOf(s, o, as)
	p := &Performance{Assignments: as, Passages: h.onManuals(dynamics(s, o, as, marksByBox(s, o, h)))}
	drawn := drawnFor(p.Passages)
	p.Notes = notes(s, h, p.Passages)
	octaves(p.Notes, o, as)
	release(p.Notes)
	for _, n := range p.Notes {
		p.EndS = max(p.EndS, n.OffS)
	}
	words, unread, instructions := orders(s, o, h, opt.Stops)
	p.Unread, p.Instructions, p.Registered = unread, instructions, len(words) > 0
	p.Changes = changes(s, o, slices.Concat(h.prepared(o, drawn), drawn, h.pedalPassages(s, drawn)), words)
	p.Box = boxes(s, o, h, p.Passages, slices.Concat(boxAfter(s, o, p.Passages), boxWords(s, o, words)))
	return p, nil
}

// notes times every key press and gives it the dynamic of its passage.
func notes(s *score.Score, h hands, passages []Passage) []Note {
	byPart := make([][]Passage, len(s.Parts))
	for _, p := range passages {
		byPart[p.Part] = append(byPart[p.Part], p)
	}
	at := make([]int, len(s.Parts))
	out := make([]Note, 0, len(s.Notes))
	for i, n := range s.Notes {
		if h.as[n.Part].Silent {
			continue
		}
		ps := byPart[n.Part]
		for at[n.Part]+1 < len(ps) && ps[at[n.Part]+1].From <= n.On {
			at[n.Part]++
		}
		d := score.MF
		if len(ps) > 0 {
			d = ps[at[n.Part]].Dynamic
		}
		out = append(out, Note{Score: i, Part: n.Part, Division: h.division(i, n), Key: n.Key,
			OnS: s.Seconds(n.On), OffS: s.Seconds(n.Off), Dynamic: d})
	}
	slices.SortStableFunc(out, func(a, b Note) int { return cmp.Compare(a.OnS, b.OnS) })
	return out
}

// release lets a key go early enough to be struck again on the same division.
func release(notes []Note) {
	type key struct{ division, key int }
	last := map[key]int{}
	for i, n := range notes {
		k := key{n.Division, n.Key}
		if j, ok := last[k]; ok {
			prev := &notes[j]
			gap := min(reliefS, reliefShare*(n.OnS-prev.OnS))
			if prev.OffS > n.OnS-gap && prev.OffS <= n.OnS+1e-6 {
				prev.OffS = n.OnS - gap
			}
		}
		if j, ok := last[k]; !ok || n.OffS >= notes[j].OffS {
			last[k] = i
		}
	}
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}

// softBox is how far open a box stands at the soft end of a hairpin.
const softBox = 0.3

// swell is a box that moves from one place to another, or is set at once (until = at).
type swell struct {
	at, until float64
	division  int
	from, to  float64
}

// boxes moves the box of each enclosed division as words ask and along the hairpins of its parts. A box does not jump: the foot
// takes a fifth of a second.
func boxes(s *score.Score, o *voicing.Organ, h hands, passages []Passage, words []BoxMove) []BoxMove {
	all := append(hairpins(s, o, h), rampsOfBoxes(s, o, h, passages)...)
	for _, m := range words {
		all = append(all, swell{m.AtS, m.AtS, m.Division, m.Open, m.Open})
	}
	slices.SortStableFunc(all, func(a, b swell) int { return cmp.Compare(a.at, b.at) })
	out := make(moves, len(o.Divisions))
	for _, w := range all {
		before := out.standing(w.division, w.at)
		out.add(BoxMove{max(0, w.at-footS), w.division, before})
		out.add(BoxMove{w.at, w.division, w.from})
		if w.until > w.at {
			out.add(BoxMove{w.until, w.division, w.to})
		}
	}
	return out.all()
}

// hairpins are the moves of the boxes that hairpins ask for: a crescendo begins with the box drawn nearly shut and opens it; a
// diminuendo shuts it.
func hairpins(s *score.Score, o *voicing.Organ, h hands) []swell {
	type hairpin struct {
		at       score.Tick
		division int
		text     string
	}
	var out []swell
	done := map[hairpin]bool{} // one hairpin may stand over several parts of a division
	for i, w := range s.Words {
		if w.Kind != score.Hairpin || w.Text == "stop" {
			continue
		}
		end := HairpinEnd(s, i)
		from, to := travel(w.Text != "diminuendo")
		for part := range h.as {
			division := h.at(part, w.At)
			key := hairpin{w.At, division, w.Text}
			if w.Part >= 0 && part != w.Part || done[key] || !o.Divisions[division].Enclosed {
				continue
			}
			done[key] = true
			out = append(out, swell{s.Seconds(w.At), s.Seconds(end), division, from, to})
		}
	}
	return out
}

// HairpinEnd is where the hairpin that is word i of a score ends: at the next hairpin, its own end or a mark that holds for it; of a
// word alone, "cresc.", with none of them after it, two bars on, where an organist has the box where it is to be.
func HairpinEnd(s *score.Score, i int) score.Tick {
	w := s.Words[i]
	for _, x := range s.Words[i+1:] {
		if (x.Kind == score.Hairpin || x.Kind == score.Mark) && x.At > w.At && (x.Part == w.Part || x.Part < 0 || w.Part < 0) {
			return x.At
		}
	}
	end := s.End
	if len(s.Bars) > 0 {
		end = w.At + wordBars*s.Bars[s.BarAt(w.At)].Length
	}
	return min(end, s.End)
}

// wordBars is how many bars a crescendo lasts that only a word asks for.
const wordBars = 2

// travel is where the box stands at the beginning and at the end of a change.
func travel(louder bool) (from, to float64) {
	if louder {
		return softBox, 1
	}
	return 1, softBox
}

// footS is how long a foot takes to set the box, s.
const footS = 0.2

// moves are the moves of each division's box, by time, those at the same time in the order in
// which they were added.
type moves [][]BoxMove

// after is where a move at t comes to stand among those of a division.
func (m moves) after(division int, t float64) int {
	return sort.Search(len(m[division]), func(i int) bool { return m[division][i].AtS > t })
}

func (m moves) add(x BoxMove) {
	m[x.Division] = slices.Insert(m[x.Division], m.after(x.Division, x.AtS), x)
}

// standing is how a box stands at t after the moves so far.
func (m moves) standing(division int, t float64) float64 {
	if i := m.after(division, t); i > 0 {
		return m[division][i-1].Open
	}
	return 1
}

// all are the moves of all divisions, by time.
func (m moves) all() []BoxMove {
	out := slices.Concat(m...)
	slices.SortStableFunc(out, func(a, b BoxMove) int { return cmp.Compare(a.AtS, b.AtS) })
	return out
}

// RegistrationAt is what is drawn at t (s).
func (p *Performance) RegistrationAt(t float64) voicing.Registration {
	i := sort.Search(len(p.Changes), func(i int) bool { return p.Changes[i].AtS > t+1e-9 })
	if i == 0 {
		return voicing.Registration{}
	}
	return p.Changes[i-1].Registration
}
