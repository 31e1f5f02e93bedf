package main

import (
	"context"
	"io"
	"time"

	"afterchord/render/report"
	"afterchord/sim/field"
	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/proof"
)

// cost is what a piece of work took: time on the clock and time of processors, s.
type cost struct{ clock, processor float64 }

// measure runs work rounds times and gives the median of each time.
func measure(rounds int, work func() error) (cost, error) {
	var clock, processor []float64
	for range rounds {
		p, c := processorTime(), time.Now()
		if err := work(); err != nil {
			return cost{}, err
		}
		clock = append(clock, time.Since(c).Seconds())
		processor = append(processor, processorTime()-p)
	}
	return cost{median(clock), median(processor)}, nil
}

// stage is one step of the analysis and its cost.
type stage struct {
	name string
	cost cost
}

// stages takes one piece through the analysis step by step.
func stages(in proof.Input, rounds int) ([]stage, error) {
	var out []stage
	var failed error
	step := func(name string, work func() error) {
		if failed != nil {
			return
		}
		var c cost
		c, failed = measure(rounds, work)
		out = append(out, stage{name, c})
	}
	var perf *performance.Performance
	var events []pipework.Event
	var f *field.Field
	var p *proof.Proof
	model := proof.Hearing()
	step("keys, stops, boxes", func() (err error) {
		perf, err = performance.Build(in.Score, in.Organ, in.Player)
		return err
	})
	step("pipes", func() error { events = pipework.Schedule(in.Organ, perf); return nil })
	step("energies and ear, frame by frame", func() (err error) {
		f, err = field.Run(context.Background(), field.NewHall(in.Organ, in.Room, in.Seat, model, perf.Box), events, perf)
		return err
	})
	step("findings", func() error {
		finding.Run(&finding.Context{Score: in.Score, Organ: in.Organ, Performance: perf, Events: events, Field: f, Hearing: model, Thresholds: finding.Defaults()})
		return nil
	})
	step("all, with the description", func() (err error) { p, err = proof.Run(context.Background(), in); return err })
	step("proof.json", func() error { return report.WriteJSON(io.Discard, p.Document) })
	step("proof.html", func() error { return report.WriteHTML(io.Discard, p.Document, report.Options{}) })
	return out, failed
}
