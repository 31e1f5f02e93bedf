package musicxml

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

func saying(words string) string {
	return `<direction><direction-type><words>` + words + `</words></direction-type></direction>`
}

// crotchetBars are bars of four crotchets; what is to stand before a crotchet is given by its
// bar and beat, "2.3", or by "2.5" for the end of a bar.
func crotchetBars(bars int, at map[string]string) []byte {
	var b strings.Builder
	for i := 1; i <= bars; i++ {
		inner := at[fmt.Sprintf("%d.0", i)]
		if i == 1 {
			inner = attributes(1, 4, 4, "") + `<sound tempo="100"/>`
		}
		for beat := 1; beat <= 4; beat++ {
			more := ""
			if beat == 4 && at[fmt.Sprintf("%d.f", i)] != "" {
				more = `<notations><fermata/></notations>`
			}
			inner += at[fmt.Sprintf("%d.%d", i, beat)] + noteXML("C4", 1, more)
		}
		b.WriteString(measureXML(fmt.Sprint(i), inner+at[fmt.Sprintf("%d.5", i)]))
	}
	return partXML(b.String())
}

// The mean speed over any stretch takes as long as the curve of Friberg & Sundberg (1999)
// does; the integral by Simpson's rule.
func TestRampTakesAsLongAsTheCurve(t *testing.T) {
	for _, w := range []float64{0.4, 0.7, 0.99999, 1, 1.3, 2} {
		t.Run(fmt.Sprint(w), func(t *testing.T) {
			for _, x := range [][2]float64{{0, 1}, {0, 0.1}, {0.5, 0.75}, {0.9, 1}} {
				t.Run(fmt.Sprint(x), func(t *testing.T) {
					const n = 1000
					sum, h := 0.0, (x[1]-x[0])/n
					for i := range n + 1 {
						k := 2.0 + 2*float64(i%2)
						if i == 0 || i == n {
							k = 1
						}
						v := math.Cbrt(1 + (w*w*w-1)*(x[0]+float64(i)*h))
						sum += k / v
					}
					require.InDelta(t, (x[1]-x[0])/(sum*h/3), rampSpeed(w, x[0], x[1]), 1e-6)
				})
			}
		})
	}
}

// onCurve is the mean speed over one half beat of the curve, "0.7@14/16" for the fifteenth of
// sixteen on the way to 0.7, by Simpson's rule.
func onCurve(t *testing.T, s string) float64 {
	base, rest, ok := strings.Cut(s, "*")
	if !ok {
		base, rest = "100", s
	}
	var b, w, k, n float64
	_, err := fmt.Sscan(base, &b)
	require.NoError(t, err)
	if !strings.Contains(rest, "@") {
		_, err = fmt.Sscan(rest, &w)
		require.NoError(t, err)
		return w
	}
	_, err = fmt.Sscanf(rest, "%f@%f/%f", &w, &k, &n)
	require.NoError(t, err)
	slowness := func(x float64) float64 { return 1 / math.Cbrt(1+(w*w*w-1)*x) }
	return b * 6 / (slowness(k/n) + 4*slowness((k+0.5)/n) + slowness((k+1)/n))
}

