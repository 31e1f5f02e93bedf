package stoplist

import (
	"fmt"
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Doubts are what makes a reading unlikely as a whole, though each of its lines was understood: stops under the wrong heading leave shares
// that organs do not have (common practice). Each is a sentence; none where the shares are those of an organ.
func (l *List) Doubts() []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	var pedal, manuals int // stops
	for i := range l.Divisions {
		if d := &l.Divisions[i]; d.Pedal {
			pedal += len(d.Stops)
		} else {
			manuals += len(d.Stops)
		}
	}
	if pedal > 0 && manuals == 0 {
		say("all %d stops stand in the pedal: the heading of a manual may be missing", pedal)
	}
	if pedal > 6 && pedal > manuals && manuals > 0 {
		say("the pedal has %d stops and the manuals have %d: the heading of a manual may be missing", pedal, manuals)
	}
	for i := range l.Divisions {
		d := &l.Divisions[i]
		if d.Pedal && manuals > 0 && len(d.Stops) > 4 && !slices.ContainsFunc(d.Stops, func(s Stop) bool { return s.Feet >= 16 }) {
			say("%s has %d stops and none of 16 ft or lower: they may be a manual's", d.Name, len(d.Stops))
		}
		if low := basses(d); !d.Pedal && len(low) > 1 && pedal == 0 {
			say("%s has %s, which usually stand in a pedal: its heading may be missing", d.Name, strings.Join(low, " and "))
		}
		if n := throughout(d); !d.Pedal && n > 24 && len(l.manuals()) == 1 {
			say("one keyboard has all %d stops: the heading of another may be missing", n)
		}
		if twice := twins(d); len(twice) > 2 {
			say("%s stand twice in %s: two keyboards may have been taken for one", strings.Join(twice[:3], ", "), d.Name)
		}
	}
	if n := l.keyboardsSaid(); n > len(l.manuals()) && len(l.manuals()) > 0 {
		say("the text speaks of %d manuals, and stops were found for %d", n, len(l.manuals()))
	}
	if said, read := l.stopsSaid(), l.stopsRead(); len(said) == 1 && !slices.Contains(read, said[0]) {
		say("the text speaks of %d stops, and %d were read", said[0], read[0])
	}
	return out
}

// stopsCounted finds how many stops a line says that the organ has: "13 speaking stops", "25 klingende stemmer", "38 stemmen".
var stopsCounted = lazyregexp.New(`(?:^|[^\pL\d.,/])(\d{1,3}) ?(?:(?:speaking|sounding|klingende[rn]?|sprechende[rn]?|sonnants|sonori|reels|reali|reales|ljudande|drawing) )?(?:stops|register|registern|registers|jeux|registri|registros|stimmen|stemmen|stemmer|stammor)(?:$|[^\pL])`)

// stopsSaid are the different numbers of stops that the text says the whole organ has; what a heading says is of its division alone.
func (l *List) stopsSaid() (said []int) {
	for _, line := range l.Lines {
		if slices.ContainsFunc(line.Readings, func(r Reading) bool { return r.What == IsHeading || r.What == IsStop }) {
			continue
		}
		for _, m := range stopsCounted.FindAllStringSubmatch(plain(line.Text), -1) {
			if n := atoi(m[1]); n > 2 && !slices.Contains(said, n) {
				said = append(said, n)
			}
		}
	}
	return said
}

// stopsRead are the counts that a list may mean by its number of stops: all knobs, those with pipes of their own, both with halves of the keyboard
// as half a stop, and all of them with the tremulants and couplers.
func (l *List) stopsRead() []int {
	all, own, whole, tremulants := 0, 0, 0, 0
	for i := range l.Divisions {
		d := &l.Divisions[i]
		all += len(d.Stops)
		whole += throughout(d)
		for k := range d.Stops {
			if !d.Stops[k].Borrowed {
				own++
			}
		}
		if d.Tremulant {
			tremulants++
		}
	}
	return []int{all, own, whole, own - (all - whole), all + tremulants, all + 1, all + tremulants + len(l.Couplers)}
}

// basses are the names of a manual's stops that only pedals have: "Subbass", "Violonbass".
func basses(d *Division) (names []string) {
	for i := range d.Stops {
		s := &d.Stops[i]
		if s.Kind.Bass || s.Feet >= 8 && s.HighKey == 0 && strings.HasSuffix(fold(s.Name), "bas") {
			names = append(names, s.Name)
		}
	}
	return names
}

// throughout counts the stops of a division; what sounds in a half of the keyboard is half a stop.
func throughout(d *Division) int {
	halves := 0
	for i := range d.Stops {
		if halves += 2; d.Stops[i].LowKey > 0 || d.Stops[i].HighKey > 0 {
			halves--
		}
	}
	return halves / 2
}

// twins are the stops that a division has twice, by name and length; halves of the keyboard are two.
func twins(d *Division) (names []string) {
	seen := map[string]bool{}
	for i := range d.Stops {
		s := &d.Stops[i]
		key := fmt.Sprint(fold(s.Name), s.Feet, s.LowKey, s.HighKey)
		if seen[key] && s.Kind.Compound == "" {
			names = append(names, s.Name)
		}
		seen[key] = true
	}
	return names
}

// manualsSaid finds how many manuals a short line says that there are: "II claviers", "2 manuals", "zweimanualig", "Manuale I/II".
var manualsSaid = lazyregexp.New(`(?:^|[^\pL\d])(?:(2|3|4|5|ii|iii|iv|v|two|three|four|zwei|drei|vier|deux|trois|quatre|due|tre|quattro|dos|tres|twee|drie) ?-?(?:manuals|manuale|claviers|klaviere|klavieren|manualen|tastiere|teclados|keyboards|manualig)|manuale? (i/ii|i-ii|i und ii|i, ii|i/ii/iii|i-iii))(?:$|[^\pL])`)

var manualsCount = map[string]int{"2": 2, "ii": 2, "two": 2, "zwei": 2, "deux": 2, "due": 2, "dos": 2, "twee": 2, "i/ii": 2, "i-ii": 2, "i und ii": 2, "i, ii": 2,
	"3": 3, "iii": 3, "three": 3, "drei": 3, "trois": 3, "tre": 3, "tres": 3, "drie": 3, "i/ii/iii": 3, "i-iii": 3,
	"4": 4, "iv": 4, "four": 4, "vier": 4, "quatre": 4, "quattro": 4, "5": 5, "v": 5}

// keyboardsSaid is the number of manuals that the list's short lines speak of; 0 where they say nothing. Prose may tell of a former organ.
func (l *List) keyboardsSaid() int {
	for _, line := range l.Lines {
		if len(strings.Fields(line.Text)) > 10 {
			continue
		}
		if m := manualsSaid.FindStringSubmatch(plain(line.Text)); m != nil {
			return manualsCount[m[1]+m[2]]
		}
	}
	return 0
}
