package report

import (
	"fmt"
	"html/template"
	"io"
	"math"

	"afterchord/render/engraving"
	"afterchord/render/internal/words"
	"afterchord/render/terms"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// Sheet is the content of a lesson sheet: one passage as written and as rewritten.
type Sheet struct {
	Title         string              // of the sheet; the piece's title where empty
	Before, After *proof.Document     // After is nil where nothing was rewritten
	Finding       finding.Finding     // the finding in Before
	Remedy        string              // what was changed, in a sentence
	Scores        [2]*engraving.Sheet // of Before and After, whose bars are engraved; nil: pictures of the notes alone
	Question      string              // for the class; one is made from the finding where empty
	Language      *terms.Language     // that the sheet is in; nil: English
}

// sheetPage is what sheet.tmpl shows.
type sheetPage struct {
	Sheet
	CSS          template.CSS
	Policy       string
	Piece        string
	Facts        facts
	Sides        []side
	Figures      []comparison
	Outcome      string
	Reverb       []bandTime
	Notation     *notation // nil: without
	BeforeCounts string
	AfterCounts  string
}

// side is one of "as written" and "as rewritten".
type side struct {
	Name    string
	Passage passage
	Picture *picture
}

// passage is the notes of a few bars.
type passage struct {
	Strips   []strip
	Bars     []tick
	BarLines string
}

// comparison is one measured value before and after.
type comparison struct{ Label, Before, After string }

// WriteSheet writes a print-ready lesson sheet (A4, HTML): the passage, what happens, pictures
// and figures before and after, a question to try.
func WriteSheet(w io.Writer, s Sheet) error {
	if s.Before == nil {
		return fmt.Errorf("lesson sheet: no document of the passage as written")
	}
	p := sheetPage{Sheet: s, CSS: template.CSS(pageCSS + sheetCSS), Policy: policy(),
		Piece: title(s.Before), Facts: settingsInWords(s.Before), Reverb: reverb(s.Before.Room.RT60)}
	if p.Title == "" {
		p.Title = p.Piece
	}
	if p.Question == "" {
		p.Question = question(s.Finding)
	}
	from, until := window(s.Before, s.Finding)
	before := side{Name: "As written", Passage: newPassage(s.Before, from, until)}
	var after *finding.Finding
	common := axesOf(s.Finding.Trace)
	if s.After != nil {
		if after = same(s.After.Findings, s.Finding); after != nil {
			common = axesOf(s.Finding.Trace, after.Trace)
		}
	}
	if s.Finding.Trace != nil {
		before.Picture = tracePictureOn(*s.Finding.Trace, common)
	}
	p.Sides = append(p.Sides, before)
	p.BeforeCounts = summarise(s.Before.Findings).Verdict
	if s.After != nil {
		from, until := barWindow(s.After, s.Finding)
		one := side{Name: "As rewritten", Passage: newPassage(s.After, from, until)}
		if after != nil && after.Trace != nil {
			one.Picture = tracePictureOn(*after.Trace, common)
		}
		p.Sides = append(p.Sides, one)
		p.AfterCounts = summarise(s.After.Findings).Verdict
		p.Outcome = outcome(s.Finding, after)
	}
	p.Figures = beforeAndAfter(s.Finding, after, s.After != nil)
	var err error
	if p.Notation, err = newPassages(s, after); err != nil {
		return fmt.Errorf("lesson sheet: the bars cannot be put into it: %w", err)
	}
	if p.Notation != nil {
		p.Policy = policy(hashOf(passageScript), p.Notation.Hash)
		p.CSS += template.CSS(engraving.Style)
	}
	return execute(w, sheetView(), p, s.Language)
}

// same is the finding of the same kind and division in the same bars, nil where there is none.
func same(fs []finding.Finding, f finding.Finding) *finding.Finding {
	for i, g := range fs {
		if g.Kind == f.Kind && g.Division == f.Division && g.Bar <= max(f.Bar, f.ToBar) && max(g.Bar, g.ToBar) >= f.Bar {
			return &fs[i]
		}
	}
	return nil
}

// outcome says in a sentence what the rewriting did, and does not spare one that did nothing.
func outcome(before finding.Finding, after *finding.Finding) string {
	switch {
	case after == nil:
		return "The check no longer finds anything here."
	case after.Severity.Rank() > before.Severity.Rank():
		return fmt.Sprintf("It is milder: %s instead of %s.", severity(after.Severity).Word, severity(before.Severity).Word)
	case after.Severity.Rank() < before.Severity.Rank():
		return fmt.Sprintf("It is worse: %s instead of %s.", severity(after.Severity).Word, severity(before.Severity).Word)
	case after.Weight < 0.95*before.Weight:
		return fmt.Sprintf("It is still %s, but less of the music is gone.", severity(before.Severity).Word)
	}
	return fmt.Sprintf("It did not help: still %s.", severity(before.Severity).Word)
}

func beforeAndAfter(before finding.Finding, after *finding.Finding, rewritten bool) []comparison {
	var out []comparison
	for _, m := range words.Measured(before) {
		c := comparison{Label: m.Label, Before: m.Amount()}
		if rewritten {
			c.After = "not found"
		}
		if after != nil {
			c.After = "–"
			if v, ok := after.Measured[m.Key]; ok && isFinite(v) {
				c.After = words.Measure(m.Key, v).Amount()
			}
		}
		out = append(out, c)
	}
	return out
}

// question asks what the class can try at the console or at the desk.
func question(f finding.Finding) string {
	if k, ok := finding.KindOf(f.Kind); ok {
		return k.Question
	}
	return "How would you rewrite this passage for the building? Try it, and let somebody listen from the nave."
}

// window is the stretch of time to show: from the bar before the finding to the bar after it.
func window(d *proof.Document, f finding.Finding) (from, until float64) {
	from, until = barWindow(d, f)
	if f.Trace == nil && f.UntilS > until {
		until = f.UntilS
	}
	return from, until
}

func barWindow(d *proof.Document, f finding.Finding) (from, until float64) {
	first, last := f.Bar-1, max(f.Bar, f.ToBar)+1
	if last-first > 7 {
		last = first + 7
	}
	from, until = math.NaN(), math.NaN()
	for _, b := range d.Bars {
		if b.Number >= first && math.IsNaN(from) {
			from = b.AtS
		}
		if b.Number > last && math.IsNaN(until) {
			until = b.AtS
		}
	}
	if math.IsNaN(from) {
		from = math.Max(0, f.AtS-3)
	}
	if math.IsNaN(until) {
		until = math.Max(d.Score.DurationS, from+1)
	}
	return from, math.Max(until, from+0.1)
}

func newPassage(d *proof.Document, from, until float64) passage {
	s := scale{from: from, until: until, low: 0, high: 1}
	part := *d
	part.Notes, part.Bars = nil, nil
	for _, n := range d.Notes {
		if n.OffS > from && n.OnS < until {
			part.Notes = append(part.Notes, n)
		}
	}
	for _, b := range d.Bars {
		if b.AtS >= from-1e-9 && b.AtS < until {
			part.Bars = append(part.Bars, b)
		}
	}
	var l timeline
	l.bars(part.Bars, s)
	return passage{Strips: strips(&part, s), Bars: l.Bars, BarLines: l.BarLines}
}
