package stoplist

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// style is what wind, scale and action follow where the list gives a date (common practice in rough steps; our own figures).
type style struct {
	name         string
	windMM       float64
	pedalWindMM  float64
	reedWindMM   float64 // of the loudest reeds
	principalsDB float64 // brightness of the principals, dB an octave
	action       string
	delayMS      float64
}

func (l *List) style() (st style, said []string) {
	f := &l.Facts
	st = style{"", 75, 80, 0, 0, "tracker", 18}
	manuals := len(l.manuals())
	switch y := f.Year; {
	case y == 0:
		said = append(said, "no date found: an organ of today")
	case y < 1830:
		st = style{"before 1830", 70, 72, 0, 0.3, "tracker", 18}
	case y < 1890:
		st = style{"1830-1890", 80, 85, 0, 0, "tracker", 20}
	case y < 1945:
		st = style{"1890-1945", 90, 100, 0, -0.7, "electro-pneumatic", 75}
	case y < 1985:
		st = style{"1945-1985", 62, 68, 0, 0.7, "tracker", 15}
	default:
		st = style{"after 1985", 75, 80, 0, 0, "tracker", 16}
	}
	if st.name != "" {
		said = append(said, fmt.Sprintf("style of %s, from the year %d in the text", st.name, f.Year))
	}
	if l.Language == "en" && f.Year >= 1870 && f.Year < 1945 {
		st.reedWindMM = 170
	}
	if l.Language == "fr" && f.Year >= 1840 && f.Year < 1945 {
		st.windMM, st.pedalWindMM = 100, 105
	}
	switch {
	case f.Action != "":
		if f.Action != st.action {
			st.action = f.Action
			st.delayMS = map[string]float64{"tracker": 18, "electro-pneumatic": 75, "electric": 12}[f.Action]
		}
		switch f.ActionSaid { // delays within those of FORMAT.md; air in tubes is the slowest (common practice)
		case "tubular-pneumatic":
			st.delayMS = 100
			said = append(said, "tubular-pneumatic action: electro-pneumatic is the nearest, with the longer delay of tubes, 100 ms")
		case "Barker levers":
			said = append(said, "Barker levers: tracker action is the nearest")
		}
	default:
		octaves := 0
		for _, c := range l.Couplers {
			if c.Shift != 0 {
				octaves++
			}
		}
		if st.action == "tracker" && (manuals >= 4 && f.Year >= 1900 || (octaves >= 4 || l.hasTablets()) && (f.Year == 0 || f.Year >= 1890)) { // so many octave couplers, and tablets, are those of a console with a current (common practice)
			st.action, st.delayMS = "electro-pneumatic", 60
		}
		said = append(said, "action not given: "+st.action)
	}
	if f.WindMM > 0 {
		st.windMM, st.pedalWindMM = f.WindMM, f.WindMM
		if f.PedalWindMM > 0 {
			st.pedalWindMM = f.PedalWindMM
		}
	} else {
		var without []string
		for _, d := range l.Divisions {
			if d.WindMM == 0 {
				without = append(without, d.Name)
			}
		}
		if len(without) == len(l.Divisions) {
			said = append(said, fmt.Sprintf("wind not given: %g mm, pedal %g mm", st.windMM, st.pedalWindMM))
		} else if len(without) > 0 {
			said = append(said, fmt.Sprintf("wind of %s not given: %g mm, of a pedal %g mm", strings.Join(without, ", "), st.windMM, st.pedalWindMM))
		}
	}
	return st, said
}

// tablets are what a console with electric contacts has, or the organ of a cinema.
var tablets = lazyregexp.New(`(?:^|[^\pL])(?:(?:coupler|tilting|stop) ?tab(?:let)?s|stop ?keys|horse-?shoe|cinema organ|theatre organ|unit organ|second touch|registerwippen|kinoorgel|orgue de cinema|placchett[ae]|a bilico)(?:$|[^\pL])`)

