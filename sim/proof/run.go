package proof

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"sync"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/hearing"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
	"afterchord/sim/field"
	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/sim/score"
	"afterchord/sim/sound"
	"afterchord/voicing"
)

// Version of the program, in every document.
const Version = "0.1"

// Input is what a run needs. Score, Room and Organ are read only.
type Input struct {
	Score      *score.Score
	Room       *room.Room
	Seat       room.Seat
	Organ      *voicing.Organ
	Tempo      float64 // factor; 0 or 1 as written
	Player     performance.Options
	Thresholds *finding.Thresholds // nil: the defaults
	Hall       *field.Hall         // of an earlier run, whose figures serve this one where Room, Seat and Organ are the same; nil for none
	Beside     *Proof              // of a piece much like it, from a hall with a memory: Judge takes over what is the same; nil for none
}

// hall is the organ in the room.
func (in *Input) hall(model *hearing.Model, box []performance.BoxMove) *field.Hall {
	if h := in.Hall; h != nil && h.Organ == in.Organ && h.Room == in.Room && h.Seat == in.Seat {
		return h.With(box)
	}
	return field.NewHall(in.Organ, in.Room, in.Seat, model, box)
}

// Proof is one run: the document for the report, and what the sound is made from.
type Proof struct {
	Document    *Document
	Score       *score.Score // as played
	Performance *performance.Performance
	Events      []pipework.Event
	Field       *field.Field
	Room        *room.Room
	Seat        room.Seat
	Organ       *voicing.Organ
}

// maxPipeSeconds bounds the work of a run: a thousand pipes for a day.
const maxPipeSeconds = 1000 * 24 * 3600

// Run takes a score through the whole chain. It errs where the score has no notes or
// asks for something that the organ does not have, and where ctx ends before it is done.
func Run(ctx context.Context, in Input) (*Proof, error) {
	return run(ctx, in, field.Run)
}

// Judge is [Run] for those who look at the findings alone: the timeline has no shares heard and no clarity, neither
// have bars, notes and the traces of findings, and nothing is said of the whole piece. The findings are those of Run.
func Judge(ctx context.Context, in Input) (*Proof, error) {
	return run(ctx, in, func(ctx context.Context, h *field.Hall, events []pipework.Event, p *performance.Performance) (*field.Field, error) {
		if in.Beside == nil {
			return field.RunUnheard(ctx, h, events, p)
		}
		return field.RunBeside(ctx, in.Beside.Field, h, events, p)
	})
}

type hearingRun func(context.Context, *field.Hall, []pipework.Event, *performance.Performance) (*field.Field, error)

func run(ctx context.Context, in Input, hear hearingRun) (*Proof, error) {
	p, factor, err := play(in)
	if err != nil {
		return nil, err
	}
	model := Hearing()
	hall := in.hall(model, p.Performance.Box)
	if p.Field, err = hear(ctx, hall, p.Events, p.Performance); err != nil {
		return nil, err
	}
	limits := finding.Defaults()
	if in.Thresholds != nil {
		limits = *in.Thresholds
	}
	c := &finding.Context{Score: p.Score, Organ: in.Organ, Performance: p.Performance, Events: p.Events, Field: p.Field, Hearing: model, Thresholds: limits}
	p.Document = p.describe(in, factor, limits, finding.Run(c))
	if p.Field.HeardShare != nil {
		p.Document.Whole = finding.RoomOnThePiece(c)
	}
	return p, nil
}

// Play is the part of a run that sound is made from: keys, stops and pipes, and nothing judged. Document
// and Field of what it gives are nil.
func Play(in Input) (*Proof, error) {
	p, _, err := play(in)
	return p, err
}

// AsPlayed is the score at the tempo of the run, and that tempo as a factor of the written one.
func (in *Input) AsPlayed() (*score.Score, float64) {
	if in.Tempo == 0 || in.Tempo == 1 {
		return in.Score, 1
	}
	return in.Score.Scaled(in.Tempo), in.Tempo
}

