package stoplist

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// roleOrder is how keyboards lie, nearest first, where a list does not number them (common practice).
var roleOrder = map[string]int{"positive": 1, "choir": 1, "great": 2, "": 2, "swell": 3, "upper": 3, "breast": 4, "bombarde": 4, "solo": 5, "echo": 6, "pedal": 9}

// atTheBack is a division in the gallery rail, behind the player.
var atTheBack = lazyregexp.New(`ruck|rug|tergale|dos|espalda|brustung|exterior|chair`)

// finish orders the divisions, fills in compasses and reads what had to wait.
func (r *reader) finish() {
	l := r.list
	r.pedalIfPulled()
	r.onEither()
	var kept []Division
	for _, d := range l.Divisions {
		if len(d.Stops) > 0 || d.Pedal {
			kept = append(kept, d)
		}
	}
	numbered := 0
	for _, d := range kept {
		if !d.Pedal && d.Number > 0 {
			numbered++
		}
	}
	manuals := 0
	for _, d := range kept {
		if !d.Pedal {
			manuals++
		}
	}
	sort.SliceStable(kept, func(i, j int) bool {
		a, b := kept[i], kept[j]
		if a.Pedal != b.Pedal {
			return b.Pedal
		}
		if numbered == manuals {
			return a.Number < b.Number
		}
		if l.Language == "fr" {
			return a.order < b.order // French lists go by the number of the keyboard, the Grand Orgue or the Positif first
		}
		if great := max(a.order, b.order); a.Role == "positive" && b.Role == "great" || a.Role == "great" && b.Role == "positive" { // a Positiv that is printed behind the Hauptwerk, and does not stand at the player's back, lies above it
			pos := a
			if b.Role == "positive" {
				pos = b
			}
			if pos.order == great && !atTheBack.MatchString(plain(pos.Name)) {
				return a.Role == "great"
			}
		}
		return roleOrder[a.Role] < roleOrder[b.Role]
	})
	index := map[int]int{}
	for i := range kept {
		index[kept[i].order] = i
	}
	l.Divisions, r.current = kept, -1 // what is read again from here on stands under no heading
	if manuals > 1 && numbered < manuals {
		var names []string
		for _, i := range l.manuals() {
			names = append(names, l.Divisions[i].Name)
		}
		l.Assumed = append(l.Assumed, "order of the keyboards, nearest first: "+strings.Join(names, ", "))
	}
	r.sameNames()
	r.frenchSwell()
	l.partsInBoxes()
	r.englishHalves()
	for _, w := range r.waiting {
		reading := &l.Lines[w.line].Readings[w.reading]
		if reading.What == IsTremulant {
			reading.Text = r.setTremulant(w, index)
			continue
		}
		names, ask, ok := l.coupler(l.Lines[w.line].Number, w.text)
		if !ok {
			reading.What = IsUnread
			if isSentence(w.text+".", len(strings.Fields(w.text))) {
				reading.What, reading.Text = IsProse, "no part of the stop list"
			}
			if isExtra(plain(w.text)) {
				reading.What, reading.Text = IsExtra, "an accessory without pipes"
			}
			continue
		}
		reading.Text, reading.Ask = joinNames(names), ask
	}
	r.lendUnits()
	r.kindOfOrigin()
	r.nothingVanishes()
	l.giveWinds()
	r.fillCompass()
}

var pulledDown = lazyregexp.New(`(?i)sempre unit[aoi]|unit[ao] alla tastiera|unit[aoi] al manuale|unit[ao] stabilmente|stabilmente unit|siempre (?:unid|acoplad|enganchad)[oa]s?|permanentemente (?:unid|acoplad|enganchad)[oa]s?|(?:acoplad|enganchad)[oa]s? permanentemente|constantly coupled|angehängt|angehangt|angehangen|angehaengt|aangehangen|pull-?down|ständig wirkende pedalkoppel|tirasse permanente|accroch[ée]e?|fest gekoppelt|bihangspedal|anhangspedal|(?:vedhæn?gt|anhengt|vedhengt|tilhengt|påhængt|anhængt|bihängd|påhängd|bihängt) pedal|hengepedal|liitepedaali|pedal coupled permanently|costantemente`)

// pullDown is the coupler of a pedal that pulls the manual's keys down.
const pullDown = "pull-down pedals"

