package stoplist

import (
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// A heading may say more than the name of its division: keys, box, wind, action, how many stops stand under it, where it stands.

var (
	headPieces = lazyregexp.New(`\s{2,}|\t+|[,;:()\[\]|]+| +[-–—/] +|\. +`)
	// headBox says whether a division stands in a box, headNoBox that it does not; behind it may stand which of its stops do not.
	headNoBox  = lazyregexp.New(`^(?:un|not |non-?)(?:enclosed|expressive)|^(?:un|in)expressive$|^open chests?$`)
	headBox    = lazyregexp.New(`^(?:(?:all |partly |separately |wholly |entirely )?(?:enclosed|expressive|boxed)\b|under expression|(?:and )?in (?:a |the |its |its own |own |separate )*(?:general |chancel |second |swell )*(?:swell|box|swell[ -]?box|expression box|chamber|expression)\b)`)
	headBut    = lazyregexp.New(`\b(?:except(?:ing|ed)?|but not|bar|apart from|save)\b`)
	headCount  = lazyregexp.New(`^\d{1,3}(?:[.,]\d{3})? (?:speaking |sounding |real |draw-?)?(?:stops?|ranks?|rks|pipes|registers|voices|knobs|sets|drawknobs|draws)$|^(?:speaking )?(?:stops|ranks|registers)(?: no\.?)? ?:? ?\d{1,3}$`)
	headKeys   = lazyregexp.New(`^(?:compass|keys|notes|range|keyboard)(?: of)? ?:? ?(\d\d)(?: ?-?(?:notes?|keys?|n))?$|^(\d\d) ?-?(?:notes?|keys?|n)(?: compass)?$`)
	headFiller = lazyregexp.New(`^(?:compass|keyboard|manual|organ|division|key action|stop action|action|wind|wind pressure|pressure|keys|notes|stops|throughout|inches|in|mm|straight|radiating|concave|and|flat|parallel)$`)
	headPlace  = lazyregexp.New(`^(?:(?:lower|upper|bottom|top|middle|first|second|third|fourth|1st|2nd|3rd|4th|front|back) (?:manual|keyboard|row|clavier)|manual (?:i{1,3}|iv|v|\d)|(?:i{1,3}|iv|v)(?: manual)?|floating|(?:in|on|at|behind|above|below|over|under) \pL.*|\d{4})$`)
	// bassCoupled says that the lowest keys of a division have no pipes of their own.
	bassCoupled = lazyregexp.New(`^(?:(?:cc|c)(?: ?- ?|\s+to\s+)(?:bb|b)|(?:the )?(?:bass|bottom octave|lowest octave|lowest 12|bass octave))(?: notes)? (?:is |are )?(?:\pL+ )?(?:coupled|joined|from|acting|borrowed|connected|keys act|shared)\b|^(?:from |down to |to |compass )?(?:tenor c|ten\.? c|t\.?c\.?)(?: (?:up|upwards|to .*))?$`)
)

// headedWithFacts reads a heading of which each further piece is one of those facts, in cells, in brackets or behind commas: "Great    Key action
// Mechanical    Compass C-g3   Keys 56".
func (r *reader) headedWithFacts(line string) bool {
	text := stripBullet(line)
	pieces := headPieces.Split(text, -1)
	telling := slices.ContainsFunc(pieces, func(p string) bool { // what a heading does not take in
		p = strings.Trim(plain(p), " .'=-")
		return bassCoupled.MatchString(p) || headBut.MatchString(p) || headCount.MatchString(p) && strings.Contains(text, ": ")
	})
	if _, ok := heading(strings.Join(strings.Fields(text), " ")); len(text) > 160 || ok && !telling {
		return false
	}
	first := headPieces.FindStringIndex(text)
	if first == nil || first[0] == 0 {
		return false
	}
	d, ok := heading(text[:first[0]])
	if !ok || d.Role == "" || d.LowKey > 0 && d.HighKey == 0 || looksLikeCoupler(text) && !telling {
		return false
	}
	rest := text[first[0]:]
	if low, high, without, _, found := findCompass(rest, d.Pedal); found && (compassText.MatchString(rest) || englishCompass.MatchString(rest)) {
		d.LowKey, d.HighKey, rest = low, high, without
	}
	rest = bareCompass.ReplaceAllString(" "+rest+" ", " ; ")
	if m := headWind.FindStringSubmatch(rest); m != nil {
		if mm := windOf(m[1], m[2]); mm > 0 {
			d.WindMM, rest = mm, strings.Replace(rest, m[0], " ; ", 1)
		}
	}
	said, keys, inCells := 0, 0, gap.MatchString(line) || strings.Contains(line, "|")
	action, ask := "", ""
	for _, piece := range headPieces.Split(rest, -1) {
		low := strings.Trim(plain(piece), " .'=-")
		if low == "" {
			continue
		}
		said++
		if other, head := heading(piece); head && inCells && (other.Role != "" || other.Number > 0) {
			return false
		}
		switch m := headKeys.FindStringSubmatch(low); {
		case m != nil:
			if n := atoi(m[1] + m[2]); d.HighKey == 0 && (!d.Pedal && n >= 40 && n <= 73 || d.Pedal && n >= 12 && n <= 33) {
				keys = n
			}
		case headNoBox.MatchString(low):
			d.Enclosed = false
		case headBox.MatchString(low):
			d.Enclosed = true
			if headBut.MatchString(low) {
				ask = "some of its stops are said to stand outside the box: all are taken to stand in it"
			}
		case headBut.MatchString(low) && d.Enclosed && len(strings.Fields(low)) < 8:
			ask = "some of its stops are said to stand outside the box: all are taken to stand in it"
		case bassCoupled.MatchString(low) && !d.Pedal:
			d.LowKey = 48
		case headCount.MatchString(low), headFiller.MatchString(low), headPlace.MatchString(low) && len(strings.Fields(low)) < 6:
		case anyAction(low) && len(strings.Fields(low)) < 7 && len(spansOfFeet(piece)) == 0:
			action = low
		default:
			return false
		}
	}
	switch {
	case keys > 0 && d.LowKey == 48 && keys < 50: // they are counted from there
		d.HighKey = 47 + keys
	case keys > 0:
		d.LowKey, d.HighKey = max(36, d.LowKey), 35+keys
	case d.LowKey == 48 && d.HighKey == 0:
		d.HighKey = 91
	}
	if said == 0 && d.WindMM == 0 && d.HighKey == 0 {
		return false
	}
	r.current, r.section, r.columns = r.open(d), inStops, nil
	if x := &r.list.Divisions[r.current]; x.WindMM == 0 {
		x.WindMM = d.WindMM
	}
	r.say(IsHeading, r.headingText(r.current), ask)
	if kind := keyAction(action); kind != "" {
		if f := &r.list.Facts; !d.Pedal && r.pedalAction { // the manuals' is the organ's
			f.Action, f.ActionSaid, r.pedalAction = kind, actionSaid(action, kind), false
		} else if f.Action == "" {
			f.Action, f.ActionSaid, r.pedalAction = kind, actionSaid(action, kind), d.Pedal
		}
		r.say(IsFact, kind+" action", "")
	}
	if mm := r.list.Divisions[r.current].WindMM; mm > 0 {
		r.say(IsFact, r.list.Divisions[r.current].Name+": wind "+strconv.FormatFloat(mm, 'f', -1, 64)+" mm", "")
	}
	return true
}

var (
	sizeLine  = lazyregexp.New(`^(?:\d|one|two|three|four|five|six)[ -]manuals?\b`)
	sizeCount = lazyregexp.New(`^(?:\d{1,3}|one|two|three|four|five|six) (?:manual\w*(?: (?:and|&) pedals?\w*)?|couplers?|divisions?|unit ranks|borrowed stops|extensions|pistons|composition pedals|thumb pistons)$|^(?:and )?pedals?$|^independent pedal$`)
)

// sizeOf reads what the head of a page says of the whole organ in numbers: "2 manuals, 17 speaking stops, 5 couplers, mechanical action".
func (r *reader) sizeOf(line string) bool {
	if !sizeLine.MatchString(plain(line)) || len(line) > 120 {
		return false
	}
	n := 0
	for _, piece := range headPieces.Split(line, -1) {
		low := strings.Trim(plain(piece), " .'=-")
		switch {
		case low == "":
			continue
		case sizeCount.MatchString(low), headCount.MatchString(low), headKeys.MatchString(low), anyAction(low) && len(strings.Fields(low)) < 6:
		default:
			return false
		}
		n++
	}
	if n < 2 {
		return false
	}
	if said := r.list.facts(line); len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
	} else {
		r.say(IsProse, "no part of the stop list", "")
	}
	return true
}