// Where the changes of speed begin and end: the speed, in percent of that of the piece, at
// the crotchets named by bar and beat. Values between are those of onCurve.
func TestGradualChanges(t *testing.T) {
	double := `<barline location="right"><bar-style>light-light</bar-style></barline>`
	dashes := func(kind string) string {
		return `<direction><direction-type><dashes type="` + kind + `" number="2"/></direction-type></direction>`
	}
	metronome := func(v string) string {
		return `<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>` + v + `</per-minute></metronome></direction-type></direction>`
	}
	for _, c := range []struct {
		name string
		at   map[string]string
		want string // bar.beat:per cent
	}{
		{"rit. to a tempo", map[string]string{"2.1": saying("rit."), "4.1": saying("a tempo")}, "1.4:100 2.1:0.7@0/16 3.4:0.7@14/16 4.1:100"},
		{"poco rit.", map[string]string{"2.1": saying("poco rit."), "4.1": saying("a tempo")}, "3.4:0.8367@14/16 4.1:100"},
		{"molto rall.", map[string]string{"2.1": saying("molto rall."), "4.1": saying("a tempo")}, "3.4:0.5857@14/16 4.1:100"},
		{"rit. to a double bar", map[string]string{"2.1": saying("ritardando"), "2.5": double}, "1.4:100 2.4:70 3.1:100"},
		{"rit. to the end", map[string]string{"8.3": saying("rit.")}, "8.2:100 10.3:0.7@16/18 10.4:70"},
		{"rit. to a fermata", map[string]string{"2.1": saying("rit."), "3.f": "x"}, "3.3:0.7@12/14 3.4:50 4.1:100"},
		{"rit. without an end: two bars", map[string]string{"1.1": saying("rit.")}, "2.4:70 3.1:100"},
		{"rit. to a slower mark goes there", map[string]string{"2.1": saying("rit."), "3.1": metronome("50")}, "2.4:0.5@6/8 3.1:50 4.1:50"},
		{"rit. to a faster mark", map[string]string{"2.1": saying("rit."), "3.1": metronome("120")}, "2.4:0.7@6/8 3.1:120"},
		{"rit. with its line", map[string]string{"2.1": saying("rit.") + dashes("start"), "2.3": dashes("stop")}, "2.2:0.7@2/4 2.3:100"},
		{"line of another word", map[string]string{"2.1": saying("rit."), "2.2": saying("cresc.") + dashes("start"), "2.3": dashes("stop"), "4.1": saying("a tempo")}, "2.3:0.7@4/16 3.4:0.7@14/16"},
		{"accel. to a mark", map[string]string{"2.1": saying("accel."), "4.1": metronome("160")}, "2.1:1.6@0/16 3.4:1.6@14/16 4.1:160"},
		{"accel. stays", map[string]string{"2.1": saying("accel.")}, "4.1:130 6.4:130"},
		{"accel., then a tempo", map[string]string{"2.1": saying("stringendo"), "4.1": saying("a tempo")}, "3.4:1.3@14/16 4.1:100"},
		{"rit., then molto rit.", map[string]string{"2.1": saying("rit."), "3.1": saying("molto rit."), "4.1": saying("a tempo")}, "3.1:70*0.5857@0/8 3.4:70*0.5857@6/8 4.1:100"},
		{"meno mosso, a tempo", map[string]string{"2.1": saying("meno mosso"), "3.1": saying("a tempo")}, "1.4:100 2.1:80 2.4:80 3.1:100"},
		{"meno mosso, rit., a tempo", map[string]string{"2.1": saying("Meno mosso"), "3.1": saying("rit."), "4.1": saying("a tempo")}, "2.4:80 3.4:80*0.7@6/8 4.1:80"},
		{"più mosso, Tempo I", map[string]string{"2.1": saying("Più mosso"), "3.1": metronome("60"), "4.1": saying("Tempo I")}, "2.1:125 3.1:60 4.1:100"},
		{"un peu plus vite", map[string]string{"2.1": saying("un peu plus vite")}, "2.1:111.80"},
		{"the mark beside the word rules", map[string]string{"2.1": saying("meno mosso") + metronome("90"), "3.1": saying("a tempo")}, "2.1:90 3.1:90"},
		{"Adagio within a piece, by the table", map[string]string{"2.1": saying("Adagio"), "3.1": metronome("90"), "4.1": saying("Adagio ma non troppo")}, "2.1:60 3.1:90 4.1:60"},
		{"the same word as before, its own mark", map[string]string{"2.1": saying("Adagio") + metronome("44"), "3.1": metronome("90"), "4.1": saying("Adagio")}, "2.1:44 3.1:90 4.1:44"},
		{"the file plays it itself", map[string]string{"2.1": saying("rit."), "2.3": `<sound tempo="90"/>`, "2.4": `<sound tempo="80"/>`, "3.1": saying("a tempo")}, "2.1:100 2.2:100 2.3:90 2.4:80 3.1:100"},
		{"the word has its own speed", map[string]string{"2.1": `<direction><direction-type><words>rit.</words></direction-type><sound tempo="75"/></direction>`, "3.1": saying("a tempo")}, "2.1:75 2.4:75 3.1:100"},
		{"the word has the speed that is", map[string]string{"2.1": `<direction><direction-type><words>rit.</words></direction-type><sound tempo="100"/></direction>`, "3.1": saying("a tempo")}, "2.1:0.7@0/8 3.1:100"},
		{"over both staves", map[string]string{"2.1": saying("rit.") + strings.Replace(saying("rit."), "</direction>", "<staff>2</staff></direction>", 1), "4.1": saying("a tempo")}, "2.1:0.7@0/16 3.4:0.7@14/16 4.1:100"},
		{"at once: ritenuto", map[string]string{"2.1": saying("ritenuto"), "3.1": saying("a tempo")}, "2.1:80 3.1:100"},
		{"words about other things", map[string]string{"1.1": saying("String 8"), "2.1": saying("Ritornello"), "3.1": saying("Sw. strings and flutes 8")}, "2.4:100 6.4:100"},
		{"German and French", map[string]string{"2.1": saying("zögernd"), "3.1": saying("im Zeitmaß"), "4.1": saying("Cédez"), "5.1": saying("au Mouvement")}, "2.4:0.7@6/8 3.1:100 4.4:0.7@6/8 5.1:100"},
		{"a tempo, poco meno mosso", map[string]string{"2.1": saying("rit."), "3.1": saying("a tempo, poco meno mosso")}, "3.1:89.44"},
	} {
		t.Run(c.name, func(t *testing.T) {
			data := crotchetBars(10, c.at)
			if strings.Contains(string(data), "<staff>2") {
				data = []byte(strings.Replace(string(data), "</time>", "</time><staves>2</staves>", 1))
			}
			s := mustRead(t, data)
			for _, f := range strings.Fields(c.want) {
				var bar, beat int
				place, want, _ := strings.Cut(f, ":")
				_, err := fmt.Sscanf(place, "%d.%d", &bar, &beat)
				require.NoError(t, err)
				at := score.Tick(4*(bar-1)+beat-1) * s.TicksPerCrotchet
				require.InDelta(t, onCurve(t, want), s.TempoAt(at), 0.1, "%s: %v\n%v", f, s.Tempos, remarks(s))
			}
			require.Equal(t, squeeze(string(data)), squeeze(written(t, s)), "what was not changed stays")
			require.Equal(t, len(s.Tempos), len(mustRead(t, data).Tempos))
			for _, factor := range []float64{0.5, 0.83} {
				t.Run(fmt.Sprint(factor), func(t *testing.T) { // marks are changed, words go with them
					slow := s.Scaled(factor)
					again := mustRead(t, []byte(written(t, slow)))
					requireSpeeds(t, slow, again)
					if strings.Contains(string(data), "Adagio") {
						return // the table knows one Adagio: a slower one needs its mark
					}
					require.Equal(t, strings.Count(string(data), "<sound tempo"), strings.Count(written(t, slow), "<sound tempo"), "no marks beside those of the file")
				})
			}
		})
	}
}

