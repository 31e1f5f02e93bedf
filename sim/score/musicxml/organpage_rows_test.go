package musicxml

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Organ music as composers lay it out, and what an organist plays (common practice): each row a score of a bar or two.
func TestOrganPages(t *testing.T) {
	one := func(staves int, bars ...string) []byte {
		list, body := organPart("P1", "Organ", staves, "4/4", bars...)
		return organScore([2]string{list, body})
	}
	two := func(manuals, pedal string) []byte {
		a, b := organPart("P1", "Organ", 2, "4/4", manuals)
		c, d := organPart("P2", "Pedal", 1, "4/4", pedal)
		return organScore([2]string{a, b}, [2]string{c, d})
	}
	three := func(names [3]string, bars ...string) []byte {
		var parts [][2]string
		for i, n := range names {
			list, body := organPart("P"+string(rune('1'+i)), n, 1, "4/4", bars[i])
			parts = append(parts, [2]string{list, body})
		}
		return organScore(parts...)
	}
	words := func(s string) string { return "<words>" + s + "</words>|" }
	boxed := func(s string) string { return `<words enclosure="rectangle">` + s + "</words>|" }
	rh, lh, ped := notes(1, 1, "E5:8"), notes(2, 5, "C4:8"), notes(3, 9, "C2:8")
	metronome := func(inner string) string { return "<metronome>" + inner + "</metronome>|" }
	wedge := func(kind, more string) string { return `<wedge type="` + kind + `" ` + more + `/>|` }
	for _, c := range []struct {
		name string
		data []byte
		keys string
		say  string // marks and speeds, where they are the point
	}{
		{"three staves in one part", one(3, rh+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", ""},
		{"two staves and a pedal part", two(rh+lh, notes(1, 1, "C2:8")), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", ""},
		{"three parts by name", three([3]string{"Great", "Swell", "Pedal"}, notes(1, 1, "E5:8"), notes(1, 1, "C4:8"), notes(1, 1, "C2:8")), "Gr E5@0:4; Sw C4@0:4; Pe C2@0:4", ""},
		{"three parts in German", three([3]string{"HW", "OW", "Ped."}, notes(1, 1, "E5:8"), notes(1, 1, "C4:8"), notes(1, 1, "C2:8")), "Gr E5@0:4; Ch C4@0:4; Pe C2@0:4", ""},
		{"three parts in French", three([3]string{"G.O.", "Réc.", "Péd."}, notes(1, 1, "E5:8"), notes(1, 1, "C4:8"), notes(1, 1, "C2:8")), "Gr E5@0:4; Sw C4@0:4; Pe C2@0:4", ""},
		{"a manual by its number", one(3, notes(1, 1, words("II")+" E5:4 "+words("I")+" F5:4")+lh+ped), "Gr E5@0:2; Gr C4@0:4; Pe C2@0:4; Ch F5@2:2", ""},
		{"a manual in a box", one(3, notes(1, 1, boxed("Sw.")+" E5:4 "+boxed("Gt.")+" F5:4")+lh+ped), "Sw E5@0:2; Gr C4@0:4; Pe C2@0:4; Gr F5@2:2", ""},
		{"a manual in a rehearsal box", one(3, notes(1, 1, "<rehearsal>II</rehearsal>| E5:4 <rehearsal>Sw.</rehearsal>| F5:4")+lh+ped), "Gr E5@0:2; Gr C4@0:4; Pe C2@0:4; Sw F5@2:2", ""},
		{"a rehearsal letter is no manual", one(3, notes(1, 1, "<rehearsal>P</rehearsal>| E5:4 <rehearsal>R</rehearsal>| F5:4")+lh+ped), "Gr E5@0:2; Gr C4@0:4; Pe C2@0:4; Gr F5@2:2", ""},
		{"a manual in brackets", one(3, notes(1, 1, words("[Sw.]")+" E5:4 "+words("(G.O.)")+" F5:4")+lh+ped), "Sw E5@0:2; Gr C4@0:4; Pe C2@0:4; Gr F5@2:2", ""},
		{"manuals in French", one(3, notes(1, 1, words("Réc.")+" E5:2 "+words("Pos.")+" F5:2 "+words("G.O.")+" G5:4")+lh+ped), "Sw E5@0:1; Gr C4@0:4; Pe C2@0:4; Ch F5@1:1; Gr G5@2:2", ""},
		{"manuals in German", one(3, notes(1, 1, words("HW")+" E5:2 "+words("OW")+" F5:2 "+words("BW")+" G5:4")+lh+ped), "Gr E5@0:1; Gr C4@0:4; Pe C2@0:4; Ch F5@1:1; Ch G5@2:2", ""},
		{"each hand its own", one(3, notes(1, 1, words("Sw.")+" E5:8")+notes(2, 5, words("Ch.")+" C4:8")+ped), "Sw E5@0:4; Ch C4@0:4; Pe C2@0:4", ""},
		{"stops as staff text leave the hand where it is", one(3, notes(1, 1, words("Gt. 8, 4")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", ""},
		{"cue notes are not played", one(3, notes(1, 1, "E5:4 G5:4{<cue/>}")+lh+ped), "Gr E5@0:2; Gr C4@0:4; Pe C2@0:4", ""},
		{"small notes are", one(3, notes(1, 1, `E5:4 G5:4{<type size="cue">half</type>}`)+lh+ped), "Gr E5@0:2; Gr C4@0:4; Pe C2@0:4; Gr G5@2:2", ""},
		{"an ossia staff is not", one(3, `<attributes><staff-details number="1"><staff-type>ossia</staff-type></staff-details></attributes>`+rh+lh+ped), "Gr C4@0:4; Pe C2@0:4", ""},
		{"the left hand takes notes of the upper staff", one(3, notes(1, 1, "E5:8")+notes(2, 5, "C4:2 G4:2/1 C4:2 G4:2/1")+ped), "Gr E5@0:4; Gr C4@0:1; Pe C2@0:4; Gr G4@1:1; Gr C4@2:1; Gr G4@3:1", ""},
		{"a key goes from hand to hand", one(3, notes(1, 1, `E5:4{<tie type="start"/>} r:4`)+notes(2, 5, `r:4 E5:4{<tie type="stop"/>}`)+ped), "Gr E5@0:4; Pe C2@0:4", ""},
		{"a key in two voices of one hand", one(3, notes(1, 1, "E5:8")+notes(1, 2, "E5:8")+lh+ped), "Gr E5@0:4; Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", ""},
		{"8va over one voice: the pitch is what sounds", one(3, `<direction><direction-type><octave-shift type="down" size="8"/></direction-type><voice>1</voice><staff>1</staff></direction>`+notes(1, 1, "E6:8")+notes(1, 2, "C5:8")+lh+ped), "Gr C5@0:4; Gr E6@0:4; Gr C4@0:4; Pe C2@0:4", ""},
		{"a bass under the hands with Ped.", one(2, notes(1, 1, "E5+G5:8")+notes(2, 5, "E4:8")+notes(2, 6, words("Ped.")+" C2:8")), "Gr E5@0:4; Gr G5@0:4; Pe C2@0:4; Gr E4@0:4", ""},
		{"a pedal point over bars", one(3, rh+lh+notes(3, 9, `C2:8{<tie type="start"/>}`), notes(1, 1, "F5:8")+notes(2, 5, "D4:8")+notes(3, 9, `C2:8{<tie type="stop"/>}`)), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:8; Gr F5@4:4; Gr D4@4:4", ""},
		{"lyrics of two verses and figured bass", one(3, notes(1, 1, `E5:8{<lyric number="1"><text>f</text></lyric><lyric number="2"><text>p</text></lyric>}`)+"<figured-bass><figure><figure-number>6</figure-number></figure></figured-bass>"+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", ""},
		{"staccato pedal", one(3, rh+lh+notes(3, 9, "C2:2{<notations><articulations><staccato/></articulations></notations>} r:6")), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:0.5", ""},
		{"a turned chord", one(3, notes(1, 1, "C5+E5+G5:8{<notations><arpeggiate/></notations>}")+lh+ped), "Gr C5@0:4; Gr C4@0:4; Pe C2@0:4; Gr E5@0.125:3.875; Gr G5@0.25:3.75", ""},
		{"a mark between the staves is for both hands", one(3, `<direction placement="below"><direction-type><dynamics><p/></dynamics></direction-type><staff>1</staff></direction>`+rh+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "p@0 on 0; p@0 on 1; 120 a minute@0"},
		{"a mark under the pedal is for the pedal", one(3, rh+lh+notes(3, 9, "<dynamics><f/></dynamics>| C2:8")), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "f@0 on 2; 120 a minute@0"},
		{"niente", one(3, notes(1, 1, wedge("diminuendo", "")+" E5:4 "+wedge("stop", `niente="yes"`)+" E5:4 <dynamics><n/></dynamics>|")+lh+ped), "Gr E5@0:2; Gr C4@0:4; Pe C2@0:4; Gr E5@2:2", "diminuendo@0 on 0; stop@2 on 0; ppp@4 on 0; 120 a minute@0"},
		{"minim = 60", one(3, notes(1, 1, metronome("<beat-unit>half</beat-unit><per-minute>60</per-minute>")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "120 a minute@0"},
		{"dotted quaver = 80", one(3, notes(1, 1, metronome("<beat-unit>eighth</beat-unit><beat-unit-dot/><per-minute>80</per-minute>")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "60 a minute@0"},
		{"double-dotted minim = 20", one(3, notes(1, 1, metronome("<beat-unit>half</beat-unit><beat-unit-dot/><beat-unit-dot/><per-minute>20</per-minute>")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "70 a minute@0"},
		{"minim tied to a quaver = 30", one(3, notes(1, 1, metronome("<beat-unit>half</beat-unit><beat-unit-tied><beat-unit>eighth</beat-unit></beat-unit-tied><per-minute>30</per-minute>")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "75 a minute@0"},
		{"breve = 15", one(3, notes(1, 1, metronome("<beat-unit>breve</beat-unit><per-minute>15</per-minute>")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "120 a minute@0"},
		{"crotchet = 60-66", one(3, notes(1, 1, metronome("<beat-unit>quarter</beat-unit><per-minute>60-66</per-minute>")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "63 a minute@0"},
		{"crotchet = ca. 72 to 80", one(3, notes(1, 1, metronome("<beat-unit>quarter</beat-unit><per-minute>ca. 72 to 80</per-minute>")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "76 a minute@0"},
		{"a mark in words", one(3, notes(1, 1, words("Andante (♩ = ca. 66)")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "66 a minute@0"},
		{"a dotted mark in words", one(3, notes(1, 1, words("♩. = 40")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4", "60 a minute@0"},
		{"a ratio in notes", one(3, notes(1, 1, metronome("<beat-unit>quarter</beat-unit><per-minute>60</per-minute>")+" E5:4 "+metronome("<metronome-note><metronome-type>quarter</metronome-type></metronome-note><metronome-relation>equals</metronome-relation><metronome-note><metronome-type>quarter</metronome-type><metronome-dot/></metronome-note>")+" E5:4")+lh+ped), "Gr E5@0:2; Gr C4@0:4; Pe C2@0:4; Gr E5@2:2", "60 a minute@0; 90 a minute@2"},
		{"accelerando over two bars", one(3, notes(1, 1, metronome("<beat-unit>quarter</beat-unit><per-minute>60</per-minute>")+" E5:8")+lh+ped, notes(1, 1, words("accel. poco a poco")+" E5:8")+lh+ped, rh+lh+ped, notes(1, 1, metronome("<beat-unit>quarter</beat-unit><per-minute>80</per-minute>")+" E5:8")+lh+ped), "Gr E5@0:4; Gr C4@0:4; Pe C2@0:4; Gr E5@4:4; Gr C4@4:4; Pe C2@4:4; Gr E5@8:4; Gr C4@8:4; Pe C2@8:4; Gr E5@12:4; Gr C4@12:4; Pe C2@12:4", "60 a minute@0; 80 a minute@12"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustRead(t, c.data)
			require.Equal(t, c.keys, played(t, s))
			if c.say != "" {
				require.Equal(t, c.say, marks(s))
			}
			requireWhole(t, strings.TrimSpace(written(t, s)))
		})
	}
}
