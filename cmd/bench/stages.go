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

// stepper measures steps one after another, until one fails.
type stepper struct {
	rounds int
	out    []stage
	failed error
}

func (s *stepper) step(name string, work func() error) {
	if s.failed == nil {
		var c cost
		c, s.failed = measure(s.rounds, work)
		s.out = append(s.out, stage{name, c})
	}
}

// untilFindings measures the steps before the findings, and gives what those need; ok is false where a step failed.
func (s *stepper) untilFindings(in proof.Input) (c *finding.Context, ok bool) {
	c = &finding.Context{Score: in.Score, Organ: in.Organ, Hearing: proof.Hearing(), Thresholds: finding.Defaults()}
	s.step("keys, stops, boxes", func() (err error) {
		c.Performance, err = performance.Build(in.Score, in.Organ, in.Player)
		return err
	})
	s.step("pipes", func() error { c.Events = pipework.Schedule(in.Organ, c.Performance); return nil })
	s.step("energies and ear", func() (err error) {
		c.Field, err = field.Run(context.Background(), field.NewHall(in.Organ, in.Room, in.Seat, c.Hearing, c.Performance.Box), c.Events, c.Performance)
		return err
	})
	return c, s.failed == nil
}

// stages takes one piece through the analysis step by step.
func stages(in proof.Input, rounds int) ([]stage, error) {
	s := &stepper{rounds: rounds}
	c, ok := s.untilFindings(in)
	if !ok {
		return nil, s.failed
	}
	var p *proof.Proof
	s.step("findings", func() error {
		finding.Run(&finding.Context{Score: c.Score, Organ: c.Organ, Performance: c.Performance, Events: c.Events, Field: c.Field, Hearing: c.Hearing, Thresholds: c.Thresholds}) // a new one each round: it keeps what it has worked out
		return nil
	})
	s.step("all, with the description", func() (err error) { p, err = proof.Run(context.Background(), in); return err })
	s.step("proof.json", func() error { return report.WriteJSON(io.Discard, p.Document) })
	s.step("proof.html", func() error { return report.WriteHTML(io.Discard, p.Document, report.Options{}) })
	return s.out, s.failed
}
