package musicxml

import (
	"regexp"
	"slices"
	"strings"

	"afterchord/sim/score"
)

// jumps are the signs by which the playing order leaves the order of the page.
type jumps struct {
	dacapo, fine                  bool
	segno, dalsegno, coda, tocoda string
	// signs and words, used where no sound element says the same
	segnoSign, codaSign, daCapoWord, dalSegnoWord, fineWord, toCodaWord bool
}

var (
	daCapo   = regexp.MustCompile(`(?i)^(d\. ?c\.?|da capo)( al.*)?$`)
	dalSegno = regexp.MustCompile(`(?i)^(d\. ?s\.?|dal segno)( al.*)?$`)
	toCoda   = regexp.MustCompile(`(?i)^(to|al) coda`)
	fine     = regexp.MustCompile(`(?i)^fine\.?$`)
)

func (r *reader) jumpWords(m *measure, words string) {
	b := &r.bars[m.index]
	b.daCapoWord = b.daCapoWord || daCapo.MatchString(words)
	b.dalSegnoWord = b.dalSegnoWord || dalSegno.MatchString(words)
	b.toCodaWord = b.toCodaWord || toCoda.MatchString(words)
	b.fineWord = b.fineWord || fine.MatchString(words)
	if strings.EqualFold(strings.TrimSpace(words), "coda") {
		b.codaSign = true
	}
}

// signs fills in from signs and words what the sound elements leave out.
func (r *reader) signs() {
	has := func(f func(b *barInfo) bool) bool {
		return slices.ContainsFunc(r.bars, func(b barInfo) bool { return f(&b) })
	}
	if !has(func(b *barInfo) bool { return b.dacapo }) {
		for i := range r.bars {
			r.bars[i].dacapo = r.bars[i].daCapoWord
		}
	}
	if !has(func(b *barInfo) bool { return b.fine }) {
		for i := range r.bars {
			r.bars[i].fine = r.bars[i].fineWord
		}
	}
	if !has(func(b *barInfo) bool { return b.dalsegno != "" }) {
		for i := range r.bars {
			if r.bars[i].dalSegnoWord {
				r.bars[i].dalsegno = "segno"
			}
		}
	}
	if !has(func(b *barInfo) bool { return b.segno != "" }) {
		for i := range r.bars {
			if r.bars[i].segnoSign {
				r.bars[i].segno = "segno"
			}
		}
	}
	if !has(func(b *barInfo) bool { return b.tocoda != "" || b.coda != "" }) {
		// Of two coda signs the first says where to leave, the last where to go on.
		var at []int
		words := has(func(b *barInfo) bool { return b.toCodaWord })
		for i := range r.bars {
			switch b := &r.bars[i]; {
			case b.toCodaWord:
				b.tocoda = "coda"
			case b.codaSign:
				at = append(at, i)
			}
		}
		if len(at) > 1 && !words {
			r.bars[at[0]].tocoda = "coda"
		}
		if len(at) > 0 && (words || len(at) > 1) {
			r.bars[at[len(at)-1]].coda = "coda"
		}
	}
}

// playedBar is one bar at one of the times it is played.
type playedBar struct {
	measure int
	pass    int // from 1
	start   score.Tick
	jumped  bool // does not follow the bar before it on the page
}