func (l *List) hasTablets() bool {
	return slices.ContainsFunc(l.Lines, func(line Line) bool { return tablets.MatchString(plain(line.Text)) })
}

// Supposed is what the description takes of the whole organ where the list does not say it.
func (l *List) Supposed() []string {
	_, said := l.style()
	return append(slices.Clone(l.Assumed), said...)
}

// places are where the pipes of a role stand, m: right of the middle, in front of the organ's front, above the floor (as in
// the built-in organs).
var places = map[string][3]float64{"great": {0, -1.5, 6}, "": {0, -1.5, 5.5}, "swell": {2, -4, 7.5}, "choir": {-3, -1.5, 5}, "positive": {0, 0.5, 4}, "breast": {0, -1.2, 4}, "upper": {0, -2, 8}, "solo": {3, -5, 7}, "echo": {0, -6, 8.5}, "bombarde": {0, -3, 8}, "pedal": {-4, -3, 4.5}}

// roleDB is how much softer than the main manual a division is voiced.
var roleDB = map[string]float64{"swell": -1, "choir": -2, "positive": -1, "breast": -3, "echo": -6, "upper": -1}

const boxDB = "[-3, -4, -6, -9, -12, -15, -18, -21, -24]"

// Organ is the description of the organ as TOML, with a dynamic plan, and the organ itself.
func (l *List) Organ(name string) (source []byte, organ *voicing.Organ, err error) {
	if len(l.Divisions) == 0 {
		return nil, nil, ErrNoStops
	}
	trims := make([][]float64, len(l.Divisions))
	body := l.body(name, trims)
	organ, err = voicing.Parse([]byte(body), name+".toml")
	if err != nil {
		return nil, nil, err
	}
	plans := make([]planned, len(l.Divisions))
	for d := range plans {
		plans[d], trims[d] = l.chorus(organ, d)
	}
	body = l.body(name, trims)
	if organ, err = voicing.Parse([]byte(body), name+".toml"); err != nil {
		return nil, nil, err
	}
	addCouplers(l, organ, plans)
	plan := planText(organ, plans)
	organ, err = voicing.Parse([]byte(body+plan), name+".toml")
	if err != nil {
		return nil, nil, err
	}
	return []byte(body + plan), organ, nil
}

// body is the description without its plan; trims are what each stop is regulated by, dB.
func (l *List) body(name string, trims [][]float64) string {
	w := &writer{list: l, trims: trims}
	w.style, _ = l.style()
	w.head(name)
	for i := range l.Divisions {
		w.division(i)
	}
	for i := range l.Couplers {
		w.coupler(i)
	}
	return w.b.String()
}

// ErrNoStops is the error of a text in which no stop was found.
var ErrNoStops = fmt.Errorf("no stop was found in the text; a stop is a name and a length on a line, as in \"Principal 8'\"")

// writer writes a description.
type writer struct {
	list  *List
	b     strings.Builder
	style style
	trims [][]float64
}

func (w *writer) line(format string, args ...any) { fmt.Fprintf(&w.b, format+"\n", args...) }

func (w *writer) head(name string) {
	l := w.list
	title := l.Title
	if title == "" {
		title = name
	}
	w.line("# Made from a stop list. Each thing that the list does not say stands in a comment: change it where you know better.")
	w.line("# wind_mm is a number for reckoning: what stands on an organ's wind is set by its builder, and nobody else changes it.")
	w.line("# level_db is how much louder or softer than usual for its family a stop is voiced, dB. For an even crescendo each was regulated a little, at most %g dB.", mostTrim)
	for _, d := range l.Doubts() {
		w.line("# please check: %s", comment(d))
	}
	for _, a := range l.Supposed() {
		w.line("# assumed: %s", comment(a))
	}
	for _, u := range l.Unread() {
		for _, r := range u.Readings {
			w.line("# not understood, left out: line %d: %s", u.Number, comment(r.Text))
		}
	}
	w.line("name = %s", quote(name))
	w.line("title = %s", quote(title))
	f := &l.Facts
	if f.PitchHz > 0 {
		w.line("pitch_hz = %g", f.PitchHz)
	} else {
		w.line("pitch_hz = 440 # assumed: not given")
	}
	if f.Temperament != "" {
		w.line("temperament = %s", quote(f.Temperament))
	} else if f.TemperamentSaid != "" {
		w.line("temperament = \"equal\" # assumed: the list's own is not built in (%s)", comment(f.TemperamentSaid))
	} else {
		w.line("temperament = \"equal\" # assumed: not given")
	}
	w.line("pistons = %d", min(100, f.Pistons))
	w.line("seed = %d", seedOf(l))
}

