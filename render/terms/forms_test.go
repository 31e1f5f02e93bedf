package terms

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Sentences that the demos and the coach's cases do not reach, as the findings write them.
func TestSentencesOfOtherPieces(t *testing.T) {
	for _, text := range []string{
		"C2 on the Pedal is let go after 40 ms, before a listener hears its pipes begin (60 to 90 ms): it hardly sounds; that is more than in 995 of 1000 bars of organ music on an organ like this.",
		"One note of the solo on the Swell does not stand out: it keeps 20 to 30 % of its loudness beside the accompaniment, and lacks more than 20 dB; that is more than in 97 of 100 bars of organ music that have a solo, in a room like this.",
		"The left foot has to take E2 while it still holds C2 for 0.30 s, and the other foot is no freer.",
		"The right foot must leap a tenth (C2 to E3, 0.35 m) with 0.10 s to get there; it needs about 0.20 s, and the other foot does no better.",
		"The feet stand crossed: the left foot takes G2 on the far side of the other foot, which is holding its key.",
		"5 pedal keys are held at once and lie too far apart for two feet, even with heel and toe: they want 3 feet.",
		"12 pedal notes run at 9.5 a second; trained feet manage about 8.",
		"7 keys from C3 to E5 fall to the left hand, however they are shared out; it has five fingers.",
		"The left hand has keys on two manuals at once (Great and Swell): the thumb can bridge them, 1 key below and 3 above, but no legato is left.",
		"The right hand needs keys on two manuals at once (Great and Swell) because the other hand is taken: 2 keys below and 4 above, and a hand whose thumb bridges has about three.",
		"The right hand must change to the Swell and a second further in 0.05 s; it needs about 0.20 s, however the notes are shared out.",
		"The sustaining pedal lengthens 12 notes, by 0.40 s on average: an organ has none, and each stops when its key comes up.",
		"The soft pedal is used 3 times: an organ has none.",
		"The pitch is bent by up to 1.50 semitones (at the usual range of two): a pipe has one pitch, so nothing of it is heard.",
		"Here the piece asks for its registration number 9, and the organ has 8 general pistons: 4 knobs must be moved by hand or another memory be called up.",
		"In 4 chords single notes are struck up to 20 velocity steps harder than the rest: an organ key has no touch, and all the notes of a chord speak alike.",
		"9 basses are let go as the hand leaps to their chords, and no damper pedal holds them: on average each is there for 40 to 55 % of its chord, which then stands on another note; that is more than in 99 of 100 bars of organ music in a room like this.",
		"C2 lies an octave below the lowest key of the Swell, which goes from C3 to G6: it is played an octave higher, at C3, as an organist would.",
		"The Great has the Flute 8 alone for the accompaniment in bars 3–8. It costs a change of stops before and after, and the accompaniment its fullness.",
		"The inner key of the octaves in the chords of bars 1–4 is left out: 12 keys less; Octave 4 has that octave. It costs the chord a key's weight.",
		"In bars 1–4 the pedal takes 8 basses, each held to the end of its chord. It costs the basses their lightness, and the feet their rest.",
		"The tune in bars 1–8 is played an octave up. It costs the tune its register.",
		"There is nothing to mend: the piece has no findings.",
		"12 knobs to change at once (3 Great stops and 9 Swell stops) on one piston, but neither hand nor foot is free for it: there is no rest to press it in (a press takes about 0.20 s).",
		"p and f stand at one place over one staff (Organ), and the Great plays it: one keyboard has one loudness, and the one that stands last is taken.",
		"In bars 3–5, the pedal takes 4 basses that the hand cannot reach. It costs the feet their rest.",
	} {
		for name, l := range Languages() {
			said, ok := l.Say(text)
			assert.True(t, ok, "%s: %s", name, said)
		}
	}
	_, ok := Languages()["de"].Say("The Great is on fire. It costs the legato.")
	assert.False(t, ok, "one sentence of two")
}
