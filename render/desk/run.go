package desk

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"afterchord/acoustics/room"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/voicing"
)

// parsed is a score with the hash of its file (its cache key).
type parsed struct {
	score     *score.Score
	sum       string
	fileBytes int64
}

// measured is a measured room with the hash of its recording (its cache key).
type measured struct {
	room *room.Room
	sum  string
}

// scoreOf is the score of a side, read as the side wants it.
func (d *Desk) scoreOf(p *Project, side Side) (*parsed, error) {
	f := p.Scores[side.Score]
	reading := file.Options{AsPrinted: side.AsPrinted, Upbeat: side.Upbeat}
	key := fmt.Sprintf("%s/%s %+v", p.ID, f.File, reading) // a file once written is never changed
	if x, ok := d.scores.get(key); ok {
		return x, nil
	}
	data, err := d.store.Read(p.ID, f.File)
	if err != nil {
		return nil, err
	}
	s, err := file.ReadWith(data, f.Shown, reading)
	if err != nil {
		return nil, problem{http.StatusUnprocessableEntity, err}
	}
	x := &parsed{s, sumOf(data), int64(len(data))}
	d.scores.put(key, x)
	return x, nil
}

// input gathers what a run of a side needs, and a key that is the same for the same input.
func (d *Desk) input(p *Project, s Side) (proof.Input, string, error) {
	var in proof.Input
	if err := s.check(p); err != nil {
		return in, "", problem{http.StatusBadRequest, err}
	}
	sc, err := d.scoreOf(p, s)
	if err != nil {
		return in, "", err
	}
	in.Score, in.Tempo = sc.score, s.Tempo
	var roomName string
	if in.Room, roomName, err = d.roomOf(p, s); err != nil {
		return in, "", err
	}
	if in.Seat, err = in.Room.Seat(s.Seat); err != nil {
		return in, "", problem{http.StatusBadRequest, err}
	}
	var organName string
	if in.Organ, organName, err = d.organOf(p, s); err != nil {
		return in, "", err
	}
	in.Player = performance.Options{Assign: s.Assign}
	if strings.TrimSpace(s.Stops) != "" {
		if in.Player.Stops, err = voicing.ParseStopsFile(in.Organ, []byte(s.Stops), "stops"); err != nil {
			return in, "", problem{http.StatusBadRequest, err}
		}
	}
	if in.Score, err = withDynamics(in.Score, s.Dynamics); err != nil {
		return in, "", problem{http.StatusBadRequest, err}
	}
	s.Score = 0
	settings, err := json.Marshal(s)
	if err != nil {
		return in, "", err
	}
	return in, sumOf([]byte(sc.sum + "\n" + p.Scores[0].Shown + "\n" + roomName + "\n" + organName + "\n" + string(settings))), nil
}

// withDynamics is the score with dynamic marks of the user's: each holds from the start of its bar and takes
// the place of marks of that part in it.
func withDynamics(s *score.Score, marks []Mark) (*score.Score, error) {
	if len(marks) == 0 {
		return s, nil
	}
	c := s.Clone()
	for _, m := range marks {
		part := slices.IndexFunc(c.Parts, func(p score.Part) bool { return p.Name == m.Part })
		bar := slices.IndexFunc(c.Bars, func(b score.Bar) bool { return b.Number == m.Bar })
		if part < 0 || bar < 0 {
			return nil, fmt.Errorf("a dynamic for part %q, bar %d: the score has none", clip(m.Part), m.Bar)
		}
		b := c.Bars[bar]
		c.Words = slices.DeleteFunc(c.Words, func(w score.Word) bool {
			return w.Kind == score.Mark && w.Part == part && w.At >= b.Start && w.At < b.Start+b.Length
		})
		c.Words = append(c.Words, score.Word{At: b.Start, Part: part, Kind: score.Mark, Text: m.Dynamic})
	}
	slices.SortStableFunc(c.Words, func(a, b score.Word) int { return int(a.At - b.At) })
	return c, nil
}

// run takes a side through the chain, or gives the run that was made before.
func (d *Desk) run(ctx context.Context, p *Project, s Side) (*proof.Proof, string, error) {
	in, key, err := d.input(p, s)
	if err != nil {
		return nil, "", err
	}
	pr, err := d.proofs.run(ctx, key, func(ctx context.Context) (*proof.Proof, error) {
		if err := d.findings.enter(ctx); err != nil {
			return nil, err
		}
		defer d.findings.leave()
		pr, err := proof.Run(d.listening(ctx), in)
		if err == nil {
			pr.Field = nil // a kept run answers with its document
		}
		return pr, err
	})
	if err != nil && ctx.Err() == nil {
		if _, ours := err.(problem); !ours {
			err = problem{http.StatusUnprocessableEntity, err}
		}
	}
	return pr, key, err
}

// play takes a side as far as sound needs it, or gives the run that was made before.
func (d *Desk) play(p *Project, s Side) (*proof.Proof, string, error) {
	in, key, err := d.input(p, s)
	if err != nil {
		return nil, "", err
	}
	if pr, ok := d.proofs.kept.get(key); ok {
		return pr, key, nil
	}
	if pr, ok := d.played.get(key); ok {
		return pr, key, nil
	}
	pr, err := proof.Play(in)
	if err != nil {
		return nil, "", problem{http.StatusUnprocessableEntity, err}
	}
	d.played.put(key, pr)
	return pr, key, nil
}

func sumOf(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:16])
}
