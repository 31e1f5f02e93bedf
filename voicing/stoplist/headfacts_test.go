package stoplist

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What English headings say beside the name of their division (common practice): keys, box, wind, action, how many stops.
func TestEnglishHeadingsWithFacts(t *testing.T) {
	for _, c := range []struct {
		line, name string
		low, high  int
		enclosed   bool
		wind       float64
		action     string
	}{
		{line: "Great    Key action Mechanical    Compass C-g3   Keys 56", name: "Great", low: 36, high: 91, action: "tracker"},
		{line: "Swell    Key action Mechanical    Compass C-g3   Keys 56    Enclosed", name: "Swell", low: 36, high: 91, enclosed: true, action: "tracker"},
		{line: "CHOIR ORGAN (enclosed)", name: "Choir", low: 36, high: 91, enclosed: true},
		{line: "CHOIR ORGAN (unenclosed)", name: "Choir", low: 36, high: 91},
		{line: "Choir (enclosed except the first four stops)", name: "Choir", low: 36, high: 91, enclosed: true},
		{line: "Solo Organ, enclosed except Tubas", name: "Solo", low: 36, high: 91, enclosed: true},
		{line: "Choir: enclosed", name: "Choir", low: 36, high: 91, enclosed: true},
		{line: "Choir Organ – in a separate swell box", name: "Choir", low: 36, high: 91, enclosed: true},
		{line: "GREAT (Unenclosed) - 3 1/4\" wind", name: "Great", low: 36, high: 91, wind: 83},
		{line: "GREAT (3½\" wind, unenclosed)", name: "Great", low: 36, high: 91, wind: 89},
		{line: "Swell Organ, 61 notes, 4 inches wind", name: "Swell", low: 36, high: 96, enclosed: true, wind: 102},
		{line: "Swell Organ (4-inch wind)", name: "Swell", low: 36, high: 91, enclosed: true, wind: 102},
		{line: "GREAT ORGAN. Compass, CC to G, 56 notes.", name: "Great", low: 36, high: 91},
		{line: "GREAT ORGAN - CC to A - 58 notes - 12 stops", name: "Great", low: 36, high: 93},
		{line: "Great Organ: 12 stops, 61 notes", name: "Great", low: 36, high: 96},
		{line: "Great Organ (12 stops; 14 ranks; 61 notes)", name: "Great", low: 36, high: 96},
		{line: "GREAT ORGAN, 56 notes, tracker action", name: "Great", low: 36, high: 91, action: "tracker"},
		{line: "Great: C-g3, 56 notes, tracker action", name: "Great", low: 36, high: 91, action: "tracker"},
		{line: "GREAT | C-g3 | 56 notes", name: "Great", low: 36, high: 91},
		{line: "Great, 58 notes, 75 mm", name: "Great", low: 36, high: 93, wind: 75},
		{line: "Great (CC-g3; 56 notes; wind 70mm)", name: "Great", low: 36, high: 91, wind: 70},
		{line: "GREAT [61 notes, 7 ranks]", name: "Great", low: 36, high: 96},
		{line: "Great (Manual I), 56 notes:", name: "Great", low: 36, high: 91},
		{line: "Swell (Manual II, enclosed), 56 notes", name: "Swell", low: 36, high: 91, enclosed: true},
		{line: "II. SWELL (expressive), 61 notes", name: "Swell", low: 36, high: 96, enclosed: true},
		{line: "SWELL (56 notes, CC-BB permanently coupled to Great):", name: "Swell", low: 48, high: 91, enclosed: true},
		{line: "Swell Organ (tenor C, 44 notes)", name: "Swell", low: 48, high: 91, enclosed: true},
		{line: "Swell, tenor C to f3", name: "Swell", low: 48, high: 89, enclosed: true},
		{line: "SWELL ORGAN (enclosed) 7 stops", name: "Swell", low: 36, high: 91, enclosed: true},
		{line: "POSITIV (Unenclosed) - 2 1/2\" wind", name: "Positiv", low: 36, high: 91, wind: 64},
		{line: "ANTIPHONAL (unenclosed, in the gallery)", name: "Antiphonal", low: 36, high: 91},
		{line: "ECHO ORGAN (expressive, floating)", name: "Echo", low: 36, high: 91, enclosed: true},
		{line: "Choir Organ (in Great box)", name: "Choir", low: 36, high: 91, enclosed: true},
		{line: "CHOIR ORGAN (Enclosed with the Swell)", name: "Choir", low: 36, high: 91, enclosed: true},
		{line: "Choir Organ, electro-pneumatic action, 61 notes", name: "Choir", low: 36, high: 96, action: "electro-pneumatic"},
		{line: "Solo Organ (enclosed; 10\" wind)", name: "Solo", low: 36, high: 91, enclosed: true, wind: 254},
		{line: "Great Organ   (Manual 2)   61 notes", name: "Great", low: 36, high: 96},
		{line: "GREAT – 12 stops, 15 ranks, 892 pipes", name: "Great", low: 36, high: 91},
		{line: "Great 58 notes", name: "Great", low: 36, high: 93},
	} {
		l := Read(c.line + "\nOpen Diapason 8\nPrincipal 4\nFifteenth 2\n\nPedal\nBourdon 16\n")
		if !assert.NotEmpty(t, l.Divisions, c.line) {
			continue
		}
		d := l.Divisions[0]
		assert.Equal(t, []any{c.name, c.low, c.high, c.enclosed, c.wind, 3}, []any{d.Name, d.LowKey, d.HighKey, d.Enclosed, d.WindMM, len(d.Stops)}, c.line)
		if c.action != "" {
			assert.Equal(t, c.action, l.Facts.Action, c.line)
		}
		assert.Empty(t, l.Unread(), c.line)
	}
}
