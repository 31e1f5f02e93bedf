package finding

import "slices"

// The kinds of findings, as they stand in proof.json.
const (
	KindCoveredEntry     = "covered-entry"
	KindBlurredHarmony   = "blurred-harmony"
	KindRunTogether      = "run-together"
	KindLateSpeech       = "late-speech"
	KindMaskedSolo       = "masked-solo"
	KindSoloNotApart     = "solo-not-apart"
	KindDoubledInVain    = "doubled-in-vain"
	KindHandOctaves      = "hand-octaves"
	KindThinFigure       = "thin-figure"
	KindStopScramble     = "stop-scramble"
	KindSteppedCrescendo = "stepped-crescendo"
	KindBoxOutOfReach    = "box-out-of-reach"
	KindPedalReach       = "pedal-reach"
	KindHandReach        = "hand-reach"
	KindOffCompass       = "off-compass"
	KindNoSuchEffect     = "no-such-effect"
	KindOpenArticulation = "open-articulation"
)

// Kind is all that the program knows of one kind of finding.
type Kind struct {
	Name     string
	Acoustic bool // the room, the pipes and the ear decide; else hands, feet and the console
	Check    Check
	Meaning  string  // what it says to a reader, for the handbook's table
	Question string  // what a class can try at the console or at the desk
	Values   []Value // what it may measure, in the order to read it
}

// Value is a measured value of a finding: its name in the document, what a reader sees, and its
// unit. "" is a pure number, "%" a share of 1, "mm" a length given in metres, "key" a key number.
type Value struct {
	Key, Label, Unit string
}

