package stoplist

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/voicing"
)

// The table of names is complete: every kind can be built, has usual lengths and names in English and German at least somewhere.
func TestNamesAreComplete(t *testing.T) {
	require.Greater(t, len(table().kinds), 40)
	langs := map[string]int{}
	for _, k := range table().kinds {
		t.Run(k.Name, func(t *testing.T) {
			_, ok := k.Family.UsualDB(k.Construction)
			require.True(t, ok, "%s %s is built", k.Construction, k.Family)
			require.NotEmpty(t, k.Feet)
			for _, f := range k.Feet {
				require.True(t, usualLength(f), "%g ft", f)
			}
			require.LessOrEqual(t, math.Abs(k.LevelDB), 15.0)
			require.NotEmpty(t, k.Names)
			for lang, names := range k.Names {
				require.Contains(t, []string{"en", "de", "fr", "it", "es", "nl", "pl", "cs", "sv", "fi"}, lang)
				langs[lang] += len(names)
				for _, n := range names {
					require.Equal(t, strings.TrimSpace(n), n)
					require.NotEmpty(t, fold(n), n)
				}
			}
		})
	}
	for lang, n := range langs {
		require.Greater(t, n, 30, lang)
	}
}

// Families of well-known names in seven languages (common practice; the handbooks named in names.txt).
func TestWellKnownNames(t *testing.T) {
	for _, c := range []struct {
		name  string
		a     asked
		want  voicing.Family
		built voicing.Construction
	}{
		{"Open Diapason", asked{feet: 8}, voicing.Principal, voicing.Open},
		{"Prinzipal", asked{feet: 8, lang: "de"}, voicing.Principal, voicing.Open},
		{"Montre", asked{feet: 8, lang: "fr"}, voicing.Principal, voicing.Open},
		{"Flautado", asked{feet: 13, lang: "es"}, voicing.Principal, voicing.Open},
		{"Bordão", asked{feet: 8, lang: "es"}, voicing.Flute, voicing.Stopped},
		{"Oitava real", asked{feet: 4, lang: "es"}, voicing.Principal, voicing.Open},
		{"Bordó de xemeneia", asked{feet: 8, lang: "es"}, voicing.Flute, voicing.Stopped},
		{"Trombeta real", asked{feet: 8, lang: "es"}, voicing.Reed, voicing.Open},
		{"Dolçaina", asked{feet: 8, lang: "es"}, voicing.Reed, voicing.HalfLength},
		{"Quarte de nasard", asked{feet: 2, lang: "fr"}, voicing.Flute, voicing.Open},
		{"Voix angélique", asked{feet: 8, lang: "fr"}, voicing.String, voicing.Open},
		{"Violón", asked{feet: 8, lang: "es"}, voicing.Flute, voicing.Stopped},
		{"Violon", asked{feet: 16, lang: "de"}, voicing.String, voicing.Open},
		{"Holpijp", asked{feet: 8, lang: "nl"}, voicing.Flute, voicing.Stopped},
		{"Rohrflöte", asked{feet: 8}, voicing.Flute, voicing.Stopped},
		{"Floete", asked{feet: 4}, voicing.Flute, voicing.Open},
		{"Voix céleste", asked{feet: 8}, voicing.String, voicing.Open},
		{"Voce umana", asked{feet: 8, lang: "it"}, voicing.String, voicing.Open},
		{"Vox humana", asked{feet: 8, lang: "de"}, voicing.Reed, voicing.HalfLength},
		{"Krummhorn", asked{feet: 8}, voicing.Reed, voicing.HalfLength},
		{"Bazuin", asked{feet: 16, pedal: true}, voicing.Reed, voicing.Open},
		{"Cornett", asked{feet: 2, pedal: true, lang: "de"}, voicing.Reed, voicing.HalfLength},
		{"Quintadena", asked{feet: 16}, voicing.Principal, voicing.Stopped},
		{"Rörflöjt", asked{feet: 8, lang: "sv"}, voicing.Flute, voicing.Stopped},
		{"Spidsfløjte", asked{feet: 4, lang: "sv"}, voicing.Flute, voicing.Open},
		{"Basun", asked{feet: 16, pedal: true, lang: "sv"}, voicing.Reed, voicing.Open},
	} {
		t.Run(c.name, func(t *testing.T) {
			k, how, _ := table().lookUp(c.name, c.a)
			require.NotNil(t, k)
			require.Equal(t, exactly, how)
			require.Equal(t, c.want, k.Family)
			require.Equal(t, c.built, k.Construction)
		})
	}
}

// Lengths as they are printed.
func TestLengths(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{
		{"8'", 8}, {"8 ft", 8}, {"8 Fuß", 8}, {"8 pieds", 8}, {"8 vt.", 8}, {"2 2/3'", 8.0 / 3}, {"2⅔", 8.0 / 3}, {"2 ⅔'", 8.0 / 3}, {"22/3", 8.0 / 3}, {"2-2/3'", 8.0 / 3},
		{"1 3/5", 1.6}, {"13/5'", 1.6}, {"10 2/3´", 32.0 / 3}, {"1⅗′", 1.6}, {"½'", 0.5}, {"16’", 16},
	} {
		t.Run(c.text, func(t *testing.T) {
			s := spans(tidy("Flöte " + c.text))
			require.Len(t, s, 1)
			require.InDelta(t, c.want, s[0].feet, 1e-6)
		})
	}
	for text, want := range map[string][2]int{"Mixtur 4-5f. 1 1/3": {4, 5}, "Mixture III-IV": {3, 4}, "Mixtuur 3 sterk": {3, 3}, "Plein Jeu 5 rangs": {5, 5}, "Ripieno 4 file": {4, 4}, "Cornet V": {5, 5}, "Scharff 4-6fach": {4, 6}} {
		t.Run(text, func(t *testing.T) {
			s := spans(tidy(text))
			require.NotEmpty(t, s)
			require.Equal(t, want, [2]int{s[0].least, s[0].ranks})
		})
	}
}