// pedalIfPulled adds a pedal without stops where the list says that the manual's keys are pulled down.
func (r *reader) pedalIfPulled() {
	for _, d := range r.list.Divisions {
		if d.Pedal {
			return
		}
	}
	for _, w := range r.waiting {
		if a, b, _, ok := pairOf(w.text); strings.HasPrefix(plain(w.text), "tirasse") || ok && (a.role == "pedal" || b.role == "pedal") {
			r.list.Divisions = append(r.list.Divisions, Division{Name: "Pedal", Role: "pedal", Pedal: true, order: len(r.list.Divisions)})
			return
		}
	}
	for i, line := range r.list.Lines {
		if pulledDown.MatchString(tidy(line.Text)) || wantsPedal(line.Text) {
			r.list.Divisions = append(r.list.Divisions, Division{Name: "Pedal", Role: "pedal", Pedal: true, order: len(r.list.Divisions)})
			waitingAlready := false
			for _, w := range r.waiting {
				waitingAlready = waitingAlready || w.line == i
			}
			if !waitingAlready {
				at := &r.list.Lines[i]
				at.Readings = append(at.Readings, Reading{What: IsCoupler})
				r.waiting = append(r.waiting, waiting{i, len(at.Readings) - 1, pullDown, -1})
			}
			return
		}
	}
}

func wantsPedal(text string) bool {
	low := plain(text)
	return containsAny(low, "pedalkoppel", "pedaalkoppel", "to pedal", "unione t.p", "tasto pedale", "tasto-pedale")
}

// bassHalf is the name of a stop that may be the bass half of another: "Trompet Bass", "Krummhorn B".
var bassHalf = lazyregexp.New(`^(.*?),? (?:ba(?:ss|ß)|b\.?)$`)

// englishHalves limits a "Stopped Diapason Bass" that stands beside a "Stopped Diapason Treble" or a "Clarabella Treble".
func (r *reader) englishHalves() {
	for i := range r.list.Divisions {
		stops := r.list.Divisions[i].Stops
		for a := range stops {
			bass := bassHalf.FindStringSubmatch(plain(stops[a].Name))
			if bass == nil || stops[a].HighKey > 0 || r.list.Divisions[i].Pedal {
				continue
			}
			for b := range stops {
				if a == b || stops[b].Feet != stops[a].Feet {
					continue
				}
				base := bass[1]
				switch name := strings.Trim(plain(stops[b].Name), "."); {
				case stops[b].LowKey == 48 && (name == base || base == "unison"): // the others begin at tenor C
					stops[a].HighKey = 47
				case stops[b].LowKey == 48 && stops[a].Kind.Name == "Stopped Diapason" && stops[b].Kind.Family == voicing.Flute: // the lowest octave of a Clarabella
					stops[a].HighKey = 47
				case stops[a].Feet == 16 && name == base+" treble" && r.list.Language == "en": // the double of a manual is cut at tenor C (common practice)
					was := r.list.stopText(i, &stops[b])
					stops[a].HighKey, stops[b].LowKey = 47, 48
					r.retell(&stops[b], was, r.list.stopText(i, &stops[b]))
				case strings.HasSuffix(name, " treble"), stops[b].LowKey == r.divide() && (strings.HasPrefix(name, base) || stops[a].Kind.Name == "Stopped Diapason" && stops[b].Kind.Family == voicing.Flute):
					was := r.list.stopText(i, &stops[a])
					stops[a].HighKey = r.divide() - 1
					r.retell(&stops[a], was, r.list.stopText(i, &stops[a]))
				}
			}
		}
	}
}

// retell gives the line of a stop another reading.
func (r *reader) retell(s *Stop, was, is string) {
	for i := range r.list.Lines {
		for k := range r.list.Lines[i].Readings {
			if x := &r.list.Lines[i].Readings[k]; r.list.Lines[i].Number == s.Line && x.Text == was {
				x.Text = is
			}
		}
	}
}

// frenchSwell puts a Récit into a box where the text speaks of one or the organ is younger than 1850 (common practice).
func (r *reader) frenchSwell() {
	l := r.list
	for i := range l.Divisions {
		d := &l.Divisions[i]
		if d.Role != "swell" || d.Enclosed {
			continue
		}
		said := l.Facts.Year >= 1850
		for _, line := range l.Lines {
			said = said || strings.Contains(plain(line.Text), "express")
		}
		if said {
			d.Enclosed = true
			l.Assumed = append(l.Assumed, d.Name+" stands in a swell box")
		}
	}
}

// sameNames tells divisions of one name apart.
func (r *reader) sameNames() {
	seen := map[string]int{}
	for i := range r.list.Divisions {
		d := &r.list.Divisions[i]
		key := strings.ToLower(d.Name)
		seen[key]++
		if seen[key] > 1 {
			d.Name = fmt.Sprintf("%s %d", d.Name, seen[key])
		}
	}
}

// betweenDivisions parts the divisions that a tremulant names.
var betweenDivisions = lazyregexp.New(`[\s,;:()&/+.\-]+|\bto\b|\band\b|\bet\b|\bund\b|\be\b|\ben\b|\bauf\b`)

// workedBy says how a tremulant is drawn: "by pedal".
var workedBy = lazyregexp.New(`(?i)\b(?:by|with|per|par|con|mit|door|durch|als) (?:\pL+ ){0,2}(?:pedal|pédale|pedale|pedaal|pistons?|tritt|fußtritt)\b`)