// Kinds lists the kinds in the order of the handbook: what the building does, what
// the pipes do, what the player cannot do. Adding a finding is adding a row.
var Kinds = []Kind{
	{KindCoveredEntry, true, CoveredEntry,
		"after a fall in level the old passage still rings: the new one is covered, then blurred",
		"How long must the silence before this entry be in your own church? Clap once at the console, count the seconds until you hear nothing, and compare.",
		[]Value{{"drop_db", "fall in level", "dB"}, {"inaudible_s", "inaudible for", "s"}, {"inaudible_least_s", "at the least", "s"},
			{"faint_s", "faint for", "s"}, {"faint_least_s", "at the least", "s"}, blurredS, blurredLeast, {"note_s", "length of the note", "s"}, shareLost, moreThan, {"rest_needed_s", "rest needed", "s"},
			{"softer_needed_db", "or the loud side softer by", "dB"}, {"rt_needed_s", "or a reverberation time of", "s"}, notesValue, {"notes_lost", "notes lost", ""}}},
	{KindBlurredHarmony, true, BlurredHarmony,
		"the old harmony is still plainly heard under the new one",
		"Play the chords legato, then detached. From the middle of the nave, which notes of the old chord can you still name when the new one sounds?",
		[]Value{blurredS, blurredLeast, moreThan, {"disturbing_share", "of the old harmony that disturbs", "%"}, {"clashing_tones", "old tones that clash", ""}, {"foreign_db", "old harmony re the new", "dB"}, {"roughness", "roughness of the overlap", ""}}},
	{KindRunTogether, true, RunTogether,
		"repeated or fast low notes whose gaps the room and the pipes fill",
		"At which tempo do you begin to hear each note on its own from the back of the building? Play it slower and faster with somebody listening there.",
		[]Value{{"dip_db", "dip between the notes", "dB"}, {"needed_dip_db", "dip needed", "dB"}, {"needed_least_db", "by keen ears", "dB"}, gapValue, {"max_tempo", "fastest tempo that separates", "crotchets/min"},
			{"between_onsets_s", "time between onsets", "s"}, placesValue, moreThan, {"tempo", "tempo as played", "crotchets/min"}}},
	{KindLateSpeech, true, LateSpeech,
		"a note let go before its pipe has spoken, or a rhythm that uneven speech bends",
		"Play the figure once with each octave of the pedal. Where does the rhythm come out as it is written?",
		[]Value{shareLost, moreThan, {"shift_ms", "onset moved by", "ms"}, {"shift_least_ms", "at the least", "ms"}, {"just_noticeable_ms", "just noticeable", "ms"}, {"note_ms", "length of the note", "ms"}, placesValue,
			{"speak_ms", "time to speak", "ms"}, {"speak_least_ms", "at the least", "ms"}}},
	{KindMaskedSolo, true, MaskedSolo,
		"a solo line that does not stand out from its accompaniment",
		"Let somebody else play the accompaniment and listen in the building. Which stop brings the solo forward without making it loud?",
		[]Value{{"lacks_db", "level lacking", "dB"}, heardShare, {"heard_most_share", "to keen ears", "%"}, {"passage_share", "with the notes between", "%"}, moreThan, notesValue, {"worst_share", "share of the worst note heard", "%"}}},
	{KindSoloNotApart, true, SoloNotApart,
		"a melody with the manual, the stops or the dynamic mark of its accompaniment",
		"Play the tune on the other manual with one stop of another family. What does a listener say it is now: a voice or a part of the chord?",
		[]Value{heardShare, notesValue}},
	{KindDoubledInVain, false, DoubledInVain,
		"keys that add nothing: the pipe or its octave sounds already",
		"Leave the doubling out with the coupler drawn. Can a listener tell?",
		[]Value{heardShare, {"heard_share_others", "share of the other keys heard", "%"}, keysValue, {"loudness_added", "loudness added, of the whole", ""},
			{"loudness_added_most", "most loudness added, of the whole", ""}, {"new_pipes", "pipes that it adds", ""}, notesValue, {"octave_lower", "of them an octave lower", ""},
			{"pipes", "pipes that sound already", ""}}},
	{KindHandOctaves, false, HandOctaves,
		"a hand in quick or short octaves, where a 16 or 4 ft stop sounds the octave",
		"Play one voice with the stop, then the octaves without it. Can anybody in the nave tell which it was?",
		[]Value{{"octaves", "octaves", ""}, {"between_onsets_s", "time between onsets", "s"}, {"level_change_db", "one voice with the stop: level", "dB"},
			{"spectrum_change_db", "and spectrum, band by band", "dB"}}},
	{KindThinFigure, true, ThinFigure,
		"a broken chord with nothing sustained, or basses that a hand lets go for their chords",
		"Play the figure as it is written, then with its chord held. What does a listener in the nave take for the harmony?",
		[]Value{{"held_share", "of the chord held at a time", "%"}, {"chord_keys", "keys of the chord", ""}, {"complete_share", "of the chord there at a time", "%"}, {"complete_most_share", "at the most", "%"}, moreThan, {"loudness_share", "loudness against the held chord", "%"}, notesValue,
			{"basses", "basses let go", ""}, {"bass_share", "of its chord each is there for", "%"}, {"bass_most_share", "at the most", "%"}}},
	{KindStopScramble, false, StopScramble,
		"a change of stops that needs more hands or pistons than there are",
		"Time the change at your own console, hands on the keys before and after. Which knobs could be set beforehand, and who could draw the rest?",
		[]Value{{"couplers", "couplers", ""}, {"feet_free_s", "feet free for", "s"}, {"knobs", "knobs to move", ""}, {"knobs_possible", "knobs that the hands can move", ""},
			{"left_hand_free_s", "left hand free for", "s"}, needsValue, {"pedal_knobs", "of them the pedal's", ""}, {"pistons", "pistons", ""},
			{"registrations", "registrations", ""}, {"right_hand_free_s", "right hand free for", "s"}}},
	{KindSteppedCrescendo, false, SteppedCrescendo,
		"a swell that can only be made in steps",
		"Can the crescendo be made by adding notes instead of stops?",
		[]Value{{"step_db", "largest step", "dB"}, {"stops_off", "stops that go off", ""}, {"stops_on", "stops that come on", ""}}},
	{KindBoxOutOfReach, false, BoxOutOfReach,
		"a swell wanted while both feet play, or where there is no box",
		"Which foot could be free here, and what would the hands have to take over?",
		[]Value{{"enclosed", "divisions in a box", ""}, lastsValue, {"left_foot_misses", "notes that the left foot misses", ""}, {"pedal_notes", "pedal notes", ""},
			{"right_foot_share", "played by the right foot", "%"}, {"steps_of_127", "change, of 127", ""}}},
	{KindPedalReach, false, PedalReach,
		"leaps, spans and speeds that two feet cannot do",
		"Play the pedal line alone, slowly, and mark each toe and heel. Where does a foot have to be in two places?",
		[]Value{gapValue, {"feet_wanted", "feet wanted", ""}, hasValue, keysValue, {"leap_m", "leap", "mm"}, {"leap_semitones", "leap", "semitones"}, needsValue,
			{"notes_per_s", "notes", "a second"}, {"still_held_s", "still held for", "s"}}},
	{KindHandReach, false, HandReach,
		"stretches, leaps and held notes that two hands cannot do",
		"Put the chord under your own hands. Which note could go to the other hand, to the pedal or to a stop?",
		[]Value{{"finger_keys", "keys under the fingers", ""}, hasValue, keysValue, {"leap_semitones", "leap", "semitones"}, {"manuals", "manuals", ""}, needsValue,
			{"stretch_m", "stretch", "mm"}, {"stretch_semitones", "stretch", "semitones"}, {"thumb_keys", "keys under the thumb", ""}}},
	{KindOffCompass, false, OffCompass,
		"notes beyond the keys of the organ",
		"Which octave or which division of your organ has the note? Try the passage there.",
		[]Value{{"beyond_semitones", "beyond the last key by", "semitones"}, {"highest_key", "highest key", "key"}, {"lowest_key", "lowest key", "key"}, notesValue}},
	{KindNoSuchEffect, false, NoSuchEffect,
		"effects that an organ does not have: the sustaining pedal, touch, bent pitch",
		"What did the effect stand for in the composer's ear: length, weight or loudness? Find one thing that the organ can do for it.",
		[]Value{{"dynamics_apart", "dynamic marks apart", ""}, lastsValue, {"lengthened_notes", "notes lengthened", ""}, {"longest_s", "longest overlap", "s"},
			{"lost_s", "length lost in all", "s"}, {"messages", "messages", ""}, {"most", "most, of 127", ""}, {"most_semitones", "most", "semitones"},
			{"most_steps", "most, in velocity steps", ""}, notesValue, placesValue, {"uses", "times used", ""}}},
	{KindOpenArticulation, false, OpenArticulation,
		"loud chords struck again and again, or changing several times a bar, with nothing that says how long they are",
		"Play the chords at full length, at half length, and in pairs. Which of them drives, and which would you write down?",
		[]Value{{"chords", "chords", ""}, keysValue, {"between_onsets_s", "time between onsets", "s"}}},
}

