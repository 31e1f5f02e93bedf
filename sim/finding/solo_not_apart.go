package finding

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"afterchord/sim/performance"
)

// SoloNotApart finds a melody over an accompaniment of broken or repeated chords that has no sound of its own: it is
// played on the same manual, with the same stops, or on another one at the same dynamic mark. Usual is a manual and a colour of
// its own and at least one mark more (common practice). Lines that move as one another's equals are no solo.
func SoloNotApart(c *Context) []Finding {
	out := c.solosNotApart(c.handLines(), false)
	if len(out) == 0 { // a staff may have both
		out = c.solosNotApart(c.strands(), true)
	}
	if len(out) == 0 { // or both hands, one of which has the tune
		out = c.solosNotApart(c.tuneInOneHand(), true)
	}
	if len(out) == 0 { // or a part of the piece is one
		out = c.soloPassages(c.handLines())
	}
	return out
}

// soloPassages are the solos of a part of the piece: where one line breaks or repeats chords without a pause for some bars.
func (c *Context) soloPassages(lines [][]moment) []Finding {
	var out []Finding
	for i, acc := range lines {
		for _, s := range c.figuredStretches(acc) {
			for j, solo := range lines {
				if i == j {
					continue
				}
				tune := between(solo, s[0].atS, s[len(s)-1].atS)
				if !c.melodic(tune) || c.oneFigure(tune, s) || c.paired(tune, s) {
					continue
				}
				if f, ok := c.notApart(tune, s); ok {
					out = append(out, f)
				}
				break
			}
		}
	}
	return out
}

// figuredStretches are the passages of some bars in which a line breaks or repeats chords nearly all the time.
func (c *Context) figuredStretches(line []moment) [][]moment {
	const pauseS = 2 // between two places that are figures
	is := c.figuredOnsets(line, true)
	var out [][]moment
	from, last, n := -1, 0, 0
	flush := func() {
		if from >= 0 {
			s := line[from : last+1]
			bars := c.barAt(s[len(s)-1].atS) - c.barAt(s[0].atS) + 1
			if bars >= c.Thresholds.SoloPassageBars && n >= c.Thresholds.SoloNotes && 10*n >= 9*len(s) {
				out = append(out, s)
			}
		}
		from, n = -1, 0
	}
	for i, m := range line {
		if !is[i] {
			continue
		}
		if from >= 0 && m.atS-line[last].atS > pauseS {
			flush()
		}
		if from < 0 {
			from = i
		}
		last = i
		n++
	}
	flush()
	return out
}

// between are the moments of a line within a time.
func between(line []moment, from, to float64) []moment {
	lo := sort.Search(len(line), func(i int) bool { return line[i].atS >= from-togetherS })
	hi := sort.Search(len(line), func(i int) bool { return line[i].atS > to+togetherS })
	return line[lo:max(lo, hi)]
}

func (c *Context) barAt(t float64) int { return c.Score.BarAt(c.Score.TickAt(t)) }

// solosNotApart looks for tunes and their accompaniments among lines; strands are lines of one hand, of which the upper must move by itself.
func (c *Context) solosNotApart(lines [][]moment, strands bool) []Finding {
	var out []Finding
	for i, solo := range lines {
		for j, acc := range lines {
			if i == j || !c.melodic(solo) || !c.accompanying(acc) || c.oneFigure(solo, acc) || c.paired(solo, acc) || strands && !c.heldOverOthers(solo, acc) {
				continue
			}
			if f, ok := c.notApart(solo, acc); ok {
				out = append(out, f)
			}
			break
		}
	}
	return out
}

// tuneInOneHand is a tune on top of both hands and the figure under it, where the hand of the tune has a part of the figure; nil where there
// are no such two. Basses that begin with the figure are left out.
func (c *Context) tuneInOneHand() [][]moment {
	_, hands := c.limbsOf()
	var notes []int32
	for i := range c.Performance.Notes {
		if hands(&c.Performance.Notes[i]) {
			notes = append(notes, int32(i))
		}
	}
	lines := c.topLine(notes)
	if lines == nil {
		return nil
	}
	tune, rest := lines[0], c.momentsOf(lines[1])
	withTune := 0
	var figure []int32
	for _, m := range rest {
		if len(m.notes) == 2 {
			m.notes = m.notes[1:]
		}
		if len(m.notes) > 1 {
			continue
		}
		figure = append(figure, m.notes[0])
		if c.note(m.notes[0]).Part == c.note(tune[0]).Part {
			withTune++
		}
	}
	if 10*len(figure) < 9*len(rest) || 4*withTune < len(figure) {
		return nil
	}
	return [][]moment{c.momentsOf(tune), c.momentsOf(figure)}
}