// requireSpeeds compares two scores at every semiquaver.
func requireSpeeds(t *testing.T, want, got *score.Score) {
	t.Helper()
	q := want.TicksPerCrotchet / 4
	for at := score.Tick(0); at < want.End; at += q {
		x := at * got.TicksPerCrotchet / want.TicksPerCrotchet
		require.InEpsilon(t, want.TempoAt(at), got.TempoAt(x), 1e-3, "%v of\n%v\n%v", want.Position(at), want.Tempos, got.Tempos)
	}
}

// A passage within the piece is slowed, as a remedy does it, wherever the words stand: what is
// written is read back at the same speeds.
func TestSlowedPassages(t *testing.T) {
	data := crotchetBars(8, map[string]string{"1.1": saying("Andante"), "2.3": saying("rit."), "4.1": saying("a tempo"), "5.1": saying("meno mosso"), "6.1": saying("accel."), "7.1": saying("Tempo I"), "8.1": saying("rall.")})
	base := mustRead(t, data)
	q := base.TicksPerCrotchet
	for from := score.Tick(0); from < 30; from += 3 {
		for _, length := range []score.Tick{1, 5, 12} {
			s := base.Clone()
			lo, hi := from*q, (from+length)*q
			var out []score.Tempo
			points := map[score.Tick]bool{lo: true, hi: true}
			for _, x := range s.Tempos {
				points[x.At] = true
			}
			for at := score.Tick(0); at < s.End; at++ {
				if !points[at] {
					continue
				}
				c := base.TempoAt(at)
				if at >= lo && at < hi {
					c *= 0.75
				}
				out = append(out, score.Tempo{At: at, Crotchets: c})
			}
			s.Tempos = out
			s.Index()
			requireSpeeds(t, s, mustRead(t, []byte(written(t, s))))
		}
	}
}