// seedOf fixes the irregularities from the list's own text, so that two organs differ and the same list gives the same organ.
func seedOf(l *List) int {
	h := uint32(2166136261)
	for _, line := range l.Lines {
		for _, c := range []byte(line.Text) {
			h = (h ^ uint32(c)) * 16777619
		}
	}
	return int(h % 100000)
}

func (w *writer) division(i int) {
	d := &w.list.Divisions[i]
	wind := w.style.windMM
	if d.Pedal {
		wind = w.style.pedalWindMM
	}
	if d.WindMM > 0 {
		wind = d.WindMM
	}
	w.line("\n[[division]]\nname = %s", quote(d.Name))
	if d.Pedal != voicing.IsPedalName(d.Name) {
		w.line("pedal = %t", d.Pedal)
	}
	w.line("compass = [%q, %q]", voicing.KeyText(d.LowKey), voicing.KeyText(d.HighKey))
	w.line("action = %q\naction_delay_ms = %g\nwind_mm = %g", w.style.action, w.style.delayMS, wind)
	p := places[d.Role]
	w.line("place_m = [%g, %g, %g] # assumed: %s", p[0], p[1], p[2], "where such a division usually stands")
	if d.Enclosed || w.list.Facts.AllEnclosed && !d.Pedal {
		w.line("enclosed = true\nbox_closed_db = %s", boxDB)
	}
	if d.Tremulant {
		w.line("tremulant = { hz = 5.5, cents = 10, db = 1.3 }")
	}
	if len(d.Stops) == 0 {
		return
	}
	w.line("stops = [")
	names := map[string]bool{}
	for s := range d.Stops {
		if s == voicing.MaxStops {
			w.line("  # more stops than a division can have: the rest is left out")
			break
		}
		trim := 0.0
		if t := w.trims[i]; s < len(t) {
			trim = t[s]
		}
		w.stop(d, &d.Stops[s], wind, trim, names)
	}
	w.line("]")
}

// knob is the name of a stop as it is engraved.
func (s *Stop) knob() string {
	if s.Kind.Compound != "" {
		return s.Name + " " + romanText(s.Ranks)
	}
	return s.Name + " " + voicing.FeetText(s.Feet)
}

