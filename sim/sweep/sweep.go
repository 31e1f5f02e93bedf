// Package sweep proves one score in many rooms, at many tempi and on several organs, and says
// where it survives: the fastest clean tempo of each room, and for each passage the most
// reverberant room in which it still works and the fastest tempo in each room.
package sweep

import (
	"context"
	"fmt"
	"math"
	"sync"

	"afterchord/acoustics/parallel"
	"afterchord/acoustics/room"
	"afterchord/sim/field"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/voicing"
)

// Options say what is varied. The rest (score, seat by name, player, thresholds) is Input's.
type Options struct {
	Input   proof.Input
	Seat    string // of every room
	Rooms   []*room.Room
	Tempi   []float64 // factors, ascending
	Organs  []*voicing.Organ
	Workers int // 0: one for each processor; the result does not depend on it
}

// Cell is one proof of the grid.
type Cell struct {
	Organ     string         `json:"organ"`
	Room      string         `json:"room"`
	Tempo     float64        `json:"tempo"` // factor
	Crotchets float64        `json:"crotchets_a_minute"`
	Findings  remedy.Tally   `json:"findings"`
	LostShare float64        `json:"lost_share"`      // of the piece's length that its findings eat: a quicker playing is not better for being shorter
	Stops     *Stop          `json:"stops,omitempty"` // the worst of what is lost or weakened; nil in a clean cell
	Kinds     map[string]int `json:"kinds"`           // fails and warnings by kind
	Survives  bool           `json:"survives"`        // no fail
	Clean     bool           `json:"clean"`           // neither fail nor warning
	BadBars   []int          `json:"fail_bars"`       // bars with a fail
	passages  []state
}

// Stop is the finding that keeps a tempo from being clean: the gravest, and of those the one that eats most.
type Stop struct {
	Kind     string           `json:"kind"`
	Where    string           `json:"where"`
	Severity finding.Severity `json:"severity"`
	weight   float64
}

// lighter says whether a stop, which may be none, weighs less than a finding.
func (s *Stop) lighter(f finding.Finding) bool {
	return s == nil || f.Severity.Rank() < s.Severity.Rank() || f.Severity == s.Severity && f.Weight > s.weight
}

// state is a passage in one cell.
type state struct{ survives, clean bool }

// Result is a swept score. Cells run by organ, then room, then tempo.
type Result struct {
	Score    string        `json:"score"`
	Title    string        `json:"title,omitempty"`
	Rooms    []RoomLine    `json:"rooms"`
	Tempi    []float64     `json:"tempi"`
	Organs   []string      `json:"organs"`
	Cells    []Cell        `json:"cells"`
	Fastest  []Fastest     `json:"fastest"`
	Passages []PassageLine `json:"passages"`
}

// RoomLine is a room of the sweep.
type RoomLine struct {
	Name string  `json:"name"`
	RTS  float64 `json:"rt_s"` // at 500 Hz
}

// Fastest is the quickest tempo of the sweep that a room stands; 0 where none does.
type Fastest struct {
	Organ    string  `json:"organ"`
	Room     string  `json:"room"`
	Survives float64 `json:"survives_crotchets"` // without a fail, and so at every slower tempo swept
	Clean    float64 `json:"clean_crotchets"`    // without fail or warning
	Next     *Stop   `json:"next,omitempty"`     // what stops the first tempo that is not clean; nil where all are
}