// The speed of the page comes back after a jump: da capo after a rit., the second volta after
// one in the first.
func TestSpeedsAfterJumps(t *testing.T) {
	s := mustRead(t, crotchetBars(3, map[string]string{"2.3": saying("rit."), "2.5": `<sound fine="yes"/>`, "3.5": `<sound dacapo="yes"/>`, "3.1": saying("Meno mosso")}))
	require.Equal(t, "1 2 3 1 2", order(s))
	q := s.TicksPerCrotchet
	for at, want := range map[score.Tick]float64{0: 100, 7: 70, 8: 80, 12: 100, 17: 100, 19: 70} {
		t.Run(fmt.Sprint(want), func(t *testing.T) {
			require.InDelta(t, want, s.TempoAt(at*q), 0.5, "crotchet %d %v", at, s.Tempos)
		})
	}
	s = mustRead(t, crotchetBars(3, map[string]string{"2.0": `<barline location="left"><ending number="1" type="start"/></barline>`, "2.2": saying("rit."), "2.5": `<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`,
		"3.0": `<barline location="left"><ending number="2" type="start"/></barline>`}))
	require.Equal(t, "1 2 1 3", order(s))
	for at, want := range map[score.Tick]float64{4: 100, 7: 70, 8: 100, 12: 100, 15: 100} {
		t.Run(fmt.Sprint(want), func(t *testing.T) {
			require.InDelta(t, want, s.TempoAt(at*q), 0.5, "crotchet %d", at)
		})
	}
}

func TestSpeedRemarks(t *testing.T) {
	s := mustRead(t, crotchetBars(6, map[string]string{"2.3": saying("molto rit."), "4.1": saying("a tempo"), "5.1": saying("meno mosso")}))
	require.Contains(t, remarks(s), `bar 2, beat 3: "molto rit." is played from bar 2, beat 3 to bar 4, beat 1, ending at 0.59 of the speed (an assumption: the page gives no figure)`)
	require.Contains(t, remarks(s), `bar 5, beat 1: "meno mosso" is played at 0.80 of the speed before (an assumption: the page gives no figure)`)
	s = mustRead(t, crotchetBars(6, map[string]string{"2.3": saying("rit.")}))
	require.Contains(t, remarks(s), `bar 2, beat 3: "rit." is played from bar 2, beat 3 to bar 3, beat 4, ending at 0.70 of the speed (an assumption: the page gives no figure); then the speed before, for nothing else is printed`)
}

// Words alone go only so far from the last figure, however often they stand.
func TestSpeedsAreBounded(t *testing.T) {
	for _, word := range []string{"rit.", "accel.", "più mosso", "meno mosso"} {
		t.Run(word, func(t *testing.T) {
			at := map[string]string{}
			for bar := 2; bar < 80; bar += 4 {
				at[fmt.Sprintf("%d.1", bar)] = saying(word)
			}
			s, err := Read(crotchetBars(80, at), "words.musicxml")
			require.NoError(t, err)
			for _, x := range s.Tempos {
				require.True(t, x.Crotchets >= 100/2.5-1e-6 && x.Crotchets <= 100*2.5+1e-6, "%s: %g crotchets a minute", word, x.Crotchets)
			}
		})
	}
}
