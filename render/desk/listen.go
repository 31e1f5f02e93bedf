package desk

import (
	"context"
	"encoding/binary"
	"math"
	"net/http"
	"time"

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
		jobs[i] = newExcerpt(job, responsesOf(p, t), t.From)
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