func (w *writer) stop(d *Division, s *Stop, wind, trim float64, names map[string]bool) {
	name := s.knob()
	for n := 2; names[strings.ToLower(name)]; n++ {
		name = fmt.Sprintf("%s (%d)", s.knob(), n)
	}
	names[strings.ToLower(name)] = true
	k := s.Kind
	construction := k.Construction
	if s.Stopped && k.Family != voicing.Reed {
		construction = voicing.Stopped
	}
	t := fmt.Sprintf("  { name = %s, family = %q", quote(name), k.Family)
	if construction != voicing.Open {
		t += fmt.Sprintf(", construction = %q", construction)
	}
	level := k.LevelDB + roleDB[d.Role] + trim
	t += fmt.Sprintf(", level_db = %g", math.Round(10*level)/10)
	bright := k.BrightnessDB
	if k.Family == voicing.Principal {
		bright += w.style.principalsDB
	}
	if bright != 0 {
		t += fmt.Sprintf(", brightness_db = %g", math.Round(10*bright)/10)
	}
	ask := append([]string{}, s.Assumed...)
	if k.Name == "Tuba" && w.style.reedWindMM > 0 {
		t += fmt.Sprintf(", wind_mm = %g", math.Max(wind, w.style.reedWindMM))
	}
	if k.Celeste {
		t += ", detune_cents = 8"
		ask = append(ask, "8 cents sharp")
	}
	low, high := w.reach(d, s, &ask)
	if low != d.LowKey || high != d.HighKey {
		t += fmt.Sprintf(", compass = [%q, %q]", voicing.KeyText(low), voicing.KeyText(high))
	}
	if math.Abs(trim) >= mostTrim {
		ask = append(ask, fmt.Sprintf("regulated by %+g dB for an even crescendo", trim))
	}
	if s.Borrowed {
		ask = append(ask, "borrowed in the list; here it has pipes of its own")
	}
	remark := fmt.Sprintf("line %d: %s", s.Line, comment(s.Text))
	if len(ask) > 0 {
		remark += "; assumed: " + comment(strings.Join(ask, "; "))
	}
	switch {
	case k.Compound != "" && s.Ranks > 1:
		var rows []string
		for _, r := range s.rows(low, high) {
			rows = append(rows, strconv.Quote(r))
		}
		w.line("%s, mixture = [%s] }, # %s", t, strings.Join(rows, ", "), remark)
	default:
		feet := strconv.Quote(voicing.FeetText(s.Feet))
		if s.Feet == math.Trunc(s.Feet) {
			feet = fmt.Sprintf("%g", s.Feet)
		}
		if ranks := s.resultant(); ranks != nil {
			feet += fmt.Sprintf(", mixture = [%q]", row(low, ranks, 0))
		}
		w.line("%s, feet = %s }, # %s", t, feet, remark)
	}
}

// reach is the compass of a stop.
func (w *writer) reach(d *Division, s *Stop, ask *[]string) (low, high int) {
	low, high = d.LowKey, d.HighKey
	if s.LowKey > low && s.LowKey < high {
		low = s.LowKey
	}
	if s.HighKey > low && s.HighKey < high {
		high = s.HighKey
	}
	if s.LowKey == 0 && s.HighKey == 0 && !d.Pedal {
		switch {
		case s.Kind.Celeste && s.Feet >= 8 && d.LowKey < 48:
			low = 48
			*ask = append(*ask, "from C3, as most are")
		case s.Kind.Treble && s.Ranks >= 5 && !s.grows() && d.LowKey < 60 && d.HighKey > 60:
			low = 60
			*ask = append(*ask, "from C4, as most are")
		}
	}
	return low, high
}

func (w *writer) coupler(i int) {
	if i >= voicing.MaxCouplers {
		return
	}
	c := &w.list.Couplers[i]
	remark := fmt.Sprintf("line %d: %s", c.Line, comment(c.Text))
	if c.Assumed != "" {
		remark += "; assumed: " + comment(c.Assumed)
	}
	w.line("\n[[coupler]]\nname = %s # %s", quote(w.list.couplerName(*c)), remark)
	w.line("keys_of = %s\nsounds = %s", quote(w.list.Divisions[c.Keys].Name), quote(w.list.Divisions[c.Sounds].Name))
	switch c.Shift {
	case 12:
		w.line("shift = \"octave\"")
	case -12:
		w.line("shift = \"sub-octave\"")
	}
	if c.Fixed {
		w.line("fixed = true")
	}
}

// quote is s as a TOML string.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "") {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	out := b.String()
	if len(out) > 190 {
		return quote(strings.ToValidUTF8(s[:min(len(s), 120)], ""))
	}
	return out
}

// comment is s fit for the end of a line.
func comment(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToValidUTF8(s, ""), func(r rune) bool { return r < 0x20 || r == 0x7f || r == ' ' }), " ")
}

func romanText(n int) string {
	out := ""
	for _, d := range []struct {
		v int
		s string
	}{{10, "X"}, {9, "IX"}, {5, "V"}, {4, "IV"}, {1, "I"}} {
		for ; n >= d.v; n -= d.v {
			out += d.s
		}
	}
	return out
}
