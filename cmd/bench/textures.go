package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/room"
	"afterchord/cmd/bench/texture"
	"afterchord/render/report"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/sim/score/smf"
	"afterchord/voicing"
)

// byTexture measures the findings on the textures whose name holds only, at several lengths (minutes, separated by
// commas), and says which step costs most.
func byTexture(rounds int, only, list string) error {
	heading := []string{"texture", "keys/s"}
	var lengths []float64
	for field := range strings.SplitSeq(list, ",") {
		minutes, err := strconv.ParseFloat(field, 64)
		if err != nil || minutes <= 0 {
			return fmt.Errorf("-minutes %s: lengths in minutes, separated by commas", list)
		}
		lengths = append(lengths, minutes)
		heading = append(heading, field+" min")
	}
	rows := [][]string{append(heading, "x real time", "exponent", "worst step", "of all")}
	for _, t := range texture.Textures {
		if !strings.Contains(t.Name, only) {
			continue
		}
		row := []string{t.Name, ""}
		var points []point
		var last proof.Input
		for _, minutes := range lengths {
			s, err := smf.Read(t.SMF(1, 60*minutes), t.Name+".mid")
			if err != nil {
				return err
			}
			if last, err = input(s, hall); err != nil {
				return err
			}
			c, err := measure(rounds, func() error { return wholeRun(last) })
			if err != nil {
				return err
			}
			points = append(points, point{minutes, c.processor})
			row = append(row, ms(c.processor))
			row[1] = fmt.Sprintf("%.0f", float64(len(s.Notes))/(60*minutes))
		}
		name, share, err := worstStep(last)
		if err != nil {
			return err
		}
		longest, grows := points[len(points)-1], "-"
		if len(points) > 1 {
			grows = fmt.Sprintf("%.2f", exponent(points))
		}
		rows = append(rows, append(row, fmt.Sprintf("%.0f", 60*longest.size/longest.cost), grows, name, percent(share)))
	}
	table("findings and report by texture, processor time", rows...)
	return nil
}

// byScore measures the findings on the scores in a folder and those below it.
func byScore(folder string, rounds int) error {
	rows := [][]string{{"score", "minutes", "notes", "processor", "x real time", "worst step", "of all"}}
	var speeds []float64
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		s, err := file.Read(data, d.Name())
		if err != nil { // not a score
			return nil
		}
		in, err := input(s, hall)
		if err != nil {
			return err
		}
		c, err := measure(rounds, func() error { return wholeRun(in) })
		if err != nil {
			return err
		}
		name, share, err := worstStep(in)
		if err != nil {
			return err
		}
		length := s.Seconds(s.End)
		speeds = append(speeds, length/c.processor)
		rows = append(rows, []string{d.Name(), fmt.Sprintf("%.1f", length/60), fmt.Sprint(len(s.Notes)), ms(c.processor), fmt.Sprintf("%.0f", length/c.processor), name, percent(share)})
		return nil
	})
	if err != nil {
		return err
	}
	if len(speeds) == 0 {
		return fmt.Errorf("%s: there are no scores in it", folder)
	}
	table("findings and report, score by score", rows...)
	fmt.Printf("median %.0f x real time, worst %.0f x\n", median(speeds), slices.Min(speeds))
	return nil
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// wholeRun is findings and both reports.
func wholeRun(in proof.Input) error {
	p, err := proof.Run(context.Background(), in)
	if err != nil {
		return err
	}
	if err := report.WriteJSON(io.Discard, p.Document); err != nil {
		return err
	}
	return report.WriteHTML(io.Discard, p.Document, report.Options{})
}

// worstStep is the step of the analysis that takes the largest share of the processor, each check a step of its own.
func worstStep(in proof.Input) (name string, share float64, err error) {
	list, err := steps(in, 1)
	if err != nil {
		return "", 0, err
	}
	sum, worst := 0.0, 0.0
	for _, s := range list {
		sum += s.cost.processor
		if s.cost.processor > worst {
			name, worst = s.name, s.cost.processor
		}
	}
	return name, worst / sum, nil
}

// steps takes a piece through the analysis once a round, check by check.
func steps(in proof.Input, rounds int) ([]stage, error) {
	s := &stepper{rounds: rounds}
	c, ok := s.untilFindings(in)
	if !ok {
		return nil, s.failed
	}
	for _, k := range finding.Kinds {
		s.step(k.Name, func() error { k.Check(c); return nil })
	}
	s.step("the piece in the room", func() error { finding.RoomOnThePiece(c); return nil })
	return s.out, s.failed
}

// input is a run without sound: a score on the minster organ.
func input(s *score.Score, roomName string) (proof.Input, error) {
	r, ok := room.BuiltIn(roomName)
	if !ok {
		return proof.Input{}, fmt.Errorf("there is no room %q", roomName)
	}
	organ, ok := voicing.BuiltIn("minster")
	if !ok {
		return proof.Input{}, fmt.Errorf("there is no minster organ")
	}
	seat, err := r.Seat("middle")
	return proof.Input{Score: s, Room: r, Seat: seat, Organ: organ}, err
}