// unfold makes the playing order.
func (r *reader) unfold() error {
	n := len(r.bars)
	endings := r.endings()
	count := make([]int, n)
	jumped := map[int]bool{} // bars whose jump has been taken
	i, start, pass, after := 0, 0, 1, false
	var at score.Tick
	previous, total := -1, 0
	for i < n {
		b := &r.bars[i]
		if b.forward && start != i {
			start, pass = i, 1
		}
		if e := endings[i]; e.begins && !r.endingPlays(endings, i, pass, after) {
			i = e.end + 1
			continue
		}
		if len(r.src.played) >= maxPlayed {
			return b.fail("with all its repeats the piece has more than %d bars", maxPlayed)
		}
		count[i]++
		for _, p := range r.src.parts {
			if i < len(p.measures) {
				total += p.measures[i].played() + len(p.measures[i].words)
			}
		}
		if total > maxEvents {
			return b.fail("with all its repeats the piece has more than %d notes and words", maxEvents)
		}
		r.src.played = append(r.src.played, playedBar{measure: i, pass: count[i], start: at, jumped: previous >= 0 && previous != i-1})
		at += b.length
		previous = i
		switch {
		case after && b.fine:
			i = n
			continue
		case after && b.tocoda != "":
			if to := r.codaAfter(i); to >= 0 {
				i, start, pass = to, to, 1
				continue
			}
			r.remark(i, 0, -1, "there is no coda to go to")
		}
		if b.backward && (!after || b.afterJump) {
			times := max(b.times, 2)
			if e := endings[i]; e.in {
				times = max(times, e.last)
			}
			if pass < times {
				pass++
				i = start
				continue
			}
		}
		if b.backward && !r.laterEnding(endings, i) {
			start, pass = i+1, 1
		}
		if (b.dacapo || b.dalsegno != "") && !jumped[i] {
			jumped[i] = true
			to := 0
			if b.dalsegno != "" {
				to = -1
				for j := range r.bars { // the sign of that name, else any
					if s := r.bars[j].segno; s != "" && (s == b.dalsegno || to < 0) {
						to = j
						if s == b.dalsegno {
							break
						}
					}
				}
			}
			if to >= 0 {
				i, start, pass, after = to, to, 1, true
				continue
			}
			r.remark(i, 0, -1, "there is no segno to go back to")
		}
		i++
	}
	return nil
}

// codaAfter is the coda that the bar i sends to: the one of its name, else any
// later one, else -1. A coda never lies before the bar that leads to it.
func (r *reader) codaAfter(i int) int {
	to := -1
	for j := i + 1; j < len(r.bars); j++ {
		switch c := r.bars[j].coda; {
		case c == "":
		case c == r.bars[i].tocoda:
			return j
		case to < 0:
			to = j
		}
	}
	return to
}

// volta is what a bar has to do with voltas.
type volta struct {
	in, begins bool
	numbers    []int
	end        int // last bar of the volta
	last       int // highest number among the voltas of its repeat
	group      int // first bar of the first volta of its repeat
}

func (r *reader) endings() []volta {
	out := make([]volta, len(r.bars))
	groupStart, groupEnd, last := -1, -1, 0
	close := func() {
		for j := max(groupStart, 0); j <= groupEnd; j++ {
			out[j].last, out[j].group = last, groupStart
		}
		groupStart, last = -1, 0
	}
	for i := 0; i < len(r.bars); i++ {
		if len(r.bars[i].ending) == 0 {
			continue
		}
		end := i
		for end < len(r.bars)-1 && !r.bars[end].endingEnd && len(r.bars[end+1].ending) == 0 {
			end++
		}
		if groupStart >= 0 && i != groupEnd+1 {
			close()
		}
		if groupStart < 0 {
			groupStart = i
		}
		groupEnd = end
		for j := i; j <= end; j++ {
			out[j] = volta{in: true, begins: j == i, numbers: r.bars[i].ending, end: end}
		}
		last = max(last, slices.Max(r.bars[i].ending))
		i = end
	}
	if groupStart >= 0 {
		close()
	}
	return out
}

func (r *reader) laterEnding(v []volta, i int) bool {
	return v[i].in && v[i].end+1 < len(v) && v[v[i].end+1].begins && v[v[i].end+1].group == v[i].group
}

// endingPlays tells whether the volta that begins at i is played; after a jump
// the last one is.
func (r *reader) endingPlays(v []volta, i, pass int, after bool) bool {
	if after && !r.bars[v[i].end].afterJump {
		return !r.laterEnding(v, i)
	}
	if slices.Contains(v[i].numbers, pass) {
		return true
	}
	// A last volta also serves passes that no volta is numbered for.
	return !r.laterEnding(v, i) && pass > v[i].last
}
