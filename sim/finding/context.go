package finding

import (
	"sync"

	"afterchord/acoustics/hearing"
	"afterchord/sim/field"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// Context is what every check may look at: the page, what the player does, which
// pipes speak, and what reaches the seat. A check must not change it.
type Context struct {
	Score       *score.Score
	Organ       *voicing.Organ
	Performance *performance.Performance
	Events      []pipework.Event // Field.Events, too
	Field       *field.Field
	Hearing     *hearing.Model
	Thresholds  Thresholds
	Norms       *Norms // what findings are measured against; nil: the program's own, Repertoire

	works sync.Pool // see earWork

	keenOnce sync.Once
	keenEar  *hearing.Model
	blurOnce sync.Once
	blurs    []HarmonyBlur

	linesOnce   sync.Once
	strokeLines [][]stroke // see lines

	distinctOnce  sync.Once
	distinct      []int // registrations up to each change
	assistantOnce sync.Once
	assistant     []score.Tick // where the page asks for one, in order

	handsOnce sync.Once
	work      []handed // see handwork
	takenBy   []int8   // see handOf

	longestOnce sync.Once
	longest     float64 // see longestS

	strandsOnce sync.Once
	strandLines [][]moment // see strands

	figureOnce sync.Once
	brokenOnes []brokenChord

	bassOnce sync.Once
	basses   [][]struckBass // see struckBasses
}

// norms is what a place is compared with.
func (c *Context) norms() *Norms {
	if c.Norms != nil {
		return c.Norms
	}
	return Repertoire()
}

// earWork is scratch for the ear, to be given back to works. It serves the keen ear too.
func (c *Context) earWork() *hearing.Work {
	if w, ok := c.works.Get().(*hearing.Work); ok {
		return w
	}
	return c.Hearing.NewWork()
}

// keen is the ear at the favourable end of the ranges.
func (c *Context) keen() *hearing.Model {
	c.keenOnce.Do(func() { c.keenEar = c.Hearing.Keener(c.Thresholds.KeenDB) })
	return c.keenEar
}

// Check is one kind of finding: from the context to the places where it happens, in
// the order of the score, ungrouped. Each place has at least Kind, AtS, UntilS,
// Severity, Count 1, Measured, Message, Try, Notes; [Run] fills in bar, beat and where.
type Check func(*Context) []Finding
