package musicxml

import (
	"fmt"

	"afterchord/sim/score"
)

// playedBar is one bar at one of the times it is played.
type playedBar struct {
	measure int
	pass    int // from 1
	start   score.Tick
	jumped  bool // does not follow the bar before it on the page
}

// route is the way through the bars.
type route struct {
	r       *reader
	at      score.Tick
	last    int // bar before, -1 at the start
	count   []int
	content int // notes and words so far
}

// play takes bar i.
func (w *route) play(i int) error {
	r, b := w.r, &w.r.bars[i]
	if len(r.src.played) >= maxPlayed {
		return b.fail("with all its repeats the piece has more than %d bars", maxPlayed)
	}
	w.count[i]++
	for _, p := range r.src.parts {
		if i < len(p.measures) {
			w.content += p.measures[i].played() + len(p.measures[i].words)
		}
	}
	if w.content > maxEvents {
		return b.fail("with all its repeats the piece has more than %d notes and words", maxEvents)
	}
	r.src.played = append(r.src.played, playedBar{measure: i, pass: w.count[i], start: w.at, jumped: w.last >= 0 && w.last != i-1})
	w.at += b.length
	w.last = i
	return nil
}

// unfold makes the playing order.
func (r *reader) unfold(asPrinted bool) error {
	w := &route{r: r, last: -1, count: make([]int, len(r.bars))}
	if asPrinted {
		for i := range r.bars {
			if err := w.play(i); err != nil {
				return err
			}
		}
		return nil
	}
	if err := r.walk(w); err != nil {
		return err
	}
	r.remarkOrder(w.count)
	return nil
}

// walk goes through the bars as a player does.
func (r *reader) walk(w *route) error {
	n := len(r.bars)
	m := r.movements()
	voltas := r.voltas(m)
	reps := r.matchRepeats(voltas, m)
	passes := make([]int, n) // time through the repeat that begins at a bar
	taken := map[int]bool{}  // bars whose jump has been taken
	back := false            // the bar is come to by a repeat
	jump, end := -1, -1      // bar of the jump after which the music is, and the bar it ends with
	for i := 0; i < n; {
		b := &r.bars[i]
		if m.certain[i] && i > jump { // the next movement
			jump, end = -1, -1
		}
		if reps.begins[i] && !back {
			passes[i] = 1
		}
		if v := voltas[i]; v.begins && !back {
			pass := 0
			if s := reps.ofGroup(voltas, v.group, v.groupEnd+1); s >= 0 && s <= i {
				pass = passes[s]
				if s == i { // a repeat that begins with the volta
					pass = 0
				}
			}
			if !r.plays(voltas, v, pass, jump >= 0) {
				i = v.end + 1
				continue
			}
		}
		back = false
		if err := w.play(i); err != nil {
			return err
		}
		if jump >= 0 {
			until := r.bars[jump].until
			if b.fine && until != "coda" || i == end {
				i = r.goOn(jump, m)
				jump, end = -1, -1
				continue
			}
			if b.tocoda != "" && until != "fine" {
				if to := r.codaAfter(i); to >= 0 {
					i = to
					continue
				}
				r.remark(i, 0, -1, "there is no coda to go to")
			}
		}
		if s := reps.from[i]; s >= 0 && (jump < 0 || b.afterJump) && passes[s] < r.times(voltas[i], i) {
			passes[s]++
			i, back = s, true
			continue
		}
		if i == jump {
			jump, end = -1, -1
		}
		if (b.dacapo || b.dalsegno != "") && !taken[i] {
			taken[i] = true
			to, last := r.capo(m, i)
			if b.dalsegno != "" {
				to, last = r.segnoFor(i), -1
			}
			if to >= 0 {
				jump, end, i = i, last, to
				continue
			}
			r.remark(i, 0, -1, "there is no segno to go back to")
		}
		i++
	}
	return nil
}

// goOn is the bar to go on with where what came back by the jump in bar i has ended: the next movement; the end of
// the piece where nothing follows but a coda that was not asked for.
func (r *reader) goOn(i int, m movements) int {
	next := i + 1
	if next < len(r.bars) && r.bars[next].coda != "" {
		for next < len(r.bars) && !m.certain[next] {
			next++
		}
	}
	return next
}

// mostPlain is how often a bar may be played without a remark: a repeat and a da capo come to three times at most.
const mostPlain = 2

// remarkOrder says which bars are never played and which more than twice, whatever signs are the cause.
func (r *reader) remarkOrder(count []int) {
	for from := 0; from < len(count); {
		to := from
		for to+1 < len(count) && count[to+1] == count[from] {
			to++
		}
		name := r.barNames(from, to)
		switch c := count[from]; {
		case c == 0:
			r.remark(from, 0, -1, "%s never played: look at the repeats and voltas, or read the score as printed", verb(name, from, to))
		case c > mostPlain:
			r.remark(from, 0, -1, "%s played %d times", verb(name, from, to), c)
		}
		from = to + 1
	}
}

func verb(name string, from, to int) string {
	if from == to {
		return name + " is"
	}
	return name + " are"
}

// barNames names bars as printed: "bar 9", "bars 9 to 12".
func (r *reader) barNames(from, to int) string {
	name := func(i int) string {
		if r.bars[i].label != "" {
			return r.bars[i].label
		}
		return fmt.Sprint(r.bars[i].number)
	}
	if from == to {
		return "bar " + name(from)
	}
	return "bars " + name(from) + " to " + name(to)
}