// Values that several kinds measure.
var (
	blurredS     = Value{"blurred_s", "blurred for", "s"}
	blurredLeast = Value{"blurred_least_s", "at the least", "s"}
	moreThan     = Value{"more_than_share", "more than in so many bars of organ music", "%"}
	shareLost    = Value{"share_lost", "share of the note lost", "%"}
	heardShare   = Value{"heard_share", "share of the sound heard", "%"}
	notesValue   = Value{"notes", "notes", ""}
	keysValue    = Value{"keys", "keys", ""}
	placesValue  = Value{"places", "places", ""}
	gapValue     = Value{"gap_s", "gap between the notes", "s"}
	needsValue   = Value{"needs_s", "time needed", "s"}
	hasValue     = Value{"has_s", "time there is", "s"}
	lastsValue   = Value{"lasts_s", "lasts", "s"}
)

// KindOf is the row of a kind; ok is false where there is none.
func KindOf(name string) (k Kind, ok bool) {
	i := slices.IndexFunc(Kinds, func(k Kind) bool { return k.Name == name })
	if i < 0 {
		return Kind{}, false
	}
	return Kinds[i], true
}

// ValueOf is how a measured value is shown; ok is false for a name that no kind measures.
func ValueOf(key string) (v Value, ok bool) {
	for _, k := range Kinds {
		for _, v := range k.Values {
			if v.Key == key {
				return v, true
			}
		}
	}
	return Value{}, false
}
