package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/plural"
	"afterchord/render/internal/words"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// Bounds on the page, so that a long piece still opens quickly. The JSON has everything.
const (
	mostFindings = 200
	mostPictures = 60
	mostWorst    = 3 // in the summary
)

// page is what page.tmpl shows.
type page struct {
	D        *proof.Document
	Title    string
	CSS      template.CSS
	JS       template.JS
	Policy   string
	Audio    template.URL
	Summary  summary
	Findings []entry
	Unshown  int // findings that are only in the JSON
	Line     timeline
	Whole    *WholePicture // nil: too few changes of harmony to say anything
	Reverb   []bandTime
	Levels   []levelRow
	Limits   []words.Figure
	Facts    facts
	Notation *notation // nil: no engraved score
}

// facts are the settings in words.
type facts struct{ Room, Filled, Seat, Organ, Tempo, Caution string }

// entry is one finding with its picture.
type entry struct {
	finding.Finding
	Picture *picture
	Proved  []proof.RemedyInfo // rewritings that were simulated, too
}

// summary is the verdict in plain words.
type summary struct {
	Verdict string
	Worst   []finding.Finding
	Kinds   []kindCount
}

type kindCount struct {
	Kind  string
	Count int
}

// bandTime is the reverberation time of one octave band; Height is for its bar, percent.
type bandTime struct {
	Band   string
	T      float64
	Height float64
}

type levelRow struct {
	Name string
	proof.Level
}

// mark is how a severity is shown: a shape and a word, so that colour is never needed.
type mark struct{ Shape, Word, Class string }

func severity(s finding.Severity) mark {
	return mark{s.Sign(), s.Word(), string(finding.Severities[s.Rank()])}
}

func newPage(d *proof.Document) page {
	p := page{D: d, Title: title(d), Line: newTimeline(d), Summary: summarise(d.Findings), Facts: settingsInWords(d)}
	fs := words.WorstFirst(d.Findings)
	p.Unshown = max(0, len(fs)-mostFindings)
	for i, f := range fs[:len(fs)-p.Unshown] {
		e := entry{Finding: f}
		if f.Trace != nil && i < mostPictures {
			e.Picture = tracePicture(*f.Trace)
		}
		for _, r := range d.Remedies {
			if r.Finding == f.ID {
				e.Proved = append(e.Proved, r)
			}
		}
		p.Findings = append(p.Findings, e)
	}
	p.Whole = NewWholePicture(d)
	p.Reverb = reverb(d.Room.RT60)
	for _, k := range sortedKeys(d.Organ.Levels) {
		p.Levels = append(p.Levels, levelRow{k, d.Organ.Levels[k]})
	}
	for _, k := range sortedKeys(d.Settings.Thresholds) {
		p.Limits = append(p.Limits, words.Limit(k, d.Settings.Thresholds[k]))
	}
	return p
}

func title(d *proof.Document) string {
	for _, s := range []string{d.Score.Title, d.Score.File} {
		if strings.TrimSpace(s) != "" {
			return s
		}
	}
	return "Untitled piece"
}

// summarise says how many findings there are and which are the worst.
func summarise(fs []finding.Finding) summary {
	if len(fs) == 0 {
		return summary{Verdict: "None of the checks found anything in this room, on this organ, at this tempo."}
	}
	var s summary
	var by [3]int
	places := 0
	for _, f := range fs {
		by[f.Severity.Rank()]++
		places += max(1, f.Count)
		i := slices.IndexFunc(s.Kinds, func(k kindCount) bool { return k.Kind == f.Kind })
		if i < 0 {
			s.Kinds = append(s.Kinds, kindCount{Kind: f.Kind})
			i = len(s.Kinds) - 1
		}
		s.Kinds[i].Count++
	}
	var parts []string
	for i, s := range finding.Severities {
		if by[i] > 0 {
			parts = append(parts, s.Counted(by[i]))
		}
	}
	s.Verdict = plural.Count(len(fs), "finding")
	if places > len(fs) {
		s.Verdict += fmt.Sprintf(" at %d places", places)
	}
	s.Verdict += ": " + strings.Join(parts, ", ") + "."
	worst := words.WorstFirst(fs)
	s.Worst = worst[:min(mostWorst, len(worst))]
	return s
}