// Keys: c' is middle C, MIDI 60 (Helmholtz); do1 of Italian lists the lowest C of the keyboard.
func TestCompasses(t *testing.T) {
	for _, c := range []struct {
		text  string
		pedal bool
		high  int
	}{
		{"C-g3", false, 91}, {"C–g'''", false, 91}, {"C - f '", true, 65}, {"C-d1", true, 62}, {"Do1-La5", false, 93}, {"Do1-Re3", true, 62}, {"61 notes", false, 96}, {"30 notes", true, 65}, {"CDEFGA-c3", false, 84}, {"C-c4", false, 96}, {"C2-C7", false, 96},
	} {
		t.Run(c.text, func(t *testing.T) {
			low, high, _, _, ok := findCompass(tidy(c.text), c.pedal)
			require.True(t, ok)
			require.Equal(t, 36, low)
			require.Equal(t, c.high, high)
		})
	}
}

// What is not understood is listed and not guessed.
func TestUnknownWordsAreListed(t *testing.T) {
	l := Read("Great\nOpen Diapason 8\nXylindrum 8\nPrincipal 4\n")
	require.Len(t, l.Divisions, 1)
	require.Len(t, l.Divisions[0].Stops, 2)
	unread := l.Unread()
	require.Len(t, unread, 1)
	require.Equal(t, 3, unread[0].Number)
	source, _, err := l.Organ("x")
	require.NoError(t, err)
	require.Contains(t, string(source), "# not understood, left out: line 3: Xylindrum 8")
	_, _, err = Read("nothing of the kind").Organ("x")
	require.ErrorIs(t, err, ErrNoStops)
}

func TestWhatLeavesMostOutIsNoShortName(t *testing.T) {
	unread := Read("Great\nBrzzl 8\nBdn 16\n").Unread()
	require.Len(t, unread, 1)
	require.Equal(t, 2, unread[0].Number)
}

// Two names with nothing between them are two knobs, and a word for and makes them one; what two words are a name of stays one stop (common practice).
func TestNamesSideBySide(t *testing.T) {
	for _, c := range []struct {
		line string
		want []float64 // ft
	}{
		{"Docena Quincena", []float64{2 + 2.0/3, 2}},
		{"Docena y quincena", []float64{2 + 2.0/3}},
		{"Quincena Decinovena", []float64{2, 1 + 1.0/3}},
		{"Clarín Trompeta real", []float64{8, 8}},
		{"Flauta travesera", []float64{8}},
		{"Nasardo 17ª", []float64{1.6}},
	} {
		l := Read("Órgano Mayor\nFlautado de 13\nViolón\nOctava\nLleno III\nCadereta\nTapadillo 4'\n" + c.line + "\n")
		var got []float64
		for _, s := range l.Divisions[1].Stops[1:] {
			got = append(got, s.Feet)
			if len(c.want) > 1 {
				require.Contains(t, strings.Join(s.Assumed, "; "), "taken as 2 stops")
			}
		}
		require.Equal(t, c.want, got, c.line)
	}
	require.Nil(t, namesSideBySide("Rohrflöte Quinte"))
}

// An acoustic 32 ft has no pipes of that length: a 16 ft and its fifth, 10 2/3 ft, whose difference is heard as 32 ft (common practice).
func TestAcousticStopsAreAnOctaveAndAFifth(t *testing.T) {
	for _, name := range []string{"Acoustic Bass 32", "Resultant 32", "Soubasse 32 (acoustique)", "Untersatz 32' (akustisch)", "Bourdon 32"} {
		source, o, err := Read("Great\nOpen Diapason 8\nOctave 4\nPedal\nSubbass 16\n" + name + "\n").Organ("trial")
		require.NoError(t, err)
		s := &o.Divisions[1].Stops[1]
		require.Equal(t, 32.0, s.Feet, name)
		require.False(t, s.Mixture(), name)
		if name == "Bourdon 32" {
			require.Len(t, s.Ranks, 1)
			continue
		}
		require.Len(t, s.Ranks, 2, name)
		require.InDelta(t, 16, s.Ranks[0].Breaks[0].Feet, 1e-6, name)
		require.InDelta(t, 10+2.0/3, s.Ranks[1].Breaks[0].Feet, 1e-6, name)
		require.Contains(t, string(source), "acoustic: sounds as 16 and 10 2/3 ft together", name)
	}
}

// A letter that was left out is likelier than one that was mistaken for another.
func TestNearestSpelling(t *testing.T) {
	s := spellingsOf([]string{"trummet", "trumpet", "trompet"})
	for word, want := range map[string]string{"trumpt": "trumpet", "trummett": "trummet", "xylophon": ""} {
		if got := s.nearest(word, 5); got != want {
			t.Errorf("%s: %q, want %q", word, got, want)
		}
	}
}
