package report

import (
	"math"
	"strconv"

	"afterchord/render/internal/words"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// timeline is the picture of the whole piece.
type timeline struct {
	EndS           float64
	Bars           []tick // bar numbers
	BarLines       string // path of the bar lines
	BarTimes       string // "1:0 2:2.5 …" for the script: number, seconds
	Strips         []strip
	Level, Residue string
	LevelTicks     []tick
	Share, Clarity string
	Marks          []pin
	Bands          []band // spans of the findings
	MaxZoom        int
	Lanes          int // of marks that are in use
}

// strip is the notes of one division as three paths, by how much of each is heard.
type strip struct {
	Division            string
	Clear, Warned, Lost string
	Height              int // of its own box, keys
	Pixels              int
}

// pin is a finding on the timeline.
type pin struct {
	finding.Finding
	At   float64 // percent
	Lane int
}

func newTimeline(d *proof.Document) timeline {
	t := d.Timeline
	step := t.StepS
	if !(step > 0) || !isFinite(step) {
		step = 0
	}
	end := math.Max(0, d.Score.DurationS)
	for _, n := range d.Notes {
		if isFinite(n.OffS) {
			end = math.Max(end, n.OffS)
		}
	}
	end = math.Max(end, step*float64(max(len(t.LevelDB), len(t.ResidueDB), len(t.HeardShare))))
	if !(end > 0) || !isFinite(end) {
		end = 1
	}
	low, high := levels(70, t.LevelDB, t.ResidueDB)
	s := scale{from: 0, until: end, low: low, high: high}
	share := scale{from: 0, until: end, low: 0, high: 1}
	columns := int(math.Min(4500, math.Max(1200, 25*end)))
	l := timeline{
		EndS:       math.Round(end*1000) / 1000,
		Level:      s.path(t.LevelDB, 0, step, columns, false),
		Residue:    s.path(t.ResidueDB, 0, step, columns, true),
		LevelTicks: s.valueTicks(20, 0),
		Share:      share.path(t.HeardShare, 0, step, columns, false),
		Clarity:    share.path(t.Clarity, 0, step, columns, false),
		Strips:     strips(d, s),
		MaxZoom:    int(math.Min(32, math.Max(2, math.Ceil(end/6)))),
	}
	l.bars(d.Bars, s)
	l.marks(d.Findings, s)
	return l
}

func (l *timeline) bars(bars []proof.BarInfo, s scale) {
	var lines []byte
	step := words.BarStep(len(bars), 20)
	for _, b := range bars {
		if !isFinite(b.AtS) {
			continue
		}
		l.Bars = append(l.Bars, tick{At: s.percent(b.AtS), Label: strconv.Itoa(b.Number),
			Fine: step > 1 && b.Number%step != 0 && b.Number != 1})
		x := s.x(b.AtS)
		lines = appendPoint(lines, 'M', x, 0)
		lines = append(append(lines, 'V'), strconv.Itoa(unitsY)...)
	}
	l.BarLines, l.BarTimes = string(lines), barTimes(bars)
}

// barTimes are bars for a script: "1:0 2:2.5 …", number and seconds.
func barTimes(bars []proof.BarInfo) string {
	var times []byte
	for i, b := range bars {
		if !isFinite(b.AtS) {
			continue
		}
		if i > 0 {
			times = append(times, ' ')
		}
		times = strconv.AppendInt(times, int64(b.Number), 10)
		times = append(times, ':')
		times = strconv.AppendFloat(times, math.Round(b.AtS*1000)/1000, 'f', -1, 64)
	}
	return string(times)
}

// marks puts the findings on up to three lanes, so that neighbours do not hide each other
// when the whole piece is in view.
func (l *timeline) marks(fs []finding.Finding, s scale) {
	const lanes, apart = 3, 4.4 // percent
	var last [lanes]float64
	for i := range last {
		last[i] = -100
	}
	for _, f := range byTime(fs) {
		if !isFinite(f.AtS) {
			continue
		}
		p := pin{Finding: f, At: s.percent(f.AtS)}
		for k := range lanes {
			if p.At-last[k] >= apart || k == lanes-1 {
				p.Lane = k
				break
			}
		}
		last[p.Lane] = p.At
		l.Lanes = max(l.Lanes, p.Lane+1)
		l.Marks = append(l.Marks, p)
		if isFinite(f.UntilS) && f.UntilS > f.AtS && f.Count <= 1 {
			l.Bands = append(l.Bands, band{Class: "found", Left: p.At, Width: math.Max(0.05, math.Round(100*(s.percent(f.UntilS)-p.At))/100)})
		}
	}
}

// strips draws the notes of each division that has any.
func strips(d *proof.Document, s scale) []strip {
	var out []strip
	for div, name := range d.Divisions {
		lo, hi := 127, 0
		var clear, warned, lost []byte
		for _, n := range d.Notes {
			if n.Division == div {
				lo, hi = min(lo, n.Key), max(hi, n.Key)
			}
		}
		if hi < lo {
			continue
		}
		for _, n := range d.Notes {
			if n.Division != div || !isFinite(n.OnS) || !isFinite(n.OffS) {
				continue
			}
			b := &clear
			switch {
			case n.Found == finding.Fail:
				b = &lost
			case n.Found == finding.Warning:
				b = &warned
			}
			x := s.x(n.OnS)
			*b = appendPoint(*b, 'M', x, hi-n.Key+1)
			*b = append(*b, 'h')
			*b = strconv.AppendInt(*b, int64(max(6, s.x(n.OffS)-x)), 10)
		}
		height := hi - lo + 2
		out = append(out, strip{Division: name, Clear: string(clear), Warned: string(warned), Lost: string(lost),
			Height: height, Pixels: min(110, max(34, 3*height))})
	}
	return out
}
