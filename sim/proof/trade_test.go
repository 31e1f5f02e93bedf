package proof_test

import (
	"context"
	"fmt"
	"testing"

	"afterchord/acoustics/room"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/voicing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The trade's facts, each on a small score of its own with the opposite case beside it. All
// are common practice of organists and composers for the organ; none has a published source.

// small builds a score in 4/4, 480 ticks to the crotchet.
type small struct{ s *score.Score }

func newSmall(tempo float64, parts ...string) *small {
	s := &score.Score{Title: "test", File: "test.mid", Format: "SMF 1", TicksPerCrotchet: 480,
		Tempos: []score.Tempo{{Crotchets: tempo}}, Metres: []score.Metre{{Beats: 4, Unit: 4}}}
	for i, p := range parts {
		s.Parts = append(s.Parts, score.Part{Name: p, Track: i + 1})
	}
	return &small{s}
}

// play adds keys to a part from beat on (crotchets from the start), held for crotchets.
func (m *small) play(part int, beat, crotchets float64, keys ...int) *small {
	for _, k := range keys {
		on, off := score.Tick(beat*480), score.Tick((beat+crotchets)*480)
		m.s.Notes = append(m.s.Notes, score.Note{ID: len(m.s.Notes), Part: part, Key: k, Velocity: 80, On: on, Off: off, Written: off - on})
		m.s.End = max(m.s.End, off)
	}
	return m
}

func (m *small) mark(part int, beat float64, text string) *small {
	m.s.Words = append(m.s.Words, score.Word{At: score.Tick(beat * 480), Part: part, Kind: score.Mark, Text: text})
	return m
}

func (m *small) proof(t testing.TB, roomName string) *proof.Proof {
	t.Helper()
	r, ok := room.BuiltIn(roomName)
	require.True(t, ok, roomName)
	return m.proofIn(t, r)
}

func (m *small) proofIn(t testing.TB, r *room.Room) *proof.Proof {
	t.Helper()
	m.s.Bars = nil
	for at := score.Tick(0); at < m.s.End; at += 1920 {
		m.s.Bars = append(m.s.Bars, score.Bar{Number: len(m.s.Bars) + 1, Start: at, Length: 1920, Metre: m.s.Metres[0]})
	}
	m.s.SortNotes()
	o, ok := voicing.BuiltIn("minster")
	require.True(t, ok)
	seat, err := r.Seat("middle")
	require.NoError(t, err)
	p, err := proof.Run(context.Background(), proof.Input{Score: m.s, Room: r, Seat: seat, Organ: o})
	require.NoError(t, err)
	return p
}

// of are the findings of a kind.
func of(p *proof.Proof, kind string) []finding.Finding {
	var out []finding.Finding
	for _, f := range p.Document.Findings {
		if f.Kind == kind {
			out = append(out, f)
		}
	}
	return out
}

// forteToPiano is four bars of full chords, then quiet ones, with a rest of restBeats between.
func forteToPiano(restBeats float64) *small {
	m := newSmall(72, "Great", "Swell").mark(0, 0, "f").mark(1, 0, "p")
	for i, c := range [][]int{{48, 60, 64, 67}, {53, 60, 65, 69}, {55, 59, 62, 67}, {48, 60, 64, 67}} {
		m.play(0, float64(4*i), 4, c...)
	}
	for i, c := range [][]int{{57, 61, 64, 69}, {57, 62, 66, 69}, {57, 61, 64, 69}, {57, 62, 66, 69}} {
		m.play(1, 16+restBeats+2*float64(i), 2, c...)
	}
	return m
}

// A sudden forte to piano in a church of 3-4 s blurs the first harmonies of the piano for about
// a second (common practice); a rest before the piano, or a dry room, cures it.
func TestForteToPianoInAChurchBlursForAboutASecond(t *testing.T) {
	r, err := room.FromRT(3.5)
	require.NoError(t, err)
	f := of(forteToPiano(0).proofIn(t, r), finding.KindCoveredEntry)
	require.NotEmpty(t, f)
	assert.Equal(t, 5, f[0].Bar)
	assert.InDelta(t, 1.0, f[0].Measured["blurred_s"], 0.5)
	assert.Empty(t, of(forteToPiano(4).proofIn(t, r), finding.KindCoveredEntry), "after a bar's rest")
	assert.Empty(t, of(forteToPiano(0).proof(t, "practice-room"), finding.KindCoveredEntry))
}

// The solved rest is enough when it is written, and half of it is not.
func TestSolvedRestCuresTheEntry(t *testing.T) {
	r, err := room.FromRT(3.5)
	require.NoError(t, err)
	f := of(forteToPiano(0).proofIn(t, r), finding.KindCoveredEntry)
	require.NotEmpty(t, f)
	rest := f[0].Measured["rest_needed_s"] * 72 / 60
	assert.Empty(t, of(forteToPiano(rest).proofIn(t, r), finding.KindCoveredEntry))
	assert.NotEmpty(t, of(forteToPiano(rest/4).proofIn(t, r), finding.KindCoveredEntry))
}

// blurred time grows with the room and with the drop.
func TestBlurGrowsWithTheRoom(t *testing.T) {
	last := 0.0
	for _, rt := range []float64{1.6, 2.8, 4.5, 7} {
		t.Run(fmt.Sprint(rt), func(t *testing.T) {
			r, err := room.FromRT(rt)
			require.NoError(t, err)
			f := of(forteToPiano(0).proofIn(t, r), finding.KindCoveredEntry)
			require.NotEmpty(t, f, "T = %g", rt)
			assert.Greater(t, f[0].Measured["blurred_s"], last, "T = %g", rt)
			last = f[0].Measured["blurred_s"]
		})
	}
}

// chords alternates two harmonies on the Great, each held for share of its minim.
func chords(mark string, share float64) *small {
	m := newSmall(96, "Great").mark(0, 0, mark)
	for i := range 12 {
		c := []int{48, 55, 60, 64, 67, 72}
		if i%2 == 1 {
			c = []int{50, 57, 62, 66, 69, 74}
		}
		m.play(0, 2*float64(i), 2*share, c...)
	}
	return m
}

// Dense legato chords lose their harmony in a live room at a loud dynamic; detached
// chords keep it (common practice).
func TestDenseLegatoChordsLoseTheirHarmony(t *testing.T) {
	legato, detached := chords("ff", 1).proof(t, "cathedral"), chords("ff", 0.5).proof(t, "cathedral")
	assert.Greater(t, weight(of(legato, finding.KindBlurredHarmony)), 0.0)
	assert.Less(t, weight(of(detached, finding.KindBlurredHarmony)), weight(of(legato, finding.KindBlurredHarmony)))
	assert.Empty(t, of(chords("ff", 1).proof(t, "practice-room"), finding.KindBlurredHarmony))
}

func weight(fs []finding.Finding) float64 {
	w := 0.0
	for _, f := range fs {
		w += f.Weight
	}
	return w
}

// repeated strikes one pedal key in semiquavers or crotchets.
func repeated(crotchets float64, keys ...int) *small {
	m := newSmall(100, "Great", "Pedal").mark(0, 0, "f").mark(1, 0, "f")
	m.play(0, 0, 8, 60, 64, 67)
	for i := 0; float64(i)*crotchets < 8; i++ {
		m.play(1, float64(i)*crotchets, crotchets, keys[i%len(keys)])
	}
	return m
}

// What is blurred in a harmony ends where the music falls: from there on its loss is the covered entry's.
func TestAFallEndsTheHarmonyBeforeIt(t *testing.T) {
	m := newSmall(72, "Great", "Swell").mark(0, 0, "f").mark(1, 0, "p")
	m.play(0, 0, 4, 48, 52, 55, 60, 64, 67, 72).play(0, 4, 1, 49, 56, 61, 65, 68, 73)
	m.play(1, 5, 4, 61) // a key of the second chord: no new harmony
	p := m.proof(t, "cathedral")
	blurred, fall := of(p, finding.KindBlurredHarmony), of(p, finding.KindCoveredEntry)
	require.Len(t, blurred, 1)
	require.Len(t, fall, 1)
	assert.InDelta(t, 5*60.0/72, fall[0].AtS, 0.01)
	assert.Less(t, blurred[0].AtS, fall[0].AtS)
	assert.LessOrEqual(t, blurred[0].UntilS, fall[0].AtS+0.05)
}

// Fast repeated low pedal notes run together in a live room; slow ones do not, and neither do
// fast ones in a dry room (common practice).
func TestFastRepeatedPedalNotesRunTogether(t *testing.T) {
	assert.NotEmpty(t, of(repeated(0.5, 36).proof(t, "cathedral"), finding.KindRunTogether))
	assert.Empty(t, of(repeated(2, 36).proof(t, "cathedral"), finding.KindRunTogether))
	assert.Empty(t, of(repeated(0.5, 36).proof(t, "practice-room"), finding.KindRunTogether))
}

// Alternating the octave makes a repeated pedal figure speak (common practice): the
// worst dip is no smaller than on one key.
func TestAlternatingTheOctaveSpeaksBetter(t *testing.T) {
	one := of(repeated(0.5, 36).proof(t, "abbey"), finding.KindRunTogether)
	two := of(repeated(0.5, 36, 48).proof(t, "abbey"), finding.KindRunTogether)
	require.NotEmpty(t, one)
	assert.Less(t, weight(two), weight(one))
}

// solo is a melody on the Swell over chords on the Great.
func solo(soloMark, restMark string) *small {
	m := newSmall(72, "Swell", "Great").mark(0, 0, soloMark).mark(1, 0, restMark)
	for i, k := range []int{67, 69, 71, 72, 71, 69, 67, 65} {
		m.play(0, float64(i)*2, 2, k)
	}
	for i := range 8 {
		m.play(1, float64(i)*2, 2, 55, 60, 64)
	}
	return m
}

// The solo line wants at least one dynamic mark more than its accompaniment (common practice).
func TestSoloWantsMoreThanItsAccompaniment(t *testing.T) {
	assert.NotEmpty(t, of(solo("p", "mf").proof(t, "parish-church"), finding.KindMaskedSolo))
	assert.Greater(t, weight(of(solo("mp", "mp").proof(t, "parish-church"), finding.KindMaskedSolo)),
		weight(of(solo("f", "p").proof(t, "parish-church"), finding.KindMaskedSolo)))
}

// A demo shows what it was written for in a cathedral and not in a practice room.
func TestDemosShowWhatTheyWereWrittenFor(t *testing.T) {
	for _, d := range []struct{ name, kind string }{
		{"drop", finding.KindCoveredEntry}, {"dotted", finding.KindRunTogether}, {"solo", finding.KindMaskedSolo},
	} {
		notes := func(room string) (n float64) { // that the finding names, 1 for one that names none
			for _, f := range of(demo(t, d.name, room), d.kind) {
				if f.Severity != finding.Notice {
					n += max(1, f.Measured["notes"])
				}
			}
			return n
		}
		assert.Positive(t, notes("cathedral"), d.name)
		assert.Zero(t, notes("practice-room"), d.name)
	}
}

// An octave is heard as a new note, whatever its lower octave has left of its partials.
func TestOctaveLeapsDoNotRunTogether(t *testing.T) {
	m := newSmall(120, "Great", "Pedal").mark(0, 0, "f").mark(1, 0, "f")
	m.play(0, 0, 16, 60, 64, 67)
	for i := range 4 {
		m.play(1, 4*float64(i), 0.5, 47).play(1, 4*float64(i)+0.5, 0.5, 59)
	}
	for _, name := range []string{"practice-room", "chapel", "parish-church"} {
		assert.Empty(t, of(m.proof(t, name), finding.KindRunTogether), name)
	}
}

// An echo after each phrase is what two manuals are for: in a church of moderate reverberation it begins in its own tail, which is worth a note,
// and in a cathedral the tail eats several of its notes (common practice).
func TestEchoes(t *testing.T) {
	m := newSmall(84, "Great", "Swell")
	for i := range 4 {
		at := float64(8 * i)
		m.mark(0, at, "f").mark(1, at+4, "p")
		for part := range 2 {
			m.play(part, at+4*float64(part), 3.5, 55, 60)
			for k, key := range []int{67, 69, 71, 72, 74, 72, 71} {
				m.play(part, at+4*float64(part)+float64(k)/2, 0.45, key)
			}
		}
	}
	for room, worst := range map[string]finding.Severity{"parish-church": finding.Notice, "cathedral": finding.Warning} {
		f := of(m.proof(t, room), finding.KindCoveredEntry)
		require.Len(t, f, 4, room)
		assert.Equal(t, worst, f[0].Severity, "%s: %s", room, f[0].Message)
	}
}

// A flute over soft strings is a solo that organists play: less of it is left than half to the mean ear and more to a keen one.
func TestAFluteOverStrings(t *testing.T) {
	m := newSmall(56, "Choir", "Swell").mark(0, 0, "mp").mark(1, 0, "pp")
	for i := range 8 {
		m.play(1, float64(2*i), 2, 55, 59, 62)
		for k, key := range []int{74, 72, 71, 69} {
			m.play(0, float64(2*i)+float64(k)/2, 0.5, key+i%2*2)
		}
	}
	for _, f := range of(m.proof(t, "parish-church"), finding.KindMaskedSolo) {
		assert.Equal(t, finding.Notice, f.Severity, f.Message)
	}
}

// The same chord again on softer stops is not lost, though less than half of it is left: what rings is itself. Another chord is.
func TestTheSameChordSofter(t *testing.T) {
	find := func(keys ...int) finding.Severity {
		m := newSmall(120, "Great").mark(0, 0, "ff").mark(0, 4, "mf").play(0, 0, 4, 48, 60, 64, 67)
		for i := range 8 {
			m.play(0, 4+float64(i)/2, 0.4, keys...)
		}
		f := of(m.proof(t, "cathedral"), finding.KindCoveredEntry)
		require.Len(t, f, 1)
		return f[0].Severity
	}
	assert.Equal(t, finding.Warning, find(60, 64, 67))
	assert.Equal(t, finding.Fail, find(61, 65, 68))
}

// A note that has no key enters nowhere, and the music does not fall to it.
func TestANoteWithoutAKeyIsNoEntry(t *testing.T) {
	m := newSmall(72, "Great").mark(0, 0, "f").play(0, 0, 4, 48, 60, 64, 67).play(0, 4, 4, 24)
	assert.Empty(t, of(m.proof(t, "cathedral"), finding.KindCoveredEntry))
}

// A line that goes on while a chord beside it ends is no entry; the same line after a rest, on softer stops, is.
func TestACoveredEntryIsAnEntry(t *testing.T) {
	goesOn := newSmall(72, "Great", "Swell").mark(0, 0, "ff").mark(1, 0, "pp")
	goesOn.play(0, 0, 4, 36, 48, 52, 55, 60, 64, 67, 72)
	for i := range 8 {
		goesOn.play(1, float64(i), 1, 60+i)
	}
	assert.Empty(t, of(goesOn.proof(t, "cathedral"), finding.KindCoveredEntry))
	assert.NotEmpty(t, of(forteToPiano(0).proof(t, "cathedral"), finding.KindCoveredEntry))
}

// What is said of the whole piece: more of it blurs the longer the room rings, and at the tempo or in the room that it names it would be typical.
func TestTheRoomOnTheWholePiece(t *testing.T) {
	last := -1.0
	for _, rt := range []float64{0.5, 1.6, 7, 12} {
		t.Run(fmt.Sprint(rt), func(t *testing.T) {
			r, err := room.FromRT(rt)
			require.NoError(t, err)
			w := chords("f", 1).proofIn(t, r).Document.Whole
			require.NotNil(t, w)
			assert.GreaterOrEqual(t, w.Blurred, last, "%g s", rt)
			assert.Contains(t, w.Line, "of organ music in such rooms")
			last = w.Blurred
		})
	}
	assert.Positive(t, last)
	assert.Nil(t, forteToPiano(0).proof(t, "cathedral").Document.Whole, "two harmonies say nothing of a piece")
}
