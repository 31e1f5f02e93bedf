// Package remedy rewrites passages that a proof found wanting, and proves each rewriting
// by running it through the same chain. A remedy is one file with one exported function that
// makes drafts; [Mend] tries them on a finding, [All] picks the smallest set of
// changes that clears the most of a piece, [Offer] lists what the report shows.
//
// What a remedy does to a passage is common practice of composers and coaches for the
// organ. What it is worth here is computed, never assumed: a rewriting that does
// not help is reported as such.
package remedy

import (
	"slices"

	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

// Remedy is one way to rewrite a passage.
type Remedy struct {
	Name  string
	Does  string   // in a few words, for a list
	Cures []string // kinds of finding
	Price float64  // what the change costs the music: 1 for a local change of articulation
	// Write makes drafts, from the gentlest to the strongest; none where it has
	// nothing to hold on to.
	Write func(*Case) []Draft
}

// Table lists the remedies. Adding one is adding a row.
var Table = []Remedy{
	{"release-early", "release the last chord early: the shortest rest that clears", []string{finding.KindCoveredEntry, finding.KindBlurredHarmony}, 1, ReleaseEarly},
	{"detach", "detach the chords, in plain note values", []string{finding.KindCoveredEntry, finding.KindBlurredHarmony, finding.KindRunTogether}, 1.2, Detach},
	{"alternate-hands", "share a repeated chord between the hands", []string{finding.KindRunTogether, finding.KindOpenArticulation}, 1.5, AlternateHands},
	{"alternate-octaves", "alternate the octave on repeated pedal notes", []string{finding.KindRunTogether, finding.KindLateSpeech}, 1.4, AlternateOctaves},
	{"drop-doublings", "leave out doublings; a 16 or 32 ft stop where one is wanted", []string{finding.KindDoubledInVain, finding.KindHandReach, finding.KindPedalReach}, 0.8, DropDoublings},
	{"hold-chord", "hold the notes of the broken chord", []string{finding.KindThinFigure}, 1, HoldChord},
	{"bass-to-pedal", "give the basses to the pedal, held", []string{finding.KindThinFigure, finding.KindHandReach}, 1, BassToPedal},
	{"held-bass", "hold the bass in the pedal, under the figure", []string{finding.KindThinFigure}, 1.1, HeldBass},
	{"sustain-chord", "held chords in the place of the broken ones", []string{finding.KindThinFigure}, 6, SustainChord},
	{"solo-up", "put the solo up by dynamic marks", []string{finding.KindMaskedSolo, finding.KindSoloNotApart}, 0.8, SoloUp},
	{"accompaniment-down", "take the accompaniment down by dynamic marks, or to one flute", []string{finding.KindMaskedSolo, finding.KindSoloNotApart}, 0.8, AccompanimentDown},
	{"solo-on-reed", "draw a reed or a flute for the solo", []string{finding.KindMaskedSolo}, 0.8, SoloOnReed},
	{"solo-manual", "take the solo to a manual of its own", []string{finding.KindSoloNotApart}, 0.7, SoloManual},
	{"octave-apart", "set the solo and its accompaniment an octave apart, on an organ of one manual", []string{finding.KindSoloNotApart}, 1, OctaveApart},
	{"octave-by-stop", "one voice of the octaves; a 4 or 16 ft stop sounds the other", []string{finding.KindHandOctaves}, 0.8, OctaveByStop},
	{"octave-nearer", "play what lies beyond the keys an octave nearer, from the pedal or from a stop an octave off", []string{finding.KindOffCompass}, 0.6, OctaveNearer},
	{"articulate", "say how the chords are articulated: detached, or in pairs", []string{finding.KindOpenArticulation}, 0.8, Articulate},
	{"prepared-manual", "play the passage on a manual prepared beforehand", []string{finding.KindStopScramble}, 0.8, PreparedManual},
	{"piston", "free one hand for a general piston", []string{finding.KindStopScramble}, 0.7, Piston},
	{"stops-rest", "a rest long enough for the change of stops", []string{finding.KindStopScramble}, 1.2, StopsRest},
	{"assistant", "have an assistant draw the stops", []string{finding.KindStopScramble}, 2.5, Assistant},
	{"free-a-foot", "move pedal notes to the left hand", []string{finding.KindBoxOutOfReach, finding.KindPedalReach}, 1.3, FreeAFoot},
	{"between-chords", "change the stops between two chords", []string{finding.KindSteppedCrescendo}, 0.9, BetweenChords},
	{"thicken", "build the crescendo by thickening the chord", []string{finding.KindBoxOutOfReach, finding.KindSteppedCrescendo}, 1.5, Thicken},
	{"slow", "slow to the fastest tempo that separates", []string{finding.KindRunTogether, finding.KindBlurredHarmony, finding.KindLateSpeech, finding.KindCoveredEntry, finding.KindPedalReach, finding.KindHandReach}, 2, Slow},
}

// Find returns the remedy of a name.
func Find(name string) (Remedy, bool) {
	for _, r := range Table {
		if r.Name == name {
			return r, true
		}
	}
	return Remedy{}, false
}

// Does is what the remedy of a name does, in plain words: "hold the notes of the broken chord".
func Does(name string) string {
	if r, ok := Find(name); ok {
		return r.Does
	}
	return name
}

// For lists the remedies that may cure a kind of finding.
func For(kind string) []Remedy {
	var out []Remedy
	for _, r := range Table {
		if slices.Contains(r.Cures, kind) {
			out = append(out, r)
		}
	}
	return out
}

// Case is a finding and what a remedy may look at. It is read-only.
type Case struct {
	Input       proof.Input // the score as written; Input.Tempo is not yet applied
	Performance *performance.Performance
	Finding     finding.Finding

	// judge proves a draft on the passage, for remedies that search.
	judge func(*score.Score) verdict
	index map[int]int // note ID -> index into Score.Notes

	divisions []int // of each part in the passage
}

// Draft is a rewritten score. Notes keep their IDs.
type Draft struct {
	Score *score.Score
	What  string  // what was changed, one sentence
	Price float64 // added to the remedy's
}

func newCase(in proof.Input, perf *performance.Performance, f finding.Finding) *Case {
	c := &Case{Input: in, Performance: perf, Finding: f, index: make(map[int]int, len(in.Score.Notes))}
	for i, n := range in.Score.Notes {
		c.index[n.ID] = i
	}
	c.divisions = c.divisionsThere()
	return c
}

// Score is the page as written.
func (c *Case) Score() *score.Score { return c.Input.Score }

// Notes are the score's notes that the finding names, by their place.
func (c *Case) Notes() []score.Note {
	var at []int
	for _, id := range c.Finding.Notes {
		if i, ok := c.index[id]; ok {
			at = append(at, i)
		}
	}
	slices.Sort(at)
	at = slices.Compact(at)
	out := make([]score.Note, len(at))
	for i, x := range at {
		out[i] = c.Score().Notes[x]
	}
	return out
}

// Onsets are the ticks at which the finding's notes begin, ascending, each once.
func (c *Case) Onsets() []score.Tick {
	var out []score.Tick
	for _, n := range c.Notes() {
		out = append(out, n.On)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Division is the division that plays a part where the finding is: hands go from manual to manual.
func (c *Case) Division(part int) int { return c.divisions[part] }

// divisionsThere lists the division of each part: that of the finding's own notes, else the one that the part has in the
// finding's bars, or had before them.
func (c *Case) divisionsThere() []int {
	out := make([]int, len(c.Performance.Assignments))
	for i, a := range c.Performance.Assignments {
		out[i] = a.Division
	}
	own := map[int]bool{}
	for _, id := range c.Finding.Notes {
		own[id] = true
	}
	from, to := c.span()
	const before, within, named = 1, 2, 3 // the later, the better known
	known := make([]int, len(out))
	for _, n := range c.Performance.Notes {
		x := c.Score().Notes[n.Score]
		how := before
		switch {
		case own[x.ID]:
			how = named
		case x.On >= to:
			continue
		case x.On >= from:
			how = within
		}
		if how > known[n.Part] || how == before && known[n.Part] == before {
			out[n.Part], known[n.Part] = n.Division, how
		}
	}
	return out
}

// Pedal reports whether the feet play a part.
func (c *Case) Pedal(part int) bool { return c.Input.Organ.Divisions[c.Division(part)].Pedal }

// tempo is the factor that the user plays at.
func (c *Case) tempo() float64 {
	if c.Input.Tempo == 0 {
		return 1
	}
	return c.Input.Tempo
}

// span is from the start of the finding's first bar to the end of its last.
func (c *Case) span() (from, to score.Tick) { return span(c.Score(), c.Finding) }

func span(s *score.Score, f finding.Finding) (from, to score.Tick) {
	from, to = -1, s.End
	for _, b := range s.Bars {
		if from < 0 && b.Number >= f.Bar {
			from = b.Start
		}
		if b.Number <= max(f.Bar, f.ToBar) {
			to = b.Start + b.Length
		}
	}
	return max(from, 0), to
}
