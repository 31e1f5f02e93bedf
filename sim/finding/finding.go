// Package finding says by bar and beat what the building, the pipes and the player
// will do to a score. One finding is one file with one exported [Check].
package finding

import (
	"fmt"
	"slices"
)

// Severity orders findings.
type Severity string

// Severities, mildest first.
const (
	Notice  Severity = "note"
	Warning Severity = "warning"
	Fail    Severity = "fail"
)

// Severities lists them, the worst first.
var Severities = []Severity{Fail, Warning, Notice}

// Rank is the place of the severity in Severities, 0 for the worst; what is no severity ranks as the mildest.
func (s Severity) Rank() int {
	if i := slices.Index(Severities, s); i >= 0 {
		return i
	}
	return len(Severities) - 1
}

// severityWords are what people read for a severity, and the shape beside it: colour is never needed. "Note" is a word of
// music, and is none of them.
var severityWords = map[Severity][2]string{Fail: {"lost", "■"}, Warning: {"weakened", "▲"}, Notice: {"worth knowing", "○"}}

// Word is the severity in words, the same wherever it is read: "lost", "weakened", "worth knowing".
func (s Severity) Word() string { return severityWords[Severities[s.Rank()]][0] }

// Sign is the shape that stands for the severity, the same on pages, in tables and in annotated scores: ■, ▲, ○.
func (s Severity) Sign() string { return severityWords[Severities[s.Rank()]][1] }

// Counted says how many of the severity there are: "2 lost".
func (s Severity) Counted(n int) string { return fmt.Sprintf("%d %s", n, s.Word()) }

// Finding is one thing that will happen at one place.
type Finding struct {
	ID       int                `json:"id"` // from 1, in the order of the report
	Kind     string             `json:"kind"`
	Bar      int                `json:"bar"`
	Beat     float64            `json:"beat"`
	ToBar    int                `json:"to_bar"`
	Where    string             `json:"where"` // as a musician says it: "bars 9-12, every crotchet"
	AtS      float64            `json:"at_s"`
	UntilS   float64            `json:"until_s"`
	Division string             `json:"division"`
	Keys     []string           `json:"keys"`
	Severity Severity           `json:"severity"`
	Count    int                `json:"count"` // how many places are grouped here, 1 or more
	Measured map[string]float64 `json:"measured"`
	Message  string             `json:"message"`
	Try      []string           `json:"try"`
	Trace    *Trace             `json:"trace,omitempty"`
	Weight   float64            `json:"weight"` // how much music it eats, for the order: share times seconds

	Notes []int `json:"-"` // score note IDs it concerns

	lost    []string // keys lost for most of their length
	passage bool     // it is the whole from AtS to UntilS, not the place where it begins

	// finish adds what only the findings that are reported need, once like places are grouped; nil where there is nothing more.
	finish func(f *Finding)

	spots []float64 // key times of the places grouped here, s; AtS alone where empty
}

// Trace is the picture of a finding: the old sound against the new one, dB re 20 µPa
// over time, with spans worth shading.
type Trace struct {
	FromS  float64   `json:"from_s"`
	StepS  float64   `json:"step_s"`
	OldDB  []float32 `json:"old_db"`
	NewDB  []float32 `json:"new_db"`
	Share  []float32 `json:"heard_share"`
	Spans  []Span    `json:"spans"`
	OldTag string    `json:"old"` // "the chord of bar 8"
	NewTag string    `json:"new"`
}

// Span is a named stretch of time.
type Span struct {
	Name   string  `json:"name"` // "covered", "blurred"
	FromS  float64 `json:"from_s"`
	UntilS float64 `json:"until_s"`
}