// heldOverOthers reports whether most notes of a line are held while notes of another begin: the top of chords that are struck together is
// no tune over them.
func (c *Context) heldOverOthers(line, other []moment) bool {
	held := 0
	for _, m := range line {
		n := c.note(m.notes[0])
		i := sort.Search(len(other), func(i int) bool { return other[i].atS > n.OnS+togetherS })
		if i < len(other) && other[i].atS < n.OffS-togetherS {
			held++
		}
	}
	return 2*held > len(line)
}

// melodic reports whether a line is a tune: single notes that do not break chords.
func (c *Context) melodic(line []moment) bool {
	if len(line) < c.Thresholds.SoloNotes {
		return false
	}
	single := 0
	for _, m := range line {
		if len(m.notes) == 1 {
			single++
		}
	}
	return 10*single >= 9*len(line) && c.figured(line, false) < 0.5
}

// oneFigure reports whether two lines are a broken chord that goes through both hands: keys of one part, the upper ones rocking too,
// and hardly ever two of them struck together.
func (c *Context) oneFigure(a, b []moment) bool {
	if c.note(a[0].notes[0]).Part != c.note(b[0].notes[0]).Part || c.figured(a, true) < 0.5 {
		return false
	}
	together := 0
	for _, m := range a {
		i := sort.Search(len(b), func(i int) bool { return b[i].atS >= m.atS-togetherS })
		if i < len(b) && b[i].atS <= m.atS+togetherS {
			together++
		}
	}
	return 10*together < len(a)
}

// paired reports whether two lines are two voices that go hand in hand, in thirds and sixths: note against note wherever both sound, hardly ever
// further apart than a tenth.
func (c *Context) paired(solo, acc []moment) bool {
	both, close := 0, 0
	for _, m := range acc {
		i := sort.Search(len(solo), func(i int) bool { return solo[i].atS > m.atS+togetherS }) - 1
		if i < 0 || c.note(solo[i].notes[0]).OffS <= m.atS+togetherS {
			continue
		}
		both++
		n, x := c.note(solo[i].notes[0]), c.note(m.notes[0])
		if solo[i].atS >= m.atS-togetherS && len(m.notes) == 1 && abs(n.Key-x.Key) <= tenth {
			close++
		}
	}
	return both > 0 && 10*close >= 9*both
}

// tenth is the interval in semitones.
const tenth = 16

// accompanying reports whether a line breaks or repeats chords most of the time.
func (c *Context) accompanying(line []moment) bool {
	return len(line) >= c.Thresholds.SoloNotes && c.figured(line, true) >= c.Thresholds.SoloFigured
}

// figured is the share of a line's onsets that break one chord after another or strike a chord again; with rocking two keys
// in turn count too, as a tune may have them.
func (c *Context) figured(line []moment, rocking bool) float64 {
	n := 0
	for _, x := range c.figuredOnsets(line, rocking) {
		if x {
			n++
		}
	}
	return float64(n) / float64(max(1, len(line)))
}

// rockingS is how soon a key comes again where two keys in turn are a figure and no bass, s.
const rockingS = 2

// figuredOnsets says which onsets of a line do.
func (c *Context) figuredOnsets(line []moment, rocking bool) []bool {
	is := make([]bool, len(line))
	at := map[int32]int{}
	var single []int32
	flush := func() {
		for _, h := range c.harmonies(single) {
			for _, n := range h {
				is[at[n]] = true
			}
		}
		for _, n := range c.threes(single, rocking) {
			is[at[n]] = true
		}
		for k := 2; rocking && k < len(single); k++ { // two keys of a chord in turn
			x, y := c.note(single[k-1]).Key, c.note(single[k]).Key
			if y == c.note(single[k-2]).Key && abs(y-x) >= 3 && c.note(single[k]).OnS-c.note(single[k-2]).OnS < rockingS {
				is[at[single[k-2]]], is[at[single[k-1]]], is[at[single[k]]] = true, true, true
			}
		}
		single = nil
	}
	for i, m := range line {
		if len(m.notes) == 1 {
			at[m.notes[0]] = i
			single = append(single, m.notes[0])
			continue
		}
		flush()
		again := func(back int) bool { // the chord again, at once or after its bass
			return i >= back && len(line[i-back].notes) > 1 && c.again(line[i-back], m) >= 0.99 && m.atS-line[i-back].atS < 2
		}
		if again(1) {
			is[i-1], is[i] = true, true
		} else if again(2) {
			is[i-2], is[i-1], is[i] = true, true, true
		}
		if c.afterRest(line, i) && c.afterRest(line, i-1) && math.Abs(m.atS-2*line[i-1].atS+line[max(0, i-2)].atS) < 0.1*(m.atS-line[i-1].atS) { // off the beat, again and again
			is[i-2], is[i-1], is[i] = true, true, true
		}
		// bass and chord in turn
		if i >= 3 && c.bassAndChord(line[i-1], m) && c.bassAndChord(line[i-3], line[i-2]) {
			is[i-3], is[i-2], is[i-1], is[i] = true, true, true, true
		}
	}
	flush()
	return is
}

