package musicxml

import (
	"slices"
	"strconv"
	"strings"

	"afterchord/sim/score"
)

// layBars settles number, length and metre of every bar.
func (r *reader) layBars() {
	mt := score.Metre{Beats: 4, Unit: 4}
	if len(r.bars) > 0 && !r.bars[0].hasMetre {
		r.remark(0, 0, -1, "no time signature is given: 4/4")
	}
	number := 0
	for i := range r.bars {
		b := &r.bars[i]
		if b.hasMetre {
			mt = b.metre
		}
		b.metre = score.Metre{Beats: mt.Beats, Unit: mt.Unit}
		full := r.s.BarTicks(mt)
		printed := ""
		for _, p := range r.src.parts {
			if i >= len(p.measures) {
				continue
			}
			m := p.measures[i]
			b.length = max(b.length, m.length)
			b.implicit = b.implicit || m.el.SelectAttrValue("implicit", "") == "yes"
			if printed == "" {
				printed = strings.TrimSpace(m.number)
			}
		}
		length := b.length
		if length == 0 {
			b.length = full
		}
		v, err := strconv.Atoi(printed)
		leading := digits.FindString(printed)
		switch {
		case i == 0 && b.implicit && b.length < full:
			v = 0
		case err == nil && v >= 0 && v < 1_000_000 && !b.implicit:
		case b.implicit:
			v, b.label = number, clip(printed)
		case leading != "" && strings.HasPrefix(printed, leading) && len(leading) < 7:
			v, _ = strconv.Atoi(strings.SplitN(leading, ".", 2)[0])
			b.label = clip(printed)
		default:
			v, b.label = number+1, clip(printed)
		}
		b.number, number = v, v
		r.oddLength(i, length, full)
	}
}

// oddLength remarks on a bar that is longer or, without a reason on the page, shorter than its metre.
func (r *reader) oddLength(i int, length, full score.Tick) {
	b := &r.bars[i]
	beats := func(t score.Tick) float64 { return float64(t) / float64(r.s.BeatTicks(b.metre)) }
	switch {
	case length > full:
		r.remark(i, 0, -1, "the bar holds %.4g beats in %d/%d: it is played that long", beats(length), b.metre.Beats, b.metre.Unit)
	case length > 0 && length < full && i > 0 && i < len(r.bars)-1 && !b.implicit && !r.bars[i+1].implicit &&
		!b.backward && !b.forward && !r.bars[i+1].forward && len(b.ending) == 0 && !b.endingEnd:
		r.remark(i, 0, -1, "the bar holds %.4g beats in %d/%d: it is played that short", beats(length), b.metre.Beats, b.metre.Unit)
	}
}

type tieKey struct{ part, key int }

// maxOpen is how many ties of a key, or slurs of a part, are followed at once.
const maxOpen = 64

type span struct{ from, to score.Tick }

// play lays everything out in playing order.
func (r *reader) play() {
	s := r.s
	repeated := slices.ContainsFunc(r.src.played, func(b playedBar) bool { return b.pass > 1 })
	open := map[tieKey][]int{} // tied notes that wait to go on, index into notes
	var notes []noteOrigin
	var holds []span
	var tempos []score.Tempo
	var last score.Metre
	state := newLinear(r)
	for bi, pb := range r.src.played {
		b := &r.bars[pb.measure]
		s.Bars = append(s.Bars, score.Bar{Number: b.number, Label: b.label, Start: pb.start, Length: b.length, Metre: b.metre})
		if b.metre != last {
			s.Metres = append(s.Metres, score.Metre{At: pb.start, Beats: b.metre.Beats, Unit: b.metre.Unit})
			last = b.metre
		}
		s.End = max(s.End, pb.start+b.length)
		if pb.jumped {
			r.addWords(state.marksAt(r.src.played[bi-1].measure, pb.measure, pb.start))
		}
		tempos = r.barTempos(tempos, pb)
		for _, p := range r.src.parts {
			if pb.measure >= len(p.measures) {
				continue
			}
			m := p.measures[pb.measure]
			for _, w := range m.words {
				w.At += pb.start
				r.src.words = append(r.src.words, wordOrigin{w.Word, w.el})
			}
			for _, c := range m.controls {
				c.At += pb.start
				s.Controls = append(s.Controls, c)
			}
			for _, n := range m.inTime() {
				if n.fermata {
					holds = append(holds, span{pb.start + n.at, pb.start + n.at + n.length})
				}
				if n.rest || n.only != nil && !slices.Contains(n.only, pb.pass) {
					continue
				}
				notes = r.playNote(notes, open, p, n, bi, repeated)
			}
		}
	}
	r.finish(notes)
	slices.SortStableFunc(s.Controls, func(a, b score.Control) int { return int(a.At - b.At) })
	slices.SortStableFunc(r.src.words, func(a, b wordOrigin) int { return int(a.word.At - b.word.At) })
	for _, w := range r.src.words {
		s.Words = append(s.Words, w.word)
	}
	r.tempoMap(tempos, holds)
}

