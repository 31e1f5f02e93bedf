package field

import (
	"cmp"
	"math"
	"slices"

	"afterchord/sim/performance"
)

// checkpoint is where a run stands as a frame begins, right after it has settled: what comes of it depends on nothing else than the chords,
// onsets and boxes still to come.
type checkpoint struct {
	frame        int
	coming, snap int     // chords and onsets that have been taken in
	peak         float64 // the most that reached the seat since the checkpoint before
	kept         kept    // falls counted backwards from snap
	*moment
}

// moment is what is in the hall.
type moment struct {
	strokes       []stroke // whose pallets have not shut, in order
	rising        []riser
	releasing     []releaser
	tail, residue [maxTerms][]float64
}

// trail is the checkpoints of a run, in order.
type trail struct {
	every  int // frames
	points []checkpoint
}

// mostCheckpoints bounds the trail of a run, about 10 kB each.
const mostCheckpoints = 1024

// newTrail is a trail for a run of about so many frames.
func newTrail(frames int) *trail {
	t := &trail{every: settleFrames}
	for frames/t.every > mostCheckpoints {
		t.every *= 2
	}
	return t
}

// checkpoint is where the run stands.
func (e *engine) checkpoint(frame int) checkpoint {
	m := &moment{releasing: slices.Clone(e.releasing), rising: slices.Clone(e.rising)}
	plane := planes(e.h.Model.N(), 2*e.h.terms)
	for t := range e.h.terms {
		m.tail[t], m.residue[t] = plane(), plane()
		copy(m.tail[t], e.tail[t])
		copy(m.residue[t], e.residue[t])
	}
	live := e.live()
	for _, i := range live {
		m.strokes = append(m.strokes, e.strokes[i])
	}
	for i := range m.rising {
		at, _ := slices.BinarySearch(live, m.rising[i].stroke)
		m.rising[i].stroke = int32(at)
	}
	c := checkpoint{frame: frame, coming: e.coming, snap: e.snap, peak: e.peak, kept: e.kept, moment: m}
	c.kept.rows, c.kept.falls = slices.Clip(e.kept.rows), slices.Clone(e.kept.falls)
	for i := range c.kept.falls {
		c.kept.falls[i].onset = e.snap - c.kept.falls[i].onset
	}
	return c
}

// stand puts the run where it stands at a checkpoint, with so many chords and onsets taken in.
func (e *engine) stand(c *checkpoint, coming, snap int) {
	e.coming, e.snap, e.kept = coming, snap, c.kept
	e.kept.falls = slices.Clone(c.kept.falls)
	for i := range e.kept.falls {
		e.kept.falls[i].onset = snap - e.kept.falls[i].onset
	}
	for t := range e.h.terms {
		copy(e.tail[t], c.tail[t])
		copy(e.residue[t], c.residue[t])
	}
	e.strokes, e.rising, e.releasing = slices.Clone(c.strokes), slices.Clone(c.rising), slices.Clone(c.releasing)
	e.starts, e.ends = e.starts[:0], e.ends[:0]
	clear(e.sounding)
	for i := range e.strokes {
		s := &e.strokes[i]
		if s.begun {
			e.sounding[s.ensemble.division]++
		}
		e.queue(i)
	}
	for i := range e.releasing {
		e.sounding[e.releasing[i].ensemble.division]++
	}
	e.sumSpeaking()
}

// same reports whether what comes of two moments is the same, to the bit.
func (m *moment) same(o *moment) bool {
	for t := range m.tail {
		if !slices.Equal(m.tail[t], o.tail[t]) || !slices.Equal(m.residue[t], o.residue[t]) {
			return false
		}
	}
	return slices.Equal(m.strokes, o.strokes) &&
		slices.EqualFunc(m.rising, o.rising, func(a, b riser) bool {
			return a.stroke == b.stroke && a.phase == b.phase && len(a.table) == len(b.table)
		}) &&
		slices.EqualFunc(m.releasing, o.releasing, func(a, b releaser) bool {
			return a.ensemble == b.ensemble && a.left == b.left && a.release.same(b.release)
		})
}

// same reports whether two releases of an ensemble are the same.
func (r *release) same(o *release) bool {
	return r == o || r.fall == o.fall && r.least == o.least && slices.Equal(r.power, o.power)
}