// play gives the tempo factor too.
func play(in Input) (*Proof, float64, error) {
	if len(in.Score.Notes) == 0 {
		return nil, 0, fmt.Errorf("%s: the score has no notes; nothing would sound", in.Score.File)
	}
	s, factor := in.AsPlayed()
	if err := playable(s); err != nil {
		return nil, 0, err
	}
	perf, err := performance.Build(s, in.Organ, in.Player)
	if err != nil {
		return nil, 0, err
	}
	events := pipework.Schedule(in.Organ, perf)
	total := 0.0
	for _, e := range events {
		total += e.OffS - e.OnS
	}
	if total > maxPipeSeconds {
		return nil, 0, fmt.Errorf("%s: %.0f pipe-seconds of sound, more than %d that one run may have; cut the score", s.File, total, maxPipeSeconds)
	}
	return &Proof{Score: s, Performance: perf, Events: events, Room: in.Room, Seat: in.Seat, Organ: in.Organ}, factor, nil
}

// Job is the sound of the proof at a sample rate.
func (p *Proof) Job(rate int, dry bool) sound.Job {
	return sound.Job{Organ: p.Organ, Events: p.Events, Box: p.Performance.Box, Room: p.Room, Seat: p.Seat, Rate: rate, Dry: dry}
}

var shared = sync.OnceValue(func() *hearing.Model { return hearing.New(hearing.Options{}) })

// Hearing is the model of hearing that every run uses, made when it is first asked for; it
// is safe for concurrent use with a Work each.
func Hearing() *hearing.Model { return shared() }

func (p *Proof) describe(in Input, factor float64, limits finding.Thresholds, found []finding.Finding) *Document {
	s, f := p.Score, p.Field
	if found == nil {
		found = []finding.Finding{}
	}
	d := &Document{Schema: Schema, Findings: found,
		Score:    ScoreInfo{File: s.File, Title: s.Title, Format: s.Format, Bars: printedBars(s), Notes: len(s.Notes), DurationS: p.Performance.EndS},
		Settings: Settings{TempoFactor: factor, Crotchets: s.TempoAt(0), Thresholds: limits.Map(), Version: Version, ReadAs: s.ReadAs},
		Timeline: Timeline{StepS: f.StepS, LevelDB: f.LevelDB, ResidueDB: f.ResidueDB, HeardShare: f.HeardShare, Clarity: f.Clarity},
	}
	if b := in.Beside; b != nil && b.Room == p.Room && b.Seat == p.Seat && b.Organ == p.Organ {
		d.Room = b.Document.Room
	} else {
		d.Room = p.roomInfo()
	}
	d.Organ = p.organInfo()
	for _, x := range p.Organ.Divisions {
		d.Divisions = append(d.Divisions, x.Name)
	}
	for _, r := range append(append([]score.Remark{}, s.Remarks...), p.Performance.Unread...) {
		bar := 0
		if r.At > 0 || r.Part >= 0 {
			bar = s.Position(r.At).Bar
		}
		d.Remarks = append(d.Remarks, Remark{Bar: bar, Text: r.Text})
	}
	d.Unread = p.Performance.Instructions
	d.Bars, d.Notes = p.bars(), p.notes(found)
	return d
}

// printedBars counts the bars that hold music, a pickup not counted.
func printedBars(s *score.Score) int {
	n := 0
	for _, b := range s.Bars {
		if b.Number > 0 && b.Start < s.End {
			n++
		}
	}
	return n
}

func (p *Proof) bars() []BarInfo {
	var out []BarInfo
	clarity := p.Field.Clarity
	for _, b := range p.Score.Bars {
		if b.Start >= p.Score.End {
			break
		}
		from, to := p.Score.Seconds(b.Start), p.Score.Seconds(b.Start+b.Length)
		info := BarInfo{Number: b.Number, AtS: from}
		sum, n := 0.0, 0
		for i := int(from / p.Field.StepS); i < int(to/p.Field.StepS) && i < len(clarity); i++ {
			sum += float64(clarity[i])
			n++
		}
		if n > 0 {
			mean := math.Round(sum/float64(n)*1000) / 1000
			info.Clarity = &mean
		}
		out = append(out, info)
	}
	return out
}

