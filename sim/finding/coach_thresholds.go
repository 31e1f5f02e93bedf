package finding

// coachTable lists the limits of the checks on what hands, feet, knobs and keys can do.
// Where the reason says common practice or working figure, no publication stands behind
// the number: it is an average adult's, it differs from player to player, and a teacher's
// word goes before it.
var coachTable = []Threshold{
	{"pedal_leap_s", 0.10, "s", "time to lift a foot and put it down beside where it was (working figure)"},
	{"pedal_leap_s_per_m", 0.35, "s/m", "time to carry a foot along the pedalboard: with the lift about a quarter of a second for an octave of 0.42 m (working figure)"},
	{"pedal_leap_fail_share", 0.6, "1", "with less than this share of the time it needs, the foot does not get there"},
	{"pedal_octave_third", 4, "semitones", "both feet in octaves join notes up to about a third apart by heel and toe; wider is a leap of both feet (common practice)"},
	{"pedal_join_s", 0.04, "s", "a gap shorter than this is written as legato: a detached note leaves more"},
	{"pedal_notes_per_s", 10, "1/s", "alternating toes in semiquavers at crotchet = 150, about the quickest in the literature (common practice)"},
	{"pedal_notes_fail_per_s", 13, "1/s", "semiquavers at about crotchet = 200: beyond trained feet (working figure)"},
	{"hand_stretch_semitones", 14, "semitones", "an octave is comfortable and a ninth usual; from a tenth on many hands cannot hold it (common practice)"},
	{"hand_stretch_fail_semitones", 16, "semitones", "beyond a tenth hardly a hand can hold it (common practice)"},
	{"hand_keys", 5, "keys", "five fingers; a thumb may take two neighbouring keys now and then"},
	{"hand_leap_s", 0.06, "s", "time to lift a hand and put it down (working figure)"},
	{"hand_leap_s_per_m", 0.45, "s/m", "time to carry a hand along the keyboard (working figure); an octave of keys is 0.165 m (common practice)"},
	{"hand_change_s", 0.12, "s", "time to go from one manual to another (working figure)"},
	{"thumb_keys", 3, "keys", "a hand whose thumb bridges two manuals has at most two keys above and one below, or one and two (common practice)"},
	{"exchange_s", 0.10, "s", "a held key passes to the other hand in about a tenth of a second (working figure)"},
	{"effect_velocity", 12, "1", "less is an unsteady touch; some 16 steps are a dynamic mark as notation programs export it"},
	{"effect_chords_share", 0.1, "1", "accents in fewer chords than a tenth are chance, not intention"},
	{"restruck_s", 0.1, "s", "a key that stays down longer than this when it is asked for again cannot speak anew; a shorter overlap is playing style"},
	{"vain_loudness", 0.072, "1", "loudness doubles for 10 dB, so one just noticeable level step of 1 dB is 2^0.1, 7.2 per cent"},
	{"vain_share", 0.6, "1", "in a full chord every key stands out little; a doubled one is in vain where it stands out by clearly less than the others"},
	{"vain_chords", 3, "chords", "octaves between free voices meet once or twice; three chords in a row are a doubling"},
	{"stop_move_s", 0.4, "s", "one knob moved by a free hand, reach included (working figure)"},
	{"stop_return_s", 0.3, "s", "hand from the keys to the jamb and back (working figure)"},
	{"piston_s", 0.2, "s", "a thumb or toe piston pressed between two notes (working figure)"},
	{"stepped_db", 1, "dB", "one just noticeable step of level: a smaller one passes for a smooth crescendo"},
	{"stepped_warn_db", 3, "dB", "half or double the power at a blow; a dynamic mark is about 4 dB"},
	{"box_velocity", 20, "1", "more than one dynamic mark of velocity, so a crescendo and not a phrase that breathes"},
	{"box_fit", 0.8, "1", "share of the velocities' variance that a straight rise explains: less is not a crescendo"},
	{"box_feet_share", 0.25, "1", "the box needs the right foot for most of the hairpin; both feet busy for a quarter of it break the swell"},
	{"thin_complete", 0.6, "1", "share of the chord that is there at a time; a chord of three with less than two of its notes is not a chord"},
	{"thin_complete_warn", 0.45, "1", "less than half of the chord is there at any time"},
	{"thin_loudness", 0.75, "1", "loudness against the held chord: a quarter less is some 4 dB, a dynamic mark"},
	{"thin_alive_db", 10, "dB", "a key let go counts as part of the chord until its sound is 10 dB down: half as loud"},
	{"thin_notes", 6, "notes", "two turns of a figure of three notes; less is a melody that leaps"},
}

// limit is a threshold as the user set it, else its default.
func (c *Context) limit(name string) float64 {
	if v, ok := c.Thresholds[name]; ok {
		return v
	}
	for _, t := range Table {
		if t.Name == name {
			return t.Default
		}
	}
	panic("no threshold is called " + name) // a fault of the program: names are written out in the checks
}
