package musicxml

import (
	"math"
	"strings"

	"github.com/beevik/etree"

	"afterchord/acoustics/lazyregexp"
)

// beatUnits are the note values of a metronome mark in crotchets, with their dots and ties (MusicXML 4.0, "metronome",
// "beat-unit-tied", "metronome-note").
func beatUnits(e *etree.Element) (units []float64) {
	var bare []float64 // each without its dots
	dots := 0
	last := func(add float64) {
		if n := len(units); n > 0 {
			units[n-1] += add
		}
	}
	for _, c := range e.ChildElements() {
		switch c.Tag {
		case "beat-unit":
			v := typeCrotchets[strings.TrimSpace(c.Text())]
			units, bare, dots = append(units, v), append(bare, v), 0
		case "beat-unit-dot":
			if n := len(bare); n > 0 {
				dots++
				last(bare[n-1] / math.Pow(2, float64(dots)))
			}
		case "beat-unit-tied":
			if sum := beatUnits(c); len(sum) == 1 {
				last(sum[0])
			}
		}
	}
	if len(units) == 0 {
		units = metronomeNotes(e)
	}
	return units
}

// metronomeNotes are the lengths of the two sides of a mark that is written out in notes.
func metronomeNotes(e *etree.Element) []float64 {
	sides := []float64{0}
	for _, c := range e.ChildElements() {
		switch c.Tag {
		case "metronome-relation":
			sides = append(sides, 0)
		case "metronome-note":
			v := typeCrotchets[text(c, "metronome-type")]
			add := v
			for range min(len(elements(c, "metronome-dot")), 8) {
				add /= 2
				v += add
			}
			if tm := child(c, "metronome-tuplet"); tm != nil {
				if a, n := integer(text(tm, "actual-notes"), 0), integer(text(tm, "normal-notes"), 0); a > 0 && n > 0 && tm.SelectAttrValue("type", "") == "start" {
					v *= float64(n) / float64(a)
				}
			}
			sides[len(sides)-1] += v
		}
	}
	if len(sides) == 1 && sides[0] == 0 {
		return nil
	}
	return sides
}

var numberRange = lazyregexp.New(`([0-9]+(?:\.[0-9]+)?)\s*(?:-|–|—|/|to|bis|à|a)\s*([0-9]+(?:\.[0-9]+)?)`)

// perMinute reads the number of a metronome mark; of a range ("60-66") its middle.
func perMinute(s string) (v float64, isRange, ok bool) {
	if m := numberRange.FindStringSubmatch(s); m != nil {
		from, _ := number(m[1])
		to, _ := number(m[2])
		if from > 0 && to > from {
			return (from + to) / 2, true, true
		}
	}
	v, ok = number(digits.FindString(s))
	return v, false, ok
}

// noteSigns are note values as characters (Unicode, Musical Symbols), in crotchets.
var noteSigns = map[string]float64{"𝅜": 8, "𝅝": 4, "𝅗𝅥": 2, "𝅘𝅥": 1, "♩": 1, "𝅘𝅥𝅮": 0.5, "♪": 0.5, "𝅘𝅥𝅯": 0.25, "♬": 0.25}

var noteSign = lazyregexp.New(`(𝅜|𝅝|𝅗𝅥|𝅘𝅥𝅮|𝅘𝅥𝅯|𝅘𝅥|♩|♪|♬)\s*(\.|𝅭|·)?\s*=\s*(?:(?:ca?|circa|env|etwa|um)\.?\s*)?([0-9].*)$`)

// noteEquals reads a metronome mark among words ("♩. = 60"): crotchets a minute.
func noteEquals(words string) (float64, bool) {
	m := noteSign.FindStringSubmatch(words)
	if m == nil {
		return 0, false
	}
	unit := noteSigns[m[1]]
	if m[2] != "" {
		unit *= 1.5
	}
	v, _, ok := perMinute(m[3])
	return v * unit, ok && sane(v*unit)
}
