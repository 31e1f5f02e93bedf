package desk

import (
	"fmt"
	"math"
	"net/http"
	"slices"

	"afterchord/acoustics/response"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/proof"
	"afterchord/sim/sound"
)

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

// responsesOf is what the responses that a track is heard through are kept by.
func responsesOf(p *Project, t track) string {
	return fmt.Sprintf("%s %t", placeOf(p, t.Side, t.Dry), t.Ears)
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