// settingsInWords puts the settings into sentences; what the document does not say is left out.
func settingsInWords(d *proof.Document) facts {
	var f facts
	name := func(title, name string) string {
		if title != "" {
			return title
		}
		return name
	}
	f.Room, f.Organ = name(d.Room.Title, d.Room.Name), name(d.Organ.Title, d.Organ.Name)
	if len(d.Room.Cautions) > 0 {
		f.Room += " (" + strings.Join(d.Room.Cautions, "; ") + ")"
	}
	f.Filled = fillings(d.Room.Fillings, midTime(d.Room.RT60))
	f.Seat = d.Room.Seat
	if _, err := strconv.ParseFloat(f.Seat, 64); err == nil {
		f.Seat += " m from the organ"
	} else if d.Room.DistanceM > 0 {
		f.Seat = strings.TrimPrefix(f.Seat+", ", ", ") + words.Number(d.Room.DistanceM, 0) + " m from the organ"
	}
	if d.Settings.Crotchets > 0 {
		f.Tempo = words.Number(d.Settings.Crotchets, 0) + " crotchets a minute at the start"
		if d.Settings.ReadAs != "" {
			f.Tempo += ", " + d.Settings.ReadAs
		}
		if t := d.Settings.TempoFactor; t > 0 && t != 1 {
			f.Tempo += ", " + words.Number(t, 2) + " times the tempo of the score"
		}
	}
	if s := d.Sound; s != nil && s.FullScaleDB > 0 {
		f.Caution = fmt.Sprintf("Start with the volume low and turn it up slowly: played as loud as in the room, "+
			"this sound reaches %s dB at the seat (full scale of the file is %s dB). Loud playback, above all over headphones, can harm hearing; "+
			"keep to the exposure limits of your own country and to what feels comfortable.",
			words.Number(s.LoudestDB, 0), words.Number(s.FullScaleDB, 0))
	}
	return f
}

// fillings puts the times of a measured room, empty and with people, into a sentence, and says with which of them the report reckons: that
// whose time is nearest to now, s. "" where there are none.
func fillings(list []proof.FillingInfo, now float64) string {
	var parts []string
	taken, nearest := "", math.Inf(1)
	for _, f := range list {
		who, how := "empty", "measured"
		if f.People > 0 {
			who = "with " + plural.Count(f.People, "person", "people")
		}
		if f.Computed {
			how = "computed"
		}
		if off := math.Abs(f.RTS - now); off < nearest {
			taken, nearest = who, off
		}
		parts = append(parts, fmt.Sprintf("%s %s s (%s)", who, words.Number(f.RTS, 1), how))
	}
	if len(parts) == 0 {
		return ""
	}
	text := strings.Join(parts, ", ") + "."
	if nearest < 0.1 {
		text += " This report takes the room " + taken + "."
	}
	return text
}

// midTime is the mean of the times at 500 Hz and 1 kHz, s; 0 where one is missing.
func midTime(rt map[string]float64) float64 {
	sum, n := 0.0, 0
	for k, t := range rt {
		if b := bandName(k); b == "500" || b == "1k" {
			sum, n = sum+t, n+1
		}
	}
	if n < 2 {
		return 0
	}
	return sum / 2
}

func reverb(rt map[string]float64) []bandTime {
	keys := sortedKeys(rt)
	slices.SortStableFunc(keys, compareKeys)
	top := 0.0
	for _, k := range keys {
		if v := rt[k]; isFinite(v) {
			top = math.Max(top, v)
		}
	}
	var out []bandTime
	for _, k := range keys {
		b := bandTime{Band: bandName(k), T: rt[k]}
		if top > 0 && isFinite(b.T) {
			b.Height = math.Round(1000*b.T/top) / 10
		}
		out = append(out, b)
	}
	return out
}

// hertz is a band with its unit: "500 Hz", "1 kHz".
func hertz(b bandTime) string {
	if k, ok := strings.CutSuffix(b.Band, "k"); ok {
		return k + " kHz"
	}
	return b.Band + " Hz"
}

// bandName writes 1000 as 1k.
func bandName(k string) string {
	if hz, err := strconv.ParseFloat(k, 64); err == nil && hz >= 1000 && math.Mod(hz, 1000) == 0 {
		return strconv.Itoa(int(hz/1000)) + "k"
	}
	return k
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// boxStands says how far open a box is.
func boxStands(open float64) string {
	switch {
	case open <= 0:
		return "shut"
	case open >= 1:
		return "open"
	}
	return words.Number(100*open, 0) + " % open"
}
