package desk

import (
	"context"
	"errors"
	"io"
	"slices"

	"afterchord/render/report"
	"afterchord/sim/demos"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/sim/sound"
)

// A browser runs WebAssembly slowly until it has compiled what runs often, and the first run of anything compiles it. So a
// worker of the page goes through short pieces of music while nobody asks it for anything. What it finds nobody sees.
const (
	rehearsedTo = 12.0 // s of a piece
	soundedTo   = 4.0  // s
	smallRoom   = "chapel"
)

// rehearsed are the pieces of which the beginnings are judged: several textures, and both kinds of file.
var rehearsed = []string{"drop", "vigil", "solo", "forge"}

// RehearseJudging judges the beginning of a piece, another one for each step; it is false when there are no more.
func (d *Desk) RehearseJudging(ctx context.Context, step int) (more bool) {
	if step >= len(rehearsed) {
		return false
	}
	in, err := d.rehearsal(rehearsed[step], firstSide(), rehearsedTo)
	if err != nil {
		return false
	}
	p, err := proof.Run(d.listening(ctx), in)
	return err == nil && report.WriteJSON(io.Discard, p.Document) == nil
}

// RehearseSounding plays the beginning of a piece in a small church; then it makes the responses of the church that projects begin in,
// which are kept, and then the first stretch there.
func (d *Desk) RehearseSounding(ctx context.Context, step int) (more bool) {
	side := firstSide()
	if step == 0 {
		side.Room = smallRoom
	}
	in, err := d.rehearsal(rehearsed[0], side, soundedTo)
	if err != nil {
		return false
	}
	p, err := proof.Play(in)
	if err != nil {
		return false
	}
	job, err := jobOf(p, streamRate, false, false)
	if err != nil {
		return false
	}
	place := responsesOf(&Project{}, track{Side: side})
	if step == 1 {
		if _, ok := d.places.get(place); !ok {
			ctx := d.listening(ctx)
			responses, err := sound.NewResponses(ctx, job)
			if err != nil || responses.Finish(ctx) != nil {
				return false
			}
			d.places.put(place, responses)
		}
		return true
	}
	job.Responses, _ = d.places.get(place)
	_, err = sound.Render(ctx, job, func([]float32) error {
		d.opt.Breathe()
		if step > 0 {
			return errEnough
		}
		return nil
	}, nil)
	return err == nil
}

// errEnough ends a rendering of which no more is needed.
var errEnough = errors.New("enough")

// rehearsal is the beginning of a demo piece as a side has it played.
func (d *Desk) rehearsal(piece string, side Side, until float64) (in proof.Input, err error) {
	data, _ := demos.Piece(piece)
	if in.Score, err = file.Read(data, demos.File(piece)); err != nil {
		return in, err
	}
	in.Score = in.Score.Clone()
	in.Score.Notes = slices.DeleteFunc(in.Score.Notes, func(n score.Note) bool { return in.Score.Seconds(n.On) > until })
	p := &Project{A: side}
	if in.Room, _, err = d.roomOf(p, side); err != nil {
		return in, err
	}
	if in.Seat, err = in.Room.Seat(side.Seat); err != nil {
		return in, err
	}
	in.Organ, _, err = d.organOf(p, side)
	return in, err
}
