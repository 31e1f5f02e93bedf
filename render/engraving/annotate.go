package engraving

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"afterchord/acoustics/plural"
	"afterchord/render/internal/words"
	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/smf"
	"afterchord/voicing"
)

// Color is the colour of a severity on white paper, "#RRGGBB": vermilion, purple and blue,
// which people with any of the usual colour-vision deficiencies tell apart (after the palette
// of Okabe & Ito 2008, darkened so that words keep a contrast of 4.5 to 1). The severity is
// always in words beside it.
func Color(s finding.Severity) string {
	switch s {
	case finding.Fail:
		return "#C44F00"
	case finding.Warning:
		return "#9A4C83"
	}
	return "#0072B2"
}

// severityColors are the colours of all severities.
var severityColors = []string{Color(finding.Fail), Color(finding.Warning), Color(finding.Notice)}

// isNotation tells whether the score came from MusicXML.
func isNotation(s *score.Score) bool {
	_, ok := musicxml.PrintedBar(s, 0)
	return ok
}

// FileName is the name of the file that Annotate writes: annotated.musicxml, or annotated.mid
// for a score from a Standard MIDI File.
func FileName(s *score.Score) string {
	if isNotation(s) {
		return "annotated.musicxml"
	}
	return "annotated.mid"
}

// Annotate writes a score with the findings of its proof in it: in MusicXML as words over the
// bars and notes in colour, in a MIDI file as markers. All else stays as it is in the file. s is
// the score as it was read, p its proof at any tempo. The words, lines and colours of an
// earlier proof go; notes get back the colours that their composer gave them.
func Annotate(w io.Writer, s *score.Score, p *proof.Proof) error {
	s = unannotated(s)
	found := p.Document.Findings
	if isNotation(s) {
		return musicxml.Annotate(w, s, append(colours(found), sayings(p)...), severityColors...)
	}
	var markers []score.Word
	if text, ok := notRead(p); ok {
		markers = append(markers, score.Word{Part: -1, Kind: score.Marker, Text: text})
	}
	for _, f := range found {
		at, _ := stretch(p, f)
		markers = append(markers, score.Word{At: at, Part: -1, Kind: score.Marker, Text: heading(f) + ": " + f.Message})
	}
	return smf.Annotate(w, s, markers)
}

// WriteClean writes a score as MusicXML, for a notation program: without the words, lines and colours of an earlier
// proof. A score from a MIDI file is written anew (see [musicxml.Write]), without the texts that are no directions.
func WriteClean(w io.Writer, s *score.Score, o *voicing.Organ) error {
	return musicxml.Annotate(w, forReaders(s, o), nil, severityColors...)
}

// unannotated is a score without the words of an earlier proof.
func unannotated(s *score.Score) *score.Score {
	s = s.Clone()
	s.Words = slices.DeleteFunc(s.Words, func(w score.Word) bool { return score.IsAnnotation(w.Text) })
	return s
}

// forReaders is a score without the words of an earlier proof and, where it is from a MIDI file, without texts that are no
// words of the music: who made the file, with which program, the syllables of a song. A text stays that a player of the organ
// reads, or that is about the speed or the touch.
func forReaders(s *score.Score, o *voicing.Organ) *score.Score {
	s = unannotated(s)
	if !isNotation(s) {
		s.Words = slices.DeleteFunc(s.Words, func(w score.Word) bool {
			return w.Kind == score.Text && !performance.Reads(o, w) && !musicxml.SaysSpeed(w.Text) && !finding.SaysTouch(w.Text)
		})
	}
	return s
}

// heading is a finding in few words: "3 covered entry (lost)".
func heading(f finding.Finding) string {
	return fmt.Sprintf("%d %s (%s)", f.ID, words.Kind(f.Kind), f.Severity.Word())
}

// colours paint the notes of the findings, the worst last, so that it stays on top.
func colours(found []finding.Finding) []musicxml.Annotation {
	out := make([]musicxml.Annotation, 0, len(found))
	for _, f := range slices.Backward(words.WorstFirst(found)) {
		out = append(out, musicxml.Annotation{NoteIDs: f.Notes, Color: Color(f.Severity)})
	}
	return out
}

// Bounds on what stands over the staves.
const (
	brackets   = 16 // lines over a stretch; MusicXML numbers them up to 16
	lineLength = 56 // of the words, characters
)

// sayings are the words over the bars, in the order of the piece.
func sayings(p *proof.Proof) []musicxml.Annotation {
	var out []musicxml.Annotation
	if text, ok := notRead(p); ok {
		out = append(out, musicxml.Annotation{Part: -1, Text: wrap(finding.Notice.Sign() + " " + text), Color: Color(finding.Notice)})
	}
	for i, f := range words.WorstFirst(p.Document.Findings) {
		at, until := stretch(p, f)
		a := musicxml.Annotation{At: at, Part: partOf(p.Score, f), Text: wrap(f.Severity.Sign() + " " + heading(f) + ": " + f.Message), Color: Color(f.Severity)}
		if i < brackets && p.Score.BarAt(until) > p.Score.BarAt(at) {
			a.Until = until
		}
		out = append(out, a)
	}
	slices.SortStableFunc(out, func(a, b musicxml.Annotation) int { return int(a.At - b.At) })
	return out
}

// notRead says at the head of the score how many instructions about stops were not read, in the form of a finding, so that it goes
// with the next annotation; ok is false where all were.
func notRead(p *proof.Proof) (text string, ok bool) {
	n := p.Document.Unread
	if n == 0 {
		return "", false
	}
	return fmt.Sprintf("%s not read (%s): what sounds may not be what was asked for.", plural.Count(n, "instruction"), finding.Notice.Word()), true
}

// stretch is where a finding begins and ends in the score.
func stretch(p *proof.Proof, f finding.Finding) (at, until score.Tick) {
	at = p.Score.TickAt(f.AtS)
	return at, max(at, p.Score.TickAt(f.UntilS))
}

// partOf is the part of the first note that a finding concerns, -1 where it names none.
func partOf(s *score.Score, f finding.Finding) int {
	if len(f.Notes) > 0 {
		for _, n := range s.Notes {
			if n.ID == f.Notes[0] {
				return n.Part
			}
		}
	}
	return -1
}

// wrap breaks a sentence into lines that fit over a bar or two.
func wrap(text string) string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		if line != "" && len([]rune(line))+1+len([]rune(w)) > lineLength {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimPrefix(line+" "+w, " ")
	}
	return strings.Join(append(lines, line), "\n")
}
