package musicxml

import (
	"math"
	"sort"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// speedEvent is something on the page that concerns the speed.
type speedEvent struct {
	measure, part int
	at            score.Tick // from the start of its bar
	page          score.Tick // in the order of the page
	kind          speedKind
	value         float64 // crotchets a minute of a mark or tempo word, else a factor
	word          string  // as printed
	table         string  // row of tempoWords
	el            *etree.Element
	direction     *etree.Element // that it stands in; nil for a <sound> of its own
	bare          bool           // a <sound tempo> with nothing printed
	line          *speedLine
}

// speedLine is the dashed line or bracket that shows how far a gradual change goes.
type speedLine struct {
	closed  bool
	measure int
	at      score.Tick
}

// speedStep is a change of speed in the order of the page.
type speedStep struct {
	at        score.Tick
	crotchets float64
	follows   bool // in proportion to the mark before it
}

// Bounds on a gradual change whose end is not printed, in bars.
const (
	searchBars  = 8 // this far words and marks for its end are looked for
	stopBars    = 4 // and this far double bars, repeats and the end of the piece
	defaultBars = 2 // this long it takes where there is none
)

// ritardPower is q of the curve v(x) = (1 + (w^q - 1)x)^(1/q), x from 0 to 1 along the score
// and w the speed at its end: Friberg & Sundberg 1999, "Does music performance allude to
// locomotion? A model of final ritardandi derived from measurements of stopping runners",
// J. Acoust. Soc. Am. 105, 1469-1484; q = 3 is that of the runners. That an accelerando goes
// the same way backwards is an assumption of ours.
const ritardPower = 3

// rampSpeed is the mean speed over a stretch of the curve: the one that takes as long.
func rampSpeed(w, from, to float64) float64 {
	a := math.Pow(w, ritardPower) - 1
	if math.Abs(a) < 1e-9 || to <= from {
		return math.Pow(max(1+a*from, 0), 1./ritardPower)
	}
	const p = 1 - 1./ritardPower // the time is the integral of 1/v
	time := (math.Pow(max(1+a*to, 0), p) - math.Pow(1+a*from, p)) / (a * p)
	return (to - from) / time
}

// ramp is a gradual change as it is played.
type ramp struct {
	event    speedEvent
	from, to score.Tick // of the page
	factor   float64
	returns  bool // the speed before comes back without a word
}

// speedState walks through the page.
type speedState struct {
	pg     *page
	events []speedEvent
	steps  []speedStep
	ramps  []ramp
	known  map[string]float64 // speeds that tempo words had where they stood beside a mark
	now    float64            // the speed
	figure float64            // the last speed that the page gives as a figure or by a tempo word
	base   float64            // what "a tempo" comes back to
	before float64            // the base before "meno mosso", 0 for none
	until  score.Tick         // end of the last gradual change
	sense  float64            // its factor
	part   int                // its part
	played bool               // the file itself plays the last gradual change
	tables []speedEvent       // tempo words that were taken by the table
	idle   []speedEvent       // gradual changes with nothing after them
}

// resolve gives the speeds along the page. start is the speed at the beginning.
func (pg *page) resolve(events []speedEvent, start float64) *speedState {
	st := &speedState{pg: pg, events: pg.place(events), known: map[string]float64{}, now: start, figure: start, base: start}
	st.steps = []speedStep{{0, start, false}}
	for i := 0; i < len(st.events); {
		j := i + 1
		for j < len(st.events) && st.events[j].page == st.events[i].page {
			j++
		}
		st.group(i, j)
		i = j
	}
	return st
}

// group takes what stands at one place.
func (st *speedState) group(i, j int) {
	at, was := st.events[i].page, st.now
	marked := false
	ratio := 0.0
	for _, e := range st.events[i:j] {
		switch e.kind {
		case markKind:
			st.mark(e)
			marked = true
			continue
		case ratioKind: // the same in several parts counts once
			if e.value != ratio {
				ratio, marked = e.value, true
				st.put(at, min(max(st.now*e.value, slowestSpeed), quickestSpeed), true)
				st.figure, st.base, st.before = st.now, st.now, 0
			}
			continue
		case gradualKind:
			st.gradual(e, j, was)
			continue
		case tableKind:
			if marked {
				st.known[e.table] = st.now
				continue
			}
			c, known := st.known[e.table]
			if !known {
				c = e.value
				st.known[e.table] = c
				if at > 0 {
					st.tables = append(st.tables, e)
				}
			}
			st.put(at, c, false)
			st.figure, st.base, st.before = c, c, 0
		case suddenKind:
			if !marked {
				st.before = st.base
				st.base = st.bounded(st.base * e.value)
				st.put(at, st.base, true)
				st.ramps = append(st.ramps, ramp{event: e, from: at, to: at, factor: e.value})
			}
		case backKind:
			if !marked {
				if math.Abs(st.now-st.base) < 1e-9 && st.before > 0 {
					st.base, st.before = st.before, 0
				}
				st.put(at, st.base, true)
			}
		case firstKind:
			if !marked {
				st.base, st.before = st.steps[0].crotchets, 0
				st.figure = st.base
				st.put(at, st.base, false)
			}
		}
		marked = true // the same word over several staves counts once
	}
}

// Bounds on the speed: crotchets a minute, and how far words alone may take it from the last figure. Players
// come back by themselves where one "rit." follows another.
const (
	slowestSpeed, quickestSpeed = 1, 2000
	mostByWords                 = 2.5
)

// bounded is a speed that words ask for, within bounds.
func (st *speedState) bounded(c float64) float64 {
	return min(max(c, st.figure/mostByWords, slowestSpeed), st.figure*mostByWords, quickestSpeed)
}

func (st *speedState) put(at score.Tick, c float64, follows bool) {
	st.now = c
	l := &st.steps[len(st.steps)-1]
	switch {
	case l.at == at:
		l.crotchets = c
		l.follows = follows && at > 0
	case math.Abs(l.crotchets-c) > 1e-9:
		st.steps = append(st.steps, speedStep{at, c, follows})
	}
}

func (st *speedState) mark(e speedEvent) {
	st.put(e.page, e.value, false)
	// Steps by which the file plays "rit." are not what "a tempo" comes back to.
	if e.bare && st.played && (e.value < st.base) == (st.sense < 1) {
		return
	}
	st.figure, st.base, st.before, st.played = e.value, e.value, 0, false
}

// gradual plays rit. and accel.; next is the index of the first event at a later place and
// was the speed just before this place.
func (st *speedState) gradual(e speedEvent, next int, was float64) {
	if e.page < st.until && (e.value < 1) == (st.sense < 1) && e.part != st.part {
		return // the same word over another staff
	}
	st.sense, st.part, st.until = e.value, e.part, e.page
	ends := st.events[next:]
	for len(ends) > 0 && ends[0].kind == gradualKind && ends[0].part != e.part && (ends[0].value < 1) == (e.value < 1) {
		ends = ends[1:]
	}
	for _, x := range st.events { // a speed of its own in the direction
		if x.page == e.page && x.kind == markKind && (x.bare || x.direction != nil && x.direction == e.direction) && math.Abs(x.value-was) > 1e-9 {
			st.played, st.base = true, was
			return
		}
	}
	if len(ends) > 0 && ends[0].bare && (ends[0].value < st.now) == (e.value < 1) && ends[0].page < st.pg.after(e.page, defaultBars) {
		st.played = true
		return
	}
	st.played = false
	to, last, returns := st.extent(e, ends)
	if last <= e.page {
		st.idle = append(st.idle, e)
		return
	}
	w := e.value
	if len(ends) > 0 && ends[0].page == to && (ends[0].kind == markKind || ends[0].kind == tableKind) {
		if t := ends[0].value / st.now; (t < 1) == (w < 1) && t != 1 {
			w = min(max(t, 0.4), 2.5) // it leads to the speed that follows
		}
	}
	w = st.bounded(st.now*w) / st.now
	st.ramp(e.page, last, w)
	st.ramps = append(st.ramps, ramp{event: e, from: e.page, to: last, factor: w, returns: returns})
	st.until = to
	if returns && to < st.pg.starts[len(st.pg.starts)-1] {
		st.put(to, st.base, true)
	}
}

// extent is where a gradual change ends and where it is at its last speed: the last note
// before a bar line, else the same. returns tells that the speed before comes back by itself.
func (st *speedState) extent(e speedEvent, ends []speedEvent) (to, last score.Tick, returns bool) {
	pg := st.pg
	slower := e.value < 1
	if l := e.line; l != nil && l.closed {
		to = pg.starts[l.measure] + l.at
		if len(ends) > 0 && ends[0].page < to {
			to = ends[0].page
		}
		return to, to, slower && !(len(ends) > 0 && ends[0].page <= pg.after(to, 1))
	}
	from := pg.bar(e.page)
	word := score.Tick(math.MaxInt64)
	if len(ends) > 0 && ends[0].page < pg.after(e.page, searchBars) {
		word = ends[0].page
	}
	for i := from; i < min(from+stopBars, len(pg.stops)); i++ {
		if line := pg.starts[i+1]; pg.stops[i] && line <= word {
			to, last, returns = st.held(e.page, line, true)
			return to, last, returns && to != word
		}
	}
	if word < math.MaxInt64 {
		return st.held(e.page, word, false)
	}
	return st.held(e.page, pg.after(e.page, defaultBars), true)
}

// held ends a change at a fermata that lies before its end. Where the end is a bar line the
// last speed is that of the last note.
func (st *speedState) held(from, to score.Tick, line bool) (end, last score.Tick, returns bool) {
	pg := st.pg
	slower := st.sense < 1
	if i := sort.Search(len(pg.holds), func(i int) bool { return pg.holds[i] > from }); i < len(pg.holds) && pg.holds[i] < to {
		return pg.holds[i], pg.holds[i], slower
	}
	if !line {
		return to, to, false
	}
	i := sort.Search(len(pg.onsets), func(i int) bool { return pg.onsets[i] >= to }) - 1
	if i < 0 || pg.onsets[i] <= from {
		return to, to, slower
	}
	return to, pg.onsets[i], slower
}

// mostSteps bounds the steps of one gradual change.
const mostSteps = 64

// ramp puts the steps of a gradual change to w times the speed, and w from its end on.
func (st *speedState) ramp(from, to score.Tick, w float64) {
	start := st.now
	step := max(st.pg.steps[st.pg.bar(from)], (to-from)/mostSteps)
	length := float64(to - from)
	for at := from; at < to; at += step {
		end := min(at+step, to)
		st.put(at, start*rampSpeed(w, float64(at-from)/length, float64(end-from)/length), true)
	}
	st.put(to, start*w, true)
}

// at is the speed at a place of the page.
func (st *speedState) at(t score.Tick) float64 {
	i := sort.Search(len(st.steps), func(i int) bool { return st.steps[i].at > t }) - 1
	return st.steps[max(i, 0)].crotchets
}
