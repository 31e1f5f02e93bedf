package voicing

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRegistrationInWords(t *testing.T) {
	o, _ := BuiltIn("minster")
	for _, c := range []struct {
		text string
		mode ChangeMode
		read []string
	}{
		{"Gt 8' flutes", Replace, []string{"Great: Stopped Diapason 8"}},
		{"- mixtures", Adjust, []string{"Great: Mixture IV off", "Swell: Mixture III off"}},
		{"Sw. box closed", Adjust, []string{"Swell box 0 % open"}},
		{"Sw box 30%", Adjust, []string{"Swell box 30 % open"}},
		{"Sw to Gt", Adjust, []string{"Swell to Great"}},
		{"Sw/Gt off", Adjust, []string{"Swell to Great off"}},
		{"Ped. 16, 8", Replace, []string{"Pedal: Open Diapason 16", "Pedal: Bourdon 16", "Pedal: Octave 8", "Pedal: Bass Flute 8"}},
		{"General 3", Adjust, []string{"general piston 3"}},
		{"Sw tremulant on", Adjust, []string{"Swell: Tremulant"}},
		{"Gt: Octave 4, Mixture", Replace, []string{"Great: Octave 4", "Great: Mixture IV"}},
		{"Récit: anches", Replace, []string{"Swell: Contra Fagotto 16", "Swell: Cornopean 8", "Swell: Oboe 8"}},
		{"Sw + celeste", Adjust, []string{"Swell: Voix Celeste 8"}},
		{"Great: add Trumpet", Adjust, []string{"Great: Trumpet 8"}},
		{"Sw mf", Replace, []string{"Swell as mf"}},
		{"Choir mutations", Replace, []string{"Choir: Nazard 2 2/3", "Choir: Tierce 1 3/5", "Choir: Larigot 1 1/3"}},
	} {
		t.Run(c.text, func(t *testing.T) {
			got, ok := ParseRegistration(o, c.text)
			require.True(t, ok, "%q: not understood: %q", c.text, got.Unread)
			require.Equal(t, c.mode, got.Mode, c.text)
			require.Equal(t, c.read, got.Read, c.text)
		})
	}
}

func TestRegistrationSaysWhatItDidNotUnderstand(t *testing.T) {
	o, _ := BuiltIn("village")
	c, ok := ParseRegistration(o, "Gt Principal 4, glockenspiel")
	require.False(t, ok)
	require.Equal(t, []string{"Great: Principal 4"}, c.Read)
	require.Equal(t, []string{"glockenspiel"}, c.Unread)
	for _, text := range []string{"", "molto legato", "General 3", "Ped 32", "box", "Choir to Great", "Allegro", "cresc."} {
		t.Run(text, func(t *testing.T) {
			_, ok := ParseRegistration(o, text)
			require.False(t, ok, text)
		})
	}
}

func TestApplyingAChange(t *testing.T) {
	o, _ := BuiltIn("village")
	r := o.Plan("f", 0)
	say := func(text string) { c, ok := ParseRegistration(o, text); require.True(t, ok, text); r = c.Apply(o, r) }
	say("Gt 8")
	require.Equal(t, []string{"Great: Open Diapason 8", "Great: Stopped Diapason 8"}, o.Describe(r))
	say("Gt + 4")
	say("Gt - flutes")
	require.Equal(t, []string{"Great: Open Diapason 8", "Great: Principal 4"}, o.Describe(r))
	say("Sw 8; Sw to Gt")
	require.Equal(t, []string{"Great: Open Diapason 8", "Great: Principal 4", "Swell: Chimney Flute 8", "Swell: Salicional 8", "Swell to Great"}, o.Describe(r))
}

func TestGeneralPistonsRise(t *testing.T) {
	o, _ := BuiltIn("minster")
	require.Equal(t, o.Draw([MaxDivisions]string{"ppp", "ppp", "ppp", "ppp"}), o.GeneralPiston(1))
	require.Equal(t, o.Draw([MaxDivisions]string{"fff", "fff", "fff", "fff"}), o.GeneralPiston(8))
	require.Zero(t, o.GeneralPiston(9))
}

func TestStopsFile(t *testing.T) {
	o, _ := BuiltIn("minster")
	lines, err := ParseStopsFile(o, []byte("# second verse\n\nbar 1: Gt 8' flutes; Sw box closed\nBar 9 beat 3.5: Gt + mixtures # loud\nbar 9, beat 4: kazoo\n"), "verse.stops")
	require.NoError(t, err)
	require.Len(t, lines, 3)
	require.Equal(t, 4, lines[1].Line)
	require.Equal(t, 9, lines[1].Bar)
	require.Equal(t, 3.5, lines[1].Beat)
	require.Equal(t, []string{"Great: Mixture IV"}, lines[1].Change.Read)
	require.Equal(t, []string{"kazoo"}, lines[2].Change.Unread)

	_, err = ParseStopsFile(o, []byte("bar 5: Gt 8\nbar 4: Gt 4\nGt 2\nbar 6 beat 0: Gt 2\n"), "bad.stops")
	require.Len(t, err.(Problems), 3)
	require.ErrorContains(t, err, "bad.stops:2: bar 4 beat 1 comes after bar 5 beat 1")
	require.ErrorContains(t, err, "bad.stops:3: ")
	require.ErrorContains(t, err, "bad.stops:4: ")
}