// wholeOrgan says that a tremulant works on all manuals.
var wholeOrgan = lazyregexp.New(`(?i)\b(?:general|whole|all|entire|ganz\pL*|gesamt\pL*|général|generale|gehele|hele|tout l|todo|hela|koko)\b`)

// withPedal says that it works on the pedal too.
var withPedal = lazyregexp.New(`(?i)(?:gesamt\pL*|ganz\pL*) ?(?:werk\pL*|orgel\pL*|instrument)`)

func (r *reader) setTremulant(w waiting, index map[int]int) string {
	l := r.list
	var set []string
	give := func(i int) {
		if slices.Contains(set, l.Divisions[i].Name) {
			return
		}
		l.Divisions[i].Tremulant = true
		set = append(set, l.Divisions[i].Name)
	}
	if wholeOrgan.MatchString(w.text) { // "gehele werk" is not the Werk
		for _, i := range l.manuals() {
			give(i)
		}
		if pedal := l.pedal(); pedal >= 0 && withPedal.MatchString(w.text) {
			give(pedal)
		}
	}
	words := betweenDivisions.Split(workedBy.ReplaceAllString(workedByFoot.ReplaceAllString(w.text, " "), " "), -1)
	numbered := slices.ContainsFunc(words, func(word string) bool { return refOf(word).number > 0 })
	for _, word := range words {
		if numbered && manualWords[plain(word)] { // "Tremolo II. Man."
			continue
		}
		if ref := refOf(word); ref.known() && len(word) > 0 {
			if i := l.resolve(ref); i >= 0 {
				give(i)
			}
		}
	}
	if len(set) == 0 && w.division >= 0 {
		if i, ok := index[w.division]; ok && !l.Divisions[i].Pedal && l.Divisions[i].LowKey <= 48 { // one behind an Écho of the treble is the whole organ's
			give(i)
		}
	}
	if len(set) == 0 {
		for i := range l.Divisions {
			if l.Divisions[i].Enclosed {
				give(i)
			}
		}
	}
	if len(set) == 0 {
		for _, i := range l.manuals() {
			give(i)
		}
	}
	return "tremulant of " + strings.Join(set, ", ")
}

// fillCompass gives each division its keys: its own, the whole organ's, another division's, or what is usual.
func (r *reader) fillCompass() {
	l := r.list
	low, high := l.Facts.ManualLow, l.Facts.ManualHigh
	for _, i := range l.manuals() {
		if d := &l.Divisions[i]; high == 0 && d.HighKey > 0 {
			low, high = d.LowKey, d.HighKey
		}
	}
	switch {
	case high > 0 || len(l.manuals()) == 0:
	case r.fullRank > 0:
		low, high = 36, 35+min(r.fullRank, 61)
		l.Assumed = append(l.Assumed, fmt.Sprintf("compass of the manuals not given: C2-%s, from the %d pipes of their ranks", voicing.KeyText(high), r.fullRank))
	default:
		low, high = 36, 91
		l.Assumed = append(l.Assumed, "compass of the manuals not given: C2-G6, 56 keys")
	}
	for i := range l.Divisions {
		d := &l.Divisions[i]
		switch {
		case d.HighKey > 0:
		case !d.Pedal:
			d.LowKey, d.HighKey = max(d.LowKey, low), high
		case l.Facts.PedalHigh > 0:
			d.LowKey, d.HighKey = l.Facts.PedalLow, l.Facts.PedalHigh
		case r.fullPedal > 0:
			d.LowKey, d.HighKey = 36, 35+r.fullPedal
			l.Assumed = append(l.Assumed, fmt.Sprintf("compass of the pedal not given: C2-%s, from the %d pipes of its ranks", voicing.KeyText(d.HighKey), r.fullPedal))
		case contrasAlone(d):
			d.LowKey, d.HighKey = 36, 47
			l.Assumed = append(l.Assumed, "compass of the pedal not given: C2-B2, 12 keys, as a pedal of Contras alone has")
		default:
			d.LowKey, d.HighKey = 36, 65
			l.Assumed = append(l.Assumed, "compass of the pedal not given: C2-F4, 30 keys")
		}
	}
}

// contras are the names of the stops of a pedal of an Iberian organ of the old kind, and nothing else's.
var contras = lazyregexp.New(`^(?:contras?(?:$|[^\pL])|bombard[ao]s$|timbal(?:es)?$|tambor(?:es)?$|peanas?$)`)

// contrasAlone tells a pedal of the old Iberian kind, of a few keys for held notes: 8 to 12 (common practice).
func contrasAlone(d *Division) bool {
	named := false
	for i := range d.Stops {
		name := plain(d.Stops[i].Name)
		if !contras.MatchString(name) {
			return false
		}
		named = named || strings.HasPrefix(name, "contra")
	}
	return named && len(d.Stops) < 5
}
