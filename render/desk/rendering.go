package desk

import (
	"context"
	"errors"
	"time"

	"afterchord/sim/sound"
)

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
		x := &rendering{desk: d, to: to, chunker: chunker{skip: e.skip, next: e.first}, began: began, first: first}
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
	began time.Time // when the listener began, …
	first int64     // … and with which frame
	left  part      // what was not taken when it made room
	held  bool      // a place among those that compute
}

// ahead is how much the listener has that cannot be heard yet.
func (x *rendering) ahead() time.Duration {
	return time.Duration(x.next-x.first)*time.Second/streamRate - time.Since(x.began)
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
		var err error
		if responses, err = sound.NewResponses(d.listening(ctx), e.job); err != nil {
			return err
		}
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
