package musicxml

import (
	"math"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// speedKind is what a mark or a word does to the speed.
type speedKind int

const (
	markKind    speedKind = iota // a metronome mark or <sound tempo>
	ratioKind                    // crotchet = quaver
	tableKind                    // "Andante"
	suddenKind                   // "meno mosso"
	backKind                     // "a tempo"
	firstKind                    // "Tempo I"
	gradualKind                  // "rit."
)

// SpeedWord is a row of the table [SpeedWords].
type SpeedWord struct {
	Words  []string // lower case, without accents and full stops
	Factor float64  // to the speed before; 1 for the way back
	Kind   string   // "gradual", "sudden", "back" or "first"
	Reason string
}

// SpeedWords is what words do to the speed where the file gives no figure. That they mean
// slower or faster, at once or little by little, is common practice; how much is an
// assumption of ours, between what is plainly heard and what would need a word of its own,
// and a Remark says so at each place. "poco" halves the change and "molto" makes it half as
// much again (as exponents of the factor).
var SpeedWords = []SpeedWord{
	{[]string{"tempo i", "tempo 1", "tempo primo", "tempo 1o", "tempo imo", "tempo 1mo", "primo tempo", "i tempo", "1 tempo", "tempo iniziale",
		"premier mouvement", "1er mouvement", "1er mouvt", "1er mvt", "erstes tempo", "erstes zeitmass", "first tempo", "original tempo"}, 1, "first", "the speed of the beginning"},
	{[]string{"a tempo", "in tempo", "al tempo", "a battuta", "au mouvement", "au mouvt", "mouvt", "im tempo", "im zeitmass", "tempo giusto"}, 1, "back", "the speed before the change"},
	{[]string{"rit", "ritard", "ritardando", "rall", "rallent", "rallentando", "slent", "slentando", "lentando", "ritardez", "ralentir", "ralentissez", "ralentissant", "cedez", "cedant", "cedez un peu",
		"langsamer werden", "langsamer werdend", "verlangsamen", "zogernd", "zuruckhalten", "zuruckhaltend", "slow down", "slowing", "slowing down", "getting slower"}, 0.7, "gradual", "little by little slower"},
	{[]string{"allarg", "allargando", "slarg", "slargando", "elargir", "elargissez", "elargissant", "en elargissant", "breiter werden", "breiter werdend", "verbreitern", "broaden", "broadening"}, 0.65, "gradual", "broader: a little more than rit."},
	{[]string{"calando", "morendo", "mancando", "smorzando", "smorz"}, 0.8, "gradual", "mostly softer, and somewhat slower with it"},
	{[]string{"accel", "accelerando", "stringendo", "string", "affrett", "affrettando", "incalzando", "animando", "pressez", "en pressant", "serrez", "en serrant", "animez", "en animant", "accelerez",
		"eilend", "drangend", "beschleunigen", "beschleunigend", "schneller werden", "schneller werdend", "speed up", "speeding up", "getting faster"}, 1.3, "gradual", "little by little faster"},
	{[]string{"doppio movimento"}, 2, "sudden", "twice the speed"},
	{[]string{"doppio piu lento"}, 0.5, "sudden", "half the speed"},
	{[]string{"meno mosso", "poco meno", "meno allegro", "meno vivo", "meno presto", "piu lento", "piu largo", "piu adagio", "piu tranquillo", "piu sostenuto", "ritenuto", "riten", "retenu", "retenez",
		"moins vite", "plus lent", "plus lentement", "plus large", "langsamer", "breiter", "ruhiger", "nicht so schnell", "slower", "a little slower"}, 0.8, "sudden", "slower from here on; ritenuto is at once, ritardando little by little"},
	{[]string{"piu mosso", "poco piu", "piu allegro", "piu vivo", "piu vivace", "piu presto", "piu animato", "meno lento", "meno adagio", "plus vite", "plus anime", "plus vif", "moins lent",
		"schneller", "bewegter", "belebter", "lebhafter", "faster", "a little faster"}, 1.25, "sudden", "faster from here on: the reverse of meno mosso"},
}

var speedKinds = map[string]speedKind{"gradual": gradualKind, "sudden": suddenKind, "back": backKind, "first": firstKind}

// tempoWords are speeds in crotchets a minute where nothing else is said (common
// practice; editions differ by a quarter either way).
var tempoWords = []struct {
	word      string
	crotchets float64
}{
	{"larghetto", 63}, {"largo", 50}, {"lento", 54}, {"grave", 46}, {"adagio", 60}, {"andantino", 88}, {"andante", 80},
	{"moderato", 100}, {"allegretto", 108}, {"allegro", 126}, {"vivace", 144}, {"vivo", 144}, {"presto", 168},
	{"lent", 54}, {"modere", 96}, {"vif", 144}, {"langsam", 56}, {"massig", 92}, {"lebhaft", 132}, {"schnell", 144},
}

var notWord = lazyregexp.New(`[^a-z0-9]+`)

var unaccented = strings.NewReplacer("à", "a", "á", "a", "â", "a", "ä", "a", "è", "e", "é", "e", "ê", "e", "ì", "i", "í", "i", "î", "i",
	"ò", "o", "ó", "o", "ö", "o", "ô", "o", "ù", "u", "ú", "u", "ü", "u", "û", "u", "ß", "ss", "º", "o", "°", "o")

// plainWords is a text in lower case, its words parted by one space, with one at each end.
func plainWords(s string) string {
	return " " + strings.TrimSpace(notWord.ReplaceAllString(unaccented.Replace(strings.ToLower(s)), " ")) + " "
}

// SaysSpeed reports whether words are about the speed: "Andante", "poco rit."
func SaysSpeed(words string) bool {
	_, _, _, _, ok := speedWord(words)
	return ok
}

// mostSpeedWords bounds the words of a direction that may be one about the speed.
const mostSpeedWords = 10

// speedWord finds what a direction says about the speed; ok is false where it says nothing.
// crotchets is the speed that a tempo word stands for.
func speedWord(words string) (kind speedKind, factor float64, table string, crotchets float64, ok bool) {
	plain := plainWords(words)
	if n := len(strings.Fields(plain)); n == 0 || n > mostSpeedWords {
		return 0, 0, "", 0, false
	}
	has := func(list ...string) bool {
		for _, w := range list {
			if strings.Contains(plain, " "+w+" ") {
				return true
			}
		}
		return false
	}
	degree := 1.0
	switch {
	case has("poco a poco", "peu a peu", "nach und nach", "little by little"):
	case has("poco", "un peu", "etwas", "slightly", "a little"):
		degree = 0.5
	case has("molto", "assai", "tres", "viel", "sehr", "much", "beaucoup"):
		degree = 1.5
	}
	back := false
	for _, row := range SpeedWords {
		for _, w := range row.Words {
			// "String 8" is a stop: the abbreviation has its full stop or stands with words of its kind.
			if !has(w) || w == "string" && !strings.Contains(strings.ToLower(words), "string.") {
				continue
			}
			switch k := speedKinds[row.Kind]; k {
			case firstKind:
				return k, 1, "", 0, true
			case backKind:
				back = true // "a tempo, ma meno mosso"
			default:
				if back && k == gradualKind {
					continue // "a tempo, poi rit." begins with the way back
				}
				return k, math.Pow(row.Factor, degree), "", 0, true
			}
			break
		}
	}
	if back || plain == " tempo " {
		return backKind, 1, "", 0, true
	}
	for _, t := range tempoWords {
		if strings.HasPrefix(plain, " "+t.word) {
			return tableKind, 1, t.word, t.crotchets, true
		}
	}
	return 0, 0, "", 0, false
}