// afterRest reports whether moment i of a line is a short chord after a rest about as long as it is, off the beat.
func (c *Context) afterRest(line []moment, i int) bool {
	if i < 1 || len(line[i].notes) < 2 {
		return false
	}
	until := 0.0
	for _, n := range line[i-1].notes {
		until = max(until, c.note(n).OffS)
	}
	n := c.note(line[i].notes[0])
	at := c.Score.Notes[n.Score].On
	bar := c.Score.Bars[c.Score.BarAt(at)]
	if (at-bar.Start)%c.Score.BeatTicks(bar.Metre) == 0 {
		return false
	}
	length := n.OffS - n.OnS
	return length < 1 && n.OnS-until >= 0.75*length
}

// threes are the notes of a line that break a chord of three again and again, one way and evenly, as an accompaniment in triplets does;
// none where they are not asked for.
func (c *Context) threes(line []int32, wanted bool) []int32 {
	const turns = 4 // in a row: two bars in duple time
	if !wanted {
		return nil
	}
	turn := func(i int) (up, ok bool) {
		if i+3 > len(line) {
			return false, false
		}
		x, y, z := c.note(line[i]), c.note(line[i+1]), c.note(line[i+2])
		a, b := y.Key-x.Key, z.Key-y.Key
		even := math.Abs((z.OnS-y.OnS)-(y.OnS-x.OnS)) <= togetherS
		return a > 0, even && abs(a) >= 2 && abs(b) >= 2 && (a > 0) == (b > 0) && abs(a+b) > 4 && abs(a+b) <= tenth // more than a scale makes
	}
	var out []int32
	for i := 0; i < len(line); i++ {
		up, ok := turn(i)
		n := 0
		for ; ok; n++ {
			next, more := turn(i + 3*(n+1))
			ok = more && next == up
		}
		if n >= turns {
			out = append(out, line[i:i+3*n]...)
			i += 3*n - 1
		}
	}
	return out
}

// bassAndChord reports whether a single note is followed by a chord above it.
func (c *Context) bassAndChord(a, b moment) bool {
	return len(a.notes) == 1 && len(b.notes) > 1 && b.atS-a.atS < 1.5 && c.note(b.notes[0]).Key >= c.note(a.notes[0]).Key
}