// pass takes over from another run what is the same in this one, which has come to a frame: where the run stands as the other did then,
// it goes on from the other's last checkpoint before anything differs again. It returns the frame at which it goes on.
func (e *engine) pass(frame int) int {
	if e.kept.until <= frame {
		e.kept.close(e.f)
	}
	here := e.checkpoint(frame)
	mine := &e.f.trail.points
	*mine = append(*mine, here)
	e.peak = 0
	if e.base == nil {
		return frame
	}
	other := e.base.trail.points
	i, ok := slices.BinarySearchFunc(other, frame, func(c checkpoint, frame int) int { return cmp.Compare(c.frame, frame) })
	if !ok || e.kept.until > frame || other[i].kept.until > frame || !here.same(other[i].moment) || !e.sameLevels(frame) {
		return frame
	}
	from, to := &other[i], e.parts(other[i:])
	if to == from {
		return frame
	}
	f, b := e.f, e.base
	f.LevelDB = append(f.LevelDB, b.LevelDB[from.frame:to.frame]...)
	f.ResidueDB = append(f.ResidueDB, b.ResidueDB[from.frame:to.frame]...)
	chords, onsets := e.coming-from.coming, e.snap-from.snap
	for k := from.snap; k < to.snap; k++ {
		o := &f.Onsets[k+onsets]
		keyS, notes := o.KeyS, o.Notes
		*o = b.Onsets[k]
		o.KeyS, o.Notes = keyS, notes
	}
	for k := i + 1; other[k-1].frame < to.frame; k++ {
		c := other[k]
		c.coming, c.snap = c.coming+chords, c.snap+onsets
		e.loudest = max(e.loudest, c.peak)
		*mine = append(*mine, c)
	}
	e.stand(to, to.coming+chords, to.snap+onsets)
	return to.frame
}

// sameLevels reports whether the levels that onsets to come look back on are those of the other run.
func (e *engine) sameLevels(frame int) bool {
	from := max(0, frame-int((OldS+2*snapshotS)/Step)-2)
	return slices.Equal(e.f.LevelDB[from:frame], e.base.LevelDB[from:frame])
}

// parts is the last of the other run's checkpoints, of which this run stands at the first, that it comes to in the same way.
func (e *engine) parts(other []checkpoint) *checkpoint {
	f, b, at := e.f, e.base, &other[0]
	chords, theirs := f.chords[e.coming:], b.chords[at.coming:]
	n := 0
	for n < min(len(chords), len(theirs)) && chords[n].OnS == theirs[n].OnS && chords[n].OffS == theirs[n].OffS && chords[n].ensemble == theirs[n].ensemble {
		n++
	}
	onsets, found := f.Onsets[e.snap:], b.Onsets[at.snap:]
	k := 0
	for k < min(len(onsets), len(found)) && onsets[k].HeardS == found[k].HeardS {
		k++
	}
	until := math.Inf(1) // as the seat hears it
	if n < len(chords) {
		until = chords[n].OnS
	}
	if k < len(onsets) {
		until = min(until, onsets[k].HeardS+snapshotS)
	}
	for d, moves := range e.h.box {
		delay := e.h.Paths[d].DelayS
		until = min(until, delay+sameBox(moves, b.Hall.box[d], e.endOf(at.frame-2)-delay))
	}
	last := at
	for i := 1; i < len(other); i++ {
		c := &other[i]
		if c.coming-at.coming > n || c.snap-at.snap > k || e.endOf(c.frame-1) >= until {
			break
		}
		if c.coming-at.coming == len(chords) && c.snap-at.snap == len(onsets) && len(c.strokes) == 0 {
			break // it may have died away by now
		}
		last = c
	}
	return last
}

// sameBox is until when two boxes move in the same way from a time on, s.
func sameBox(a, b []performance.BoxMove, fromS float64) float64 {
	a, b = since(a, fromS), since(b, fromS)
	same := fromS
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return same
		}
		same = max(same, a[i].AtS)
	}
	if len(a) != len(b) {
		return same
	}
	return math.Inf(1)
}

// since is the moves that say how a box stands from a time on, s.
func since(moves []performance.BoxMove, fromS float64) []performance.BoxMove {
	for len(moves) > 1 && moves[1].AtS <= fromS {
		moves = moves[1:]
	}
	return moves
}
