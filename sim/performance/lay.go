package performance

import (
	"fmt"
	"slices"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// handSpan is the widest stretch of one hand, semitones: a ninth; from a tenth on many hands cannot hold it (common practice).
const handSpan = 14

// handKeys is how many keys a hand holds.
const handKeys = 5

// pedalReached is the share of a part's notes that must lie on the pedalboard: a note beyond it is a slip that a finding names.
const pedalReached = 0.95

// lay is how the parts of a score lie: what staff and register say of who plays.
type lay struct {
	s             *score.Score
	o             *voicing.Organ
	pedal, manual int // divisions; pedal -1 where there is none
	count         []int
	mean          []float64
	reached       []int // notes that the pedal has a key for
}

func newLay(s *score.Score, o *voicing.Organ) *lay {
	l := &lay{s: s, o: o, pedal: pedalOf(o), manual: mainManual(o), count: make([]int, len(s.Parts)), mean: make([]float64, len(s.Parts)), reached: make([]int, len(s.Parts))}
	for _, n := range s.Notes {
		l.count[n.Part]++
		l.mean[n.Part] += float64(n.Key)
		if l.pedal >= 0 && n.Key <= o.Divisions[l.pedal].HighKey {
			l.reached[n.Part]++
		}
	}
	for i, n := range l.count {
		l.mean[i] /= float64(max(n, 1))
	}
	return l
}

// pedalOf is the division of the feet, -1 where there is none.
func pedalOf(o *voicing.Organ) int {
	for d := range o.Divisions {
		if o.Divisions[d].Pedal {
			return d
		}
	}
	return -1
}

// mainManual is the Great (common practice), else the first manual.
func mainManual(o *voicing.Organ) int {
	if d, ok := o.DivisionByName("Great"); ok {
		return d
	}
	for d := range o.Divisions {
		if !o.Divisions[d].Pedal {
			return d
		}
	}
	return 0
}

// playing counts the parts that have notes, but for those left out.
func (l *lay) playing(but ...int) int {
	n := 0
	for i, c := range l.count {
		if c > 0 && !slices.Contains(but, i) {
			n++
		}
	}
	return n
}

// printedTwice finds a bass that an export wrote twice, the copy an octave lower throughout for instruments that have no
// 16 ft stop: the line is played on the pedal, its copy by the stop. A copy that has a division of its own by name is a
// part of its own, and so is a doubling of a hand by the feet: both are played, and a finding says what the doubling is worth.
func (l *lay) printedTwice(out []Assignment, said []saying) {
	if l.pedal < 0 {
		return
	}
	for _, d := range Doublings(l.s) {
		leader, copied := &out[d.Leader], &out[d.Part]
		if l.lowestOfThree(d.Part) || copied.Why == byUser || leader.Silent || said[d.Leader] == saysHand || said[d.Part] == saysHand || l.mean[d.Leader] >= pedalTop {
			continue
		}
		if copied.Division >= 0 && copied.Division != leader.Division {
			continue
		}
		if leader.Division >= 0 && leader.Division != l.pedal {
			continue
		}
		if leader.Division < 0 {
			if copied.Division == l.pedal || l.playing(d.Leader, d.Part) < 2 && !l.bothHands(d.Leader, d.Part) {
				continue // the left hand, and the pedal an octave below it
			}
			leader.Division, leader.Why = l.pedal, fmt.Sprintf("a bass line that %q doubles an octave lower", l.s.Parts[d.Part].Name)
		}
		name := l.s.Parts[d.Part].Name
		*copied = Assignment{Part: d.Part, Division: l.pedal, Silent: true,
			Why: fmt.Sprintf("printed twice, not played again: %q an octave lower, which a 16 ft stop does by itself; --assign %q plays it", l.s.Parts[d.Leader].Name, name+"="+l.o.Divisions[l.pedal].Name)}
	}
}

// lowestOfThree reports whether a part is the lowest of three staves of one instrument: the pedal's (common practice).
func (l *lay) lowestOfThree(part int) bool {
	p, last := l.s.Parts[part], 0
	for _, x := range l.s.Parts {
		if x.Track == p.Track {
			last = max(last, x.Staff)
		}
	}
	return p.Staff >= 3 && p.Staff == last
}

// byRegister places what has no name: where no part is the pedal's already, the lowest staff of three of one
// instrument, or the lowest of three parts where it lies low, or of two where the other one needs both hands;
// everything else on the main manual.
func (l *lay) byRegister(out []Assignment, said []saying) {
	taken := l.pedal < 0
	for i := range out {
		taken = taken || out[i].Division == l.pedal && l.count[i] > 0
	}
	if !taken {
		if p, why := l.pedalPart(out, said); p >= 0 {
			out[p].Division, out[p].Why = l.pedal, why
		}
	}
	l.twoManuals(out)
	for i := range out {
		switch {
		case out[i].Division >= 0:
		case said[i] == saysHand:
			out[i].Division, out[i].Why = l.manual, "a hand by its name: the main manual"
		default:
			out[i].Division, out[i].Why = l.manual, "no name that says otherwise: the main manual"
		}
	}
}

// pedalPart is the part without a name that the feet play; -1 where there is none.
func (l *lay) pedalPart(out []Assignment, said []saying) (part int, why string) {
	able := func(i int) bool {
		return l.count[i] > 0 && out[i].Division < 0 && said[i] != saysHand &&
			float64(l.reached[i]) >= pedalReached*float64(l.count[i]) && l.mean[i] < pedalTop && l.polyphony(i) <= 2
	}
	lowest, playing := -1, 0
	for i, p := range l.s.Parts {
		if l.count[i] == 0 {
			continue
		}
		playing++
		if l.lowestOfThree(i) && able(i) {
			return i, fmt.Sprintf("the lowest of %d staves", p.Staff)
		}
		if out[i].Division < 0 && said[i] != saysHand && (lowest < 0 || l.mean[i] <= l.mean[lowest]) {
			lowest = i
		}
	}
	if lowest < 0 || !able(lowest) {
		return -1, ""
	}
	if playing >= 3 {
		return lowest, fmt.Sprintf("lowest of %d parts, mean key %s", playing, score.KeyName(int(l.mean[lowest]+0.5)))
	}
	if playing == 2 && l.bothHands(lowest) && l.polyphony(lowest) == 1 {
		return lowest, fmt.Sprintf("a single line, mean key %s, under a part that needs both hands", score.KeyName(int(l.mean[lowest]+0.5)))
	}
	return -1, ""
}

// bothHandsShare is the share of a part's onsets at which one hand could not hold it.
const bothHandsShare = 0.2

// bothHands reports whether a part other than those named cannot be played by one hand: it is as wide as two.
func (l *lay) bothHands(but ...int) bool {
	for p := range l.s.Parts {
		if l.count[p] == 0 || slices.Contains(but, p) {
			continue
		}
		wide, all := 0, 0
		sweep(l.s, func(n score.Note) bool { return n.Part == p }, func(_ score.Tick, down []int) {
			all++
			if !grasp(l.s, down, 1) {
				wide++
			}
		})
		if float64(wide) > bothHandsShare*float64(all) {
			return true
		}
	}
	return false
}

// polyphony is the most keys that a part holds at once for more than a moment here and there.
func (l *lay) polyphony(part int) int {
	var at [12]int
	all := 0
	sweep(l.s, func(n score.Note) bool { return n.Part == part }, func(_ score.Tick, down []int) {
		at[min(len(down), len(at)-1)]++
		all++
	})
	for n := len(at) - 1; n > 1; n-- {
		if 50*at[n] > all {
			return n
		}
	}
	return 1
}

// sweep goes through the onsets of some notes and tells at each which of them are down, lowest key first, as indexes
// into the score's notes. Notes that end with the onset, or a little after it, are up.
func sweep(s *score.Score, keep func(score.Note) bool, do func(t score.Tick, down []int)) {
	slack := s.TicksPerCrotchet / 12
	var down []int
	for i := 0; i < len(s.Notes); {
		t := s.Notes[i].On
		kept := down[:0]
		for _, k := range down {
			if s.Notes[k].Off > t+slack {
				kept = append(kept, k)
			}
		}
		down = kept
		fresh := false
		for ; i < len(s.Notes) && s.Notes[i].On == t; i++ {
			if keep(s.Notes[i]) {
				at := 0
				for at < len(down) && s.Notes[down[at]].Key <= s.Notes[i].Key {
					at++
				}
				down = append(down, 0)
				copy(down[at+1:], down[at:])
				down[at] = i
				fresh = true
			}
		}
		if fresh {
			do(t, down)
		}
	}
}

// grasp reports whether so many hands can hold keys, given lowest first: a ninth and five keys each.
func grasp(s *score.Score, down []int, hands int) bool {
	for i := 0; i < len(down); hands-- {
		if hands == 0 {
			return false
		}
		low, keys := s.Notes[down[i]].Key, 0
		for last := -1; i < len(down) && s.Notes[down[i]].Key-low <= handSpan; i++ {
			if k := s.Notes[down[i]].Key; k != last {
				if keys == handKeys {
					break
				}
				keys, last = keys+1, k
			}
		}
	}
	return true
}