// notes lists the keys of the picture with the share of them that is heard, the
// mean of the timeline's over their length, and the worst finding on each.
func (p *Proof) notes(found []finding.Finding) []NoteInfo {
	worst := map[int]finding.Severity{} // by score note
	for _, f := range found {
		if f.Severity == finding.Notice {
			continue
		}
		for _, id := range f.Notes {
			if was, ok := worst[id]; !ok || f.Severity.Rank() < was.Rank() {
				worst[id] = f.Severity
			}
		}
	}
	sum := make([]float64, len(p.Field.HeardShare)+1)
	for i, v := range p.Field.HeardShare {
		sum[i+1] = sum[i] + float64(v)
	}
	out := make([]NoteInfo, 0, len(p.Performance.Notes))
	for _, n := range p.Performance.Notes {
		a := min(len(sum)-1, max(0, int(p.Field.SeatTime(n.Division, n.OnS)/p.Field.StepS)+1))
		b := min(len(sum)-1, max(a, int(p.Field.SeatTime(n.Division, n.OffS)/p.Field.StepS)))
		share := 1.0
		if b > a {
			share = (sum[b] - sum[a]) / float64(b-a)
		}
		out = append(out, NoteInfo{OnS: n.OnS, OffS: n.OffS, Key: n.Key, Division: n.Division, Share: math.Round(share*100) / 100,
			Found: worst[p.Score.Notes[n.Score].ID]})
	}
	return out
}

func (p *Proof) roomInfo() RoomInfo {
	r, path := p.Room, p.Room.OrganPath(p.Seat)
	info := RoomInfo{Name: r.Name, Title: r.Title, VolumeM3: r.VolumeM3, RT60: map[string]float64{},
		Seat: p.Seat.Name, DistanceM: path.DistanceM, Cautions: r.Cautions, UnsureHz: r.UnsureHz,
		EDT: (path.EarlyDecayTime(octave.Index(500)) + path.EarlyDecayTime(octave.Index(1000))) / 2,
		C80: (path.ClarityC80(octave.Index(500)) + path.ClarityC80(octave.Index(1000))) / 2,
		D50: (path.DefinitionD50(octave.Index(500)) + path.DefinitionD50(octave.Index(1000))) / 2,
	}
	times := r.Times()
	for b, hz := range octave.Centres {
		info.RT60[strconv.FormatFloat(hz, 'g', -1, 64)] = math.Round(times[b]*1000) / 1000
	}
	if rt := r.RT(500); rt > 0 && r.VolumeM3 > 0 {
		info.CriticalM = decay.CriticalDistance(r.VolumeM3, rt, air.SpeedOfSound(r.TempC))
	}
	for d, x := range p.Organ.Divisions {
		path := &p.Field.Hall.Paths[d]
		info.Arrivals = append(info.Arrivals, Arrival{Division: x.Name, DistanceM: path.DistanceM, ActionMS: 1000 * x.Action.DelayS,
			AirMS: 1000 * path.DelayS, TotalMS: 1000 * (x.Action.DelayS + path.DelayS)})
	}
	info.NoiseDBA = r.NoiseDBA()
	if r.Measured != nil || len(r.Cautions) > 0 {
		for _, f := range r.Fillings() {
			info.Fillings = append(info.Fillings, FillingInfo{f.People, math.Round(f.Mid()*100) / 100, f.Computed})
		}
	}
	return info
}

func (p *Proof) organInfo() OrganInfo {
	o, s := p.Organ, p.Score
	info := OrganInfo{Name: o.Name, Title: o.Title, PitchHz: o.PitchHz, Temperament: o.Temperament.Name}
	count := make([]int, len(s.Parts))
	for _, n := range s.Notes {
		count[n.Part]++
	}
	for _, a := range p.Performance.Assignments {
		info.Mapping = append(info.Mapping, MappingInfo{Part: s.Parts[a.Part].Name, Division: o.Divisions[a.Division].Name, Why: a.Why, Notes: count[a.Part], Assumed: a.Assumed()})
	}
	var last voicing.Registration
	for _, c := range p.Performance.Changes {
		on, off := o.Diff(last, c.Registration)
		last = c.Registration
		at := s.Position(c.Tick)
		info.Changes = append(info.Changes, ChangeInfo{AtS: c.AtS, Bar: at.Bar, Beat: at.Beat, On: on, Off: off, Why: c.Why})
	}
	for _, m := range p.Performance.Box {
		at := s.Position(s.TickAt(m.AtS))
		info.Box = append(info.Box, BoxInfo{AtS: m.AtS, Bar: at.Bar, Beat: math.Round(at.Beat*100) / 100, Division: o.Divisions[m.Division].Name, Open: m.Open})
	}
	for _, q := range p.Performance.Passages {
		info.Dynamics = append(info.Dynamics, PassageInfo{Part: s.Parts[q.Part].Name, Bar: s.Position(q.From).Bar,
			ToBar: s.Position(max(q.From, q.To-1)).Bar, Dynamic: q.Dynamic.String(), Source: q.Source})
	}
	return info
}