// Run proves every cell. progress may be nil.
func Run(ctx context.Context, o Options, progress func(done, total float64)) (*Result, error) {
	if len(o.Rooms) == 0 || len(o.Tempi) == 0 || len(o.Organs) == 0 {
		return nil, fmt.Errorf("sweep: no rooms, tempi or organs to sweep")
	}
	seats := make([]room.Seat, len(o.Rooms))
	for i, r := range o.Rooms {
		var err error
		if seats[i], err = r.Seat(o.Seat); err != nil {
			return nil, err
		}
	}
	n := len(o.Organs) * len(o.Rooms) * len(o.Tempi)
	r := &Result{Score: o.Input.Score.File, Title: o.Input.Score.Title, Tempi: o.Tempi, Cells: make([]Cell, n)}
	for _, x := range o.Rooms {
		r.Rooms = append(r.Rooms, RoomLine{x.Name, math.Round(x.MidRT()*100) / 100})
	}
	for _, x := range o.Organs {
		r.Organs = append(r.Organs, x.Name)
	}
	passages := passagesOf(o.Input)
	halls := make([]*field.Hall, n/len(o.Tempi)) // what does not depend on the tempo
	for i := range halls {
		at := i % len(o.Rooms)
		halls[i] = field.NewHall(o.Organs[i/len(o.Rooms)], o.Rooms[at], seats[at], proof.Hearing(), nil)
	}
	errs := make([]error, n)
	var mu sync.Mutex
	done := 0
	parallel.Do(o.Workers, n, func(i int) {
		if errs[i] = ctx.Err(); errs[i] != nil {
			return
		}
		in := o.Input
		in.Organ = o.Organs[i/(len(o.Rooms)*len(o.Tempi))]
		in.Room = o.Rooms[i/len(o.Tempi)%len(o.Rooms)]
		in.Seat = seats[i/len(o.Tempi)%len(o.Rooms)]
		in.Tempo, in.Hall = o.Tempi[i%len(o.Tempi)], halls[i/len(o.Tempi)]
		p, err := proof.Judge(ctx, in)
		if err != nil {
			errs[i] = err
			return
		}
		r.Cells[i] = cell(in, p, passages)
		mu.Lock()
		done++
		if progress != nil {
			progress(float64(done), float64(n))
		}
		mu.Unlock()
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	r.conclude(passages)
	return r, nil
}

func cell(in proof.Input, p *proof.Proof, passages []passage) Cell {
	d := p.Document
	c := Cell{Organ: in.Organ.Name, Room: in.Room.Name, Tempo: in.Tempo, Crotchets: math.Round(d.Settings.Crotchets*10) / 10,
		Findings: remedy.NewTally(d.Findings), Kinds: map[string]int{}, BadBars: []int{}, passages: make([]state, len(passages))}
	for i := range c.passages {
		c.passages[i] = state{true, true}
	}
	seen := map[int]bool{}
	for _, f := range d.Findings {
		if f.Severity == finding.Notice {
			continue
		}
		c.Kinds[f.Kind]++
		if c.Stops.lighter(f) {
			c.Stops = &Stop{f.Kind, f.Where, f.Severity, f.Weight}
		}
		for i, q := range passages {
			if f.Bar <= q.to && max(f.Bar, f.ToBar) >= q.from {
				c.passages[i].clean = false
				if f.Severity == finding.Fail {
					c.passages[i].survives = false
				}
			}
		}
		if f.Severity == finding.Fail && !seen[f.Bar] {
			seen[f.Bar] = true
			c.BadBars = append(c.BadBars, f.Bar)
		}
	}
	if d.Score.DurationS > 0 {
		c.LostShare = math.Round(1e4*c.Findings.LostS/d.Score.DurationS) / 1e4
	}
	c.Survives = c.Findings.Fails == 0
	c.Clean = c.Survives && c.Findings.Warnings == 0
	return c
}

// at is the cell of an organ, a room and a tempo by index.
func (r *Result) at(organ, roomAt, tempo int) *Cell {
	return &r.Cells[(organ*len(r.Rooms)+roomAt)*len(r.Tempi)+tempo]
}

// fastest is the quickest tempo up to which ok holds, from the slowest on; 0 where it does not even there.
func (r *Result) fastest(organ, roomAt int, ok func(*Cell) bool) float64 {
	best := 0.0
	for t := range r.Tempi {
		c := r.at(organ, roomAt, t)
		if !ok(c) {
			break
		}
		best = c.Crotchets
	}
	return best
}

// next is what stops the slowest tempo that is not clean.
func (r *Result) next(organ, roomAt int) *Stop {
	for t := range r.Tempi {
		if c := r.at(organ, roomAt, t); !c.Clean {
			return c.Stops
		}
	}
	return nil
}

func (r *Result) conclude(passages []passage) {
	for o := range r.Organs {
		for roomAt := range r.Rooms {
			r.Fastest = append(r.Fastest, Fastest{Organ: r.Organs[o], Room: r.Rooms[roomAt].Name,
				Survives: r.fastest(o, roomAt, func(c *Cell) bool { return c.Survives }),
				Clean:    r.fastest(o, roomAt, func(c *Cell) bool { return c.Clean }), Next: r.next(o, roomAt)})
		}
		for i, q := range passages {
			r.Passages = append(r.Passages, r.passage(o, i, q))
		}
	}
}
