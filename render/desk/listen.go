package desk

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"time"

	"afterchord/acoustics/response"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/proof"
	"afterchord/sim/sound"
)

// The sound of one page is one stream of several tracks in step, so that the page can change between
// them at any moment: each message is a head of 16 bytes (little endian: track
// uint32, frames uint32, first frame uint64) and frames × 2 float32 samples. Messages of a track are
// chunkFrames long and begin at multiples of it; one of 0 frames ends the track at its first
// frame. A track of noTrack carries the text of an error (frames: its bytes).
const (
	streamRate  = 48000 // Hz
	chunkFrames = 24000 // half a second
	noTrack     = math.MaxUint32
	maxTracks   = 4
	cacheBytes  = 24 << 20 // of pipe sound, for each track
)

type listenRequest struct {
	Tracks []track `json:"tracks"`
}

type track struct {
	Side Side    `json:"side"`
	Dry  bool    `json:"dry"`
	Ears bool    `json:"ears"` // for headphones
	From float64 `json:"from"` // s
}

// part is one message's sound; frames nil at the end.
type part struct {
	first  int64
	frames []float32
	err    error
}

// listen streams the sound of the tracks from their places on. What is computed stays little
// ahead of what is taken; leaving ends it.
func (d *Desk) listen(w http.ResponseWriter, r *http.Request) error {
	var in listenRequest
	if err := readJSON(w, r, &in); err != nil {
		return err
	}
	if len(in.Tracks) < 1 || len(in.Tracks) > maxTracks {
		return problemf(http.StatusBadRequest, "%d tracks: ask for 1 to %d", len(in.Tracks), maxTracks)
	}
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	ses := sessionOf(r)
	if !ses.openStream() {
		return problemf(http.StatusTooManyRequests, "this browser already has %d sounds under way", streamsEach)
	}
	defer ses.closeStream()
	if err := d.streams.enter(r.Context()); err != nil {
		return err
	}
	defer d.streams.leave()

	jobs := make([]excerpt, len(in.Tracks))
	for i, t := range in.Tracks {
		if !(t.From >= 0 && t.From < sound.MaxDuration) {
			return problemf(http.StatusBadRequest, "from %g s: give a place in the piece", t.From)
		}
		pr, _, err := d.play(p, t.Side)
		if err != nil {
			return err
		}
		job, err := jobOf(pr, streamRate, t.Dry, t.Ears)
		if err != nil {
			return err
		}
		jobs[i] = newExcerpt(job, fmt.Sprintf("%s %t", placeOf(p, t.Side, t.Dry), t.Ears), t.From)
	}
	ctx, stop := context.WithCancel(r.Context())
	defer stop()
	parts := make([]chan part, len(jobs))
	for i := range jobs {
		parts[i] = make(chan part, 1)
		go d.render(ctx, jobs[i], parts[i])
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Cache-Control", "no-store")
	if err := d.send(ctx, w, parts); err != nil {
		panic(http.ErrAbortHandler) // the listener sees a stream that breaks off, not one that ends
	}
	return nil
}

// send writes the parts of all tracks, always of the track that is furthest behind.
func (d *Desk) send(ctx context.Context, w http.ResponseWriter, parts []chan part) error {
	out := http.NewResponseController(w)
	sent := make([]int64, len(parts)) // frames since the beginning of the stream; -1 when over
	var buf []byte
	for {
		at := -1
		for i, n := range sent {
			if n >= 0 && (at < 0 || n < sent[at]) {
				at = i
			}
		}
		if at < 0 {
			return nil
		}
		var p part
		select {
		case p = <-parts[at]:
		case <-ctx.Done(): // the listener has left, and so have the renderings
			return ctx.Err()
		}
		buf = buf[:0]
		switch {
		case p.err != nil:
			text := p.err.Error()
			buf = appendHead(buf, noTrack, len(text), 0)
			buf = append(buf, text...)
		default:
			buf = appendHead(buf, uint32(at), len(p.frames)/2, p.first)
			for _, v := range p.frames {
				buf = binary.LittleEndian.AppendUint32(buf, math.Float32bits(v))
			}
		}
		_ = out.SetWriteDeadline(time.Now().Add(d.opt.SendTimeout))
		if _, err := w.Write(buf); err != nil {
			return err
		}
		if err := out.Flush(); err != nil {
			return err
		}
		if p.err != nil {
			return nil
		}
		sent[at] += int64(len(p.frames) / 2)
		if len(p.frames) == 0 {
			sent[at] = -1
		}
	}
}

func appendHead(b []byte, track uint32, frames int, first int64) []byte {
	b = binary.LittleEndian.AppendUint32(b, track)
	b = binary.LittleEndian.AppendUint32(b, uint32(frames))
	return binary.LittleEndian.AppendUint64(b, uint64(first))
}

// render computes a track. It holds a place among those that compute only while it does so, not while it waits for the
// listener; and where more want to begin than the memory has room for, it makes room for a while, and goes on from
// where it was.
func (d *Desk) render(ctx context.Context, e excerpt, to chan<- part) {
	if err := d.stages.enter(ctx); err != nil {
		hand(ctx, to, part{err: err})
		return
	}
	began, first := time.Now(), e.first
	for {
		x := &rendering{desk: d, to: to, chunker: chunker{skip: e.skip, next: e.first}}
		x.ahead = func() time.Duration {
			return time.Duration(x.next-first)*time.Second/streamRate - time.Since(began)
		}
		err := x.run(ctx, e)
		d.stages.leave()
		if !errors.Is(err, errRest) {
			if err != nil && ctx.Err() == nil {
				hand(ctx, to, part{err: err})
			}
			return
		}
		if x.left.frames != nil && hand(ctx, to, x.left) != nil || d.stages.again(ctx) != nil {
			return
		}
		e = e.at(x.next)
	}
}

// A rendering makes room for others when its listener has taken nothing for a while, or has so much to listen to yet.
const (
	idleRest  = 250 * time.Millisecond
	aheadRest = 10 * time.Second
)

// errRest is how a rendering that makes room ends.
var errRest = errors.New("others wait to begin")

// rendering is a track under way.
type rendering struct {
	chunker
	desk  *Desk
	to    chan<- part
	ahead func() time.Duration // how much the listener has that cannot be heard yet
	left  part                 // what was not taken when it made room
	held  bool                 // a place among those that compute
}

func (x *rendering) run(ctx context.Context, e excerpt) error {
	d := x.desk
	if err := d.sounds.again(ctx); err != nil {
		return err
	}
	x.held = true
	defer func() {
		if x.held {
			d.sounds.leave()
		}
	}()
	responses, ok := d.places.get(e.place)
	if !ok {
		responses = sound.NewResponses(e.job)
		d.places.put(e.place, responses)
	}
	e.job.Responses = responses
	give := func(p part) error { return x.give(ctx, p) }
	_, err := sound.Render(ctx, e.job, func(block []float32) error {
		d.opt.Breathe()
		return x.add(block, give)
	}, nil)
	if err == nil {
		err = x.end(give)
	}
	return err
}

// give hands a part to the listener, and lets others compute meanwhile.
func (x *rendering) give(ctx context.Context, p part) error {
	d := x.desk
	select {
	case x.to <- p: // room in the channel: go on computing, unless somebody waits to begin
		if d.stages.wanted() && x.ahead() > aheadRest {
			return errRest
		}
		if !d.sounds.wanted() {
			return nil
		}
		d.sounds.leave()
		x.held = false
	default:
		d.sounds.leave()
		x.held = false
		if err := x.wait(ctx, p); err != nil {
			return err
		}
	}
	err := d.sounds.again(ctx)
	x.held = err == nil
	return err
}

// wait is for a listener who is busy with what came before.
func (x *rendering) wait(ctx context.Context, p part) error {
	idle := time.NewTicker(idleRest)
	defer idle.Stop()
	for {
		select {
		case x.to <- p:
			return nil
		case <-ctx.Done():
			return ctx.Err()
		case <-idle.C:
			if x.desk.stages.wanted() {
				x.left = p
				return errRest
			}
		}
	}
}

func hand(ctx context.Context, to chan<- part, p part) error {
	select {
	case to <- p:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// chunker cuts blocks into parts of chunkFrames after leaving out the first skip frames.
type chunker struct {
	skip int64
	next int64 // first frame of the part being filled
	part []float32
}

func (c *chunker) add(block []float32, give func(part) error) error {
	n := min(c.skip, int64(len(block)/2))
	c.skip -= n
	block = block[2*n:]
	for len(block) > 0 {
		if c.part == nil {
			c.part = make([]float32, 0, 2*chunkFrames)
		}
		n := min(len(block), 2*chunkFrames-len(c.part))
		c.part = append(c.part, block[:n]...)
		block = block[n:]
		if len(c.part) == 2*chunkFrames {
			if err := c.flush(give); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c *chunker) flush(give func(part) error) error {
	p := part{first: c.next, frames: c.part}
	c.next += int64(len(c.part) / 2)
	c.part = nil
	return give(p)
}

func (c *chunker) end(give func(part) error) error {
	if len(c.part) > 0 {
		if err := c.flush(give); err != nil {
			return err
		}
	}
	return give(part{first: c.next})
}

// excerpt is a job that begins in the middle of the piece.
type excerpt struct {
	whole sound.Job
	job   sound.Job
	first int64  // frame of the piece at which the listener begins
	place string // what its responses are kept by
	skip  int64  // frames rendered before it, so that what is left over is there
}

// jobOf is the sound of a run; it refuses ears in a room that was recorded with others.
func jobOf(p *proof.Proof, rate int, dry, ears bool) (sound.Job, error) {
	job := p.Job(rate, dry)
	job.Ears, job.CacheBytes = ears, cacheBytes
	if ears && !dry {
		if err := response.CheckEars(p.Room); err != nil {
			return job, problemf(http.StatusUnprocessableEntity, "for headphones: %w", err)
		}
	}
	return job, nil
}

// newExcerpt lets a sound begin at a place, s.
func newExcerpt(job sound.Job, place string, from float64) excerpt {
	e := excerpt{whole: job, place: place}
	return e.at(int64(from*streamRate) / chunkFrames * chunkFrames)
}

// at is the excerpt from another frame on: the keys that are up before it matter as long as the room rings.
func (e excerpt) at(first int64) excerpt {
	lead := 0.5
	if !e.whole.Dry {
		lead += slices.Max(e.whole.Room.RT60[:])
	}
	start := max(0, first-int64(math.Ceil(lead*streamRate)))
	e.job, e.first, e.skip = e.whole, first, first-start
	e.job.Origin = start
	e.job.Events, e.job.Box = shifted(e.whole.Events, e.whole.Box, float64(start)/streamRate)
	return e
}

// placeOf is the same for sides that are heard through the same responses.
func placeOf(p *Project, s Side, dry bool) string {
	files := ""
	if s.Room == own {
		files = p.ID + "/" + p.Response.File
	}
	if s.Organ == own {
		files += " " + p.ID + "/" + p.Organ.File
	}
	return fmt.Sprintf("%s %g %s %s %s %s %t", s.Room, s.RT, s.People, files, s.Seat, s.Organ, dry)
}

// shifted lets the piece begin at start: what is over by then is left out, what sounds has begun before 0.
func shifted(events []pipework.Event, moves []performance.BoxMove, start float64) ([]pipework.Event, []performance.BoxMove) {
	if start <= 0 {
		return events, moves
	}
	var late []pipework.Event
	for _, e := range events {
		if e.OffS <= start {
			continue
		}
		e.OnS, e.OffS = e.OnS-start, e.OffS-start
		late = append(late, e)
	}
	box := slices.Clone(moves)
	for i := range box {
		box[i].AtS -= start
	}
	return late, box
}

var errStop = errors.New("enough")