func (r *reader) addWords(ws []score.Word) {
	for _, w := range ws {
		r.src.words = append(r.src.words, wordOrigin{word: w})
	}
}

// bundleKey is an ornament at one of the times its bar is played.
type bundleKey struct {
	*bundle
	bar int
}

// groupOf numbers the notes that are played for one ornament; 0 where there is none.
func (r *reader) groupOf(n *printedNote, bar int) int {
	if n.bundle == nil {
		return 0
	}
	k := bundleKey{n.bundle, bar}
	if r.bundles[k] == 0 {
		r.groups++
		r.bundles[k] = r.groups
	}
	return r.bundles[k]
}

// played is how many notes sound in a bar.
func (m *measure) played() (count int) {
	for _, n := range m.notes {
		count += max(1, len(n.tones))
	}
	return count
}

func (r *reader) playNote(notes []noteOrigin, open map[tieKey][]int, p *part, n *printedNote, bar int, repeated bool) []noteOrigin {
	start := r.src.played[bar].start
	k := tieKey{p.first + n.staff, n.key}
	group := r.groupOf(n, bar)
	tones := n.tones
	if tones == nil {
		tones = []tone{{n.on(), n.end(), n.key}}
	}
	last := -1 // the note that may be tied on
	if n.tieStop {
		if from, at := r.heldOver(notes, open, p, k, start+tones[0].from, n.voice); at >= 0 {
			i := open[from][at]
			open[from] = slices.Delete(open[from], at, at+1)
			if tones[0].key == n.key && (n.bundle == nil || !n.bundle.strikes) {
				o := &notes[i]
				o.note.Off, o.note.Written = start+n.offOf(tones[0]), start+tones[0].to-o.note.On
				o.segments = append(o.segments, segment{n, bar})
				if o.group > 0 && group > 0 { // one ornament over both
					r.bundles[bundleKey{n.bundle, bar}] = o.group
				} else {
					o.group = max(o.group, group)
				}
				group, last, tones = o.group, i, tones[1:]
			}
		}
	}
	pass := 0
	if repeated {
		pass = r.src.played[bar].pass
	}
	voice := min(max(integer(n.voice, 0), 0), 1000)
	for _, t := range tones {
		if t.key == n.key {
			last = len(notes)
		}
		notes = append(notes, noteOrigin{
			note: score.Note{
				Part: k.part, Voice: voice, Key: t.key, Velocity: n.velocity, Pass: pass,
				On: start + t.from, Off: start + max(n.offOf(t), t.from+1), Written: max(1, t.to-t.from),
				Articulated: n.articulated,
			},
			segments: []segment{{n, bar}},
			group:    group,
		})
	}
	if n.tieStart && last >= 0 {
		open[k] = slices.DeleteFunc(open[k], func(i int) bool { return notes[i].note.On+notes[i].note.Written < start })
		if len(open[k]) >= maxOpen {
			open[k] = open[k][1:]
		}
		open[k] = append(open[k], last)
	}
	return notes
}

// heldOver is the note that a tie at a tick goes on from: in its own staff or, where a hand takes it over, in another of
// the part; -1 where there is none.
func (r *reader) heldOver(notes []noteOrigin, open map[tieKey][]int, p *part, k tieKey, at score.Tick, voice string) (tieKey, int) {
	if i := tiedFrom(notes, open[k], at, voice); i >= 0 {
		return k, i
	}
	for staff := range p.staves {
		other := tieKey{p.first + staff, k.key}
		if i := tiedFrom(notes, open[other], at, voice); other != k && i >= 0 {
			return other, i
		}
	}
	return k, -1
}

// offOf is where the sound of one of its tones ends.
func (n *printedNote) offOf(t tone) score.Tick {
	if t.to == n.end() {
		return n.off()
	}
	return t.to
}

// tiedFrom is which of the waiting notes goes on at a tick, of several the one in
// the same voice; -1 where none does.
func tiedFrom(notes []noteOrigin, waiting []int, at score.Tick, voice string) int {
	found := -1
	for j, i := range waiting {
		o := &notes[i]
		if o.note.On+o.note.Written != at {
			continue
		}
		if last := o.segments[len(o.segments)-1]; last.n.voice == voice {
			return j
		}
		found = j
	}
	return found
}

// finish sorts the notes and gives them their IDs.
func (r *reader) finish(notes []noteOrigin) {
	slices.SortStableFunc(notes, func(a, b noteOrigin) int {
		switch {
		case a.note.On != b.note.On:
			return int(a.note.On - b.note.On)
		case a.note.Part != b.note.Part:
			return a.note.Part - b.note.Part
		}
		return a.note.Key - b.note.Key
	})
	for i := range notes {
		notes[i].note.ID = i + 1
		r.s.Notes = append(r.s.Notes, notes[i].note)
		r.s.End = max(r.s.End, notes[i].note.Off)
	}
	r.src.notes = notes
}