func (c *Context) notApart(solo, acc []moment) (Finding, bool) {
	t := &c.Thresholds
	var notes []int32
	together, louder, level, shares := 0, 0, 0, 0.0
	marks, counted := 0, 0
	above := 0
	w := c.earWork()
	defer c.works.Put(w)
	lo, hi := acc[0].atS, acc[len(acc)-1].atS+1
	divisions := map[int]bool{}
	accDivision := -1
	step := max(1, len(solo)/12)
	for k, m := range solo {
		if m.atS < lo-0.01 || m.atS > hi {
			continue
		}
		n := c.note(m.notes[0])
		with := c.soundingWith(acc, n)
		if len(with) == 0 {
			continue
		}
		a := c.note(with[0])
		accDivision = a.Division
		counted++
		notes = append(notes, m.notes...)
		divisions[n.Division] = true
		if n.Key > a.Key {
			above++
		}
		if n.Dynamic > a.Dynamic {
			louder++
		}
		if n.Division == a.Division {
			together++
		} else if n.Dynamic <= a.Dynamic {
			level++
		}
		if k%step == 0 && c.Field != nil {
			r := c.Performance.RegistrationAt(m.atS)
			rest := c.steadyBands(c.pipesOf(r, with), m.atS)
			mine := c.steadyBands(c.pipesOf(r, m.notes), m.atS)
			part, alone := c.Hearing.Partial(mine, rest, w)
			shares += part / max(alone, 1e-9)
			marks++
		}
	}
	if counted < t.SoloNotes {
		return Finding{}, false
	}
	same := float64(together) >= 0.6*float64(counted)
	if !same && float64(level) < 0.6*float64(counted) {
		return Finding{}, false
	}
	share := shares / float64(max(marks, 1))
	if !same && (share >= t.SoloApartShare || c.stopsNamed(divisions, accDivision)) {
		return Finding{}, false // its colour carries it
	}
	f := c.finding(KindSoloNotApart, notes)
	f.Severity, f.passage = Notice, true
	f.Measured["heard_share"], f.Measured["notes"] = round(share, 2), float64(counted)
	f.Weight = 0.6 * (f.UntilS - f.AtS) // it is the whole of the tune
	f.Division = c.divisionsOf(notes)
	if same {
		f.Severity = Warning
		f.Message = fmt.Sprintf("The melody has no sound of its own: it is played on the %s with the stops of its accompaniment, and beside it %.0f %% of its own loudness is left to the ear. A solo usually has a manual and a colour of its own and at least one dynamic mark more.",
			f.Division, 100*share)
		f.Try = c.soundOfItsOwn(accDivision)
		switch {
		case share >= t.SoloApartShare:
			f.Severity = Notice // it lies so that the ear has it all the same
		case float64(louder) >= 0.6*float64(counted):
			f.Severity = Notice // the page asks for two sounds: the manual is the program's guess
		case c.oneHand(solo, acc):
			f.Try = append([]string{"give the other hand all of the accompaniment: the hand that has the tune can then go to a manual of its own"}, f.Try...)
		}
	} else {
		f.Message = fmt.Sprintf("The melody on the %s has the dynamic mark of its accompaniment on the %s, and beside it %.0f %% of its own loudness is left to the ear. A solo usually has at least one mark more.",
			f.Division, c.Organ.Divisions[accDivision].Name, 100*share)
		f.Try = []string{"write the solo a mark louder", "write the accompaniment a mark softer", "give it a reed or a flute of its own"}
	}
	return f, true
}

// oneHand reports whether notes of an accompaniment stand on the staff of its tune.
func (c *Context) oneHand(solo, acc []moment) bool {
	return slices.ContainsFunc(acc, func(m moment) bool { return c.note(m.notes[0]).Part == c.note(solo[0].notes[0]).Part })
}

// soundingWith lists the notes of a line that are held when a note begins, or else those of it that begin first while it lasts:
// an accompaniment may come after the beat.
func (c *Context) soundingWith(line []moment, n *performance.Note) []int32 {
	var with []int32
	first := n.OffS
	for _, m := range line {
		if m.atS >= min(first, n.OffS)-togetherS {
			break
		}
		for _, i := range m.notes {
			if x := c.note(i); x.OnS <= n.OnS+togetherS && x.OffS > n.OnS+togetherS+0.01 {
				with = append(with, i)
			}
		}
		if m.atS > n.OnS+togetherS && len(with) == 0 {
			with = m.notes
			break
		}
	}
	return c.uniqueKeys(with)
}

// soundOfItsOwn says how a line comes to a sound of its own beside one on a manual; on an organ of one manual neither stops nor
// marks set them apart.
func (c *Context) soundOfItsOwn(from int) []string {
	for d, x := range c.Organ.Divisions {
		if d != from && !x.Pedal {
			return []string{fmt.Sprintf("play it on the %s, prepared with a stop of its own", x.Name),
				"draw a reed or a flute for it that the accompaniment does not have", "write the accompaniment a mark softer"}
		}
	}
	return []string{"the organ has one manual: play the accompaniment an octave down, out of the tune's way, or the tune an octave up",
		"give the tune the top of a chord that moves with it, or write it in longer notes"}
}

// stopsNamed reports whether the page itself names stops for one of the divisions.
func (c *Context) stopsNamed(divisions map[int]bool, other int) bool {
	for d := range divisions {
		for _, name := range []string{c.Organ.Divisions[d].Name, c.Organ.Divisions[max(other, 0)].Name} {
			for _, ch := range c.Performance.Changes {
				if strings.Contains(ch.Why, "in the score") && strings.Contains(strings.ToLower(ch.Why), strings.ToLower(name[:min(2, len(name))])) || strings.Contains(ch.Why, "stops file") {
					return true
				}
			}
		}
	}
	return false
}
