package finding

import (
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
)

// Thresholds are the limits that decide whether something is a finding. Each field carries, as
// tags, the name by which a settings file changes it, its default, its unit ("1" for a pure
// number) and the reason for it: adding a limit is adding a field. What is counted is an int.
type Thresholds struct {
	Heard
	Played
}

// Heard are the limits of the checks on what the building, the pipes and the ear do.
type Heard struct {
	CoveredShare     float64 `name:"covered_share" default:"0.1" unit:"1" reason:"below a tenth of its own loudness a note adds nothing to a chord"`
	FaintSone        float64 `name:"faint_sone" default:"0.5" unit:"sone" reason:"a sound that is no louder than this beside the others is faint: 30 phon, a whisper in a quiet room (from memory)"`
	BlurredShare     float64 `name:"blurred_share" default:"0.5" unit:"1" reason:"below half its own loudness the old sound is the louder of the two to the ear"`
	CoveredDropDB    float64 `name:"covered_drop_db" default:"6" unit:"dB" reason:"one dynamic step (4 to 8 dB, common practice); a smaller fall is a thinner texture, not a change of dynamic"`
	CoveredWarnS     float64 `name:"covered_warn_s" default:"0.3" unit:"s" reason:"a quaver at 100 crotchets a minute: the ear misses a whole short note"`
	CoveredWarnShare float64 `name:"covered_warn_share" default:"0.25" unit:"1" reason:"share of the first note's own length that is lost before it counts as a warning"`
	CoveredKeenS     float64 `name:"covered_keen_s" default:"0.5" unit:"s" reason:"a crotchet at 120 that is blurred to keen ears, too, or a short note (covered_warn_s) that is faint to them: with less an echo has merely begun in its own tail, as echoes do"`
	CoveredFaintS    float64 `name:"covered_faint_s" default:"0.5" unit:"s" reason:"a crotchet at 120 that is no more than faint to keen ears fails"`
	CoveredLongS     float64 `name:"covered_long_s" default:"1.25" unit:"s" reason:"a sudden piano is blurred for about a second in a church (common practice), which players and listeners expect; a quarter more to keen ears fails"`
	CoveredFailShare float64 `name:"covered_fail_share" default:"0.6" unit:"1" reason:"most of the first note is lost"`
	RunDipDB         float64 `name:"run_dip_db" default:"2" unit:"dB" reason:"two just noticeable level steps of about 1 dB; about twice the depth at which slow modulation is just detected (from memory)"`
	RunFailDipDB     float64 `name:"run_fail_dip_db" default:"1" unit:"dB" reason:"one just noticeable level step: nothing separates the notes"`
	RunFastS         float64 `name:"run_fast_s" default:"0.5" unit:"s" reason:"onsets further apart than this are heard one by one whatever the dip"`
	RunLowKey        float64 `name:"run_low_key" default:"48" unit:"key" reason:"below C3 neighbouring notes share auditory bands and pipes are slow (ERB at 100 Hz is 35 Hz, Glasberg & Moore 1990)"`
	RunTouch         float64 `name:"run_touch" default:"0.5" unit:"1" reason:"share of their time that repeated notes are held in a resonant building, half their value, but until they have spoken (common practice): what that separates is a matter of touch"`
	RunTogetherS     float64 `name:"run_together_s" default:"2.5" unit:"s" reason:"a pattern that comes round once a bar is one passage (a bar of 4/4 at 96); places further apart are two"`
	LateShiftJND     float64 `name:"late_shift_jnd" default:"1" unit:"1" reason:"what a listener just notices, in the just noticeable displacement of the passage"`
	LateOnsetS       float64 `name:"late_onset_s" default:"0.02" unit:"s" reason:"the least lengthening that listeners notice among notes of 0.1 to 0.4 s in strict time (Clarke, Psychological Research 51, 1989, abstract), whatever is noticed in an even row of clicks"`
	LateWarnS        float64 `name:"late_warn_s" default:"0.05" unit:"s" reason:"what it takes in music whose time breathes as players' does (Clarke 1989, from memory; players who are together lie 30 ms apart: Rasch, Acustica 43, 1979, from memory); less is worth knowing"`
	LateLeastS       float64 `name:"late_least_s" default:"0.03" unit:"s" reason:"a shorter note is a grace note as a notation program exports it, and is played longer"`
	LateShare        float64 `name:"late_share" default:"0.5" unit:"1" reason:"half its amplitude: 6 dB below full speech, where a note is heard to begin at the latest (Vos & Rasch, Perception & Psychophysics 29, 1981, from memory)"`
	LateKeenShare    float64 `name:"late_keen_share" default:"0.18" unit:"1" reason:"15 dB below full speech, where a note is heard to begin at the soonest (as late_share); the favourable end of ranges"`
	BlurClarity      float64 `name:"blur_clarity" default:"0.67" unit:"1" reason:"the old harmony is half as loud to the ear as the new one: plainly heard beside it"`
	BlurPart         float64 `name:"blur_part" default:"0.25" unit:"1" reason:"a quarter of a harmony's length without a clear harmony: the change counts as blurred in what is said of the whole piece"`
	BlurWarnPart     float64 `name:"blur_warn_part" default:"0.5" unit:"1" reason:"share of its own length that a harmony is blurred for to keen ears before it suffers: over before it is clear for longer than it was not"`
	BlurWarnS        float64 `name:"blur_warn_s" default:"0.5" unit:"s" reason:"a crotchet at 120 without a clear harmony is missed, however long the harmony stays"`
	BlurLeastS       float64 `name:"blur_least_s" default:"0.2" unit:"s" reason:"the ear gathers a chord over about 0.2 s (temporal integration, from memory): a shorter blur passes for its attack"`
	RareFail         float64 `name:"rare_fail" default:"0.005" unit:"1" reason:"share of bars of organ music that have as much: one in 200 is two or three in an hour of playing"`
	RareWarn         float64 `name:"rare_warn" default:"0.02" unit:"1" reason:"one bar in 50: once in a piece of some pages"`
	RareNote         float64 `name:"rare_note" default:"0.05" unit:"1" reason:"one bar in 20; what is more usual is how organ music sounds in such a room, and is said once at the top"`
	KeenDB           float64 `name:"keen_db" default:"5" unit:"dB" reason:"listeners' masked thresholds lie up to so much below the mean (Leibold and others, JASA 127, 2010, from memory); the favourable end of ranges"`
	TwoEarsDB        float64 `name:"two_ears_db" default:"3" unit:"dB" reason:"two ears in a reverberant field gain about 3 dB (Koenig, Allen, Berkley & Curtis, JASA 62, 1977); the favourable end of ranges"`
	SoloShare        float64 `name:"solo_share" default:"0.5" unit:"1" reason:"a solo that keeps less than half its loudness does not stand out"`
	SoloFailShare    float64 `name:"solo_fail_share" default:"0.25" unit:"1" reason:"a solo that keeps a quarter of its loudness is lost"`
}

// Played are the limits of the checks on what hands, feet, knobs and keys can do.
// Where the reason says common practice or working figure, no publication stands behind
// the number: it is an average adult's, it differs from player to player, and a teacher's
// word goes before it.
type Played struct {
	PedalLeapS               float64 `name:"pedal_leap_s" default:"0.10" unit:"s" reason:"time to lift a foot and put it down beside where it was (working figure)"`
	PedalLeapSPerM           float64 `name:"pedal_leap_s_per_m" default:"0.35" unit:"s/m" reason:"time to carry a foot along the pedalboard: with the lift about a quarter of a second for an octave of 0.42 m (working figure)"`
	PedalLeapFailShare       float64 `name:"pedal_leap_fail_share" default:"0.6" unit:"1" reason:"with less than this share of the time it needs, the foot does not get there"`
	PedalOctaveThird         float64 `name:"pedal_octave_third" default:"4" unit:"semitones" reason:"both feet in octaves join notes up to about a third apart by heel and toe; wider is a leap of both feet (common practice)"`
	PedalJoinS               float64 `name:"pedal_join_s" default:"0.04" unit:"s" reason:"a gap shorter than this is written as legato: a detached note leaves more"`
	PedalNotesPerS           float64 `name:"pedal_notes_per_s" default:"10" unit:"1/s" reason:"alternating toes in semiquavers at crotchet = 150, about the quickest in the literature (common practice)"`
	PedalNotesFailPerS       float64 `name:"pedal_notes_fail_per_s" default:"13" unit:"1/s" reason:"semiquavers at about crotchet = 200: beyond trained feet (working figure)"`
	HandStretchSemitones     float64 `name:"hand_stretch_semitones" default:"14" unit:"semitones" reason:"an octave is comfortable and a ninth usual; from a tenth on many hands cannot hold it (common practice)"`
	HandStretchFailSemitones float64 `name:"hand_stretch_fail_semitones" default:"16" unit:"semitones" reason:"few hands can hold more than a tenth (common practice)"`
	HandKeys                 int     `name:"hand_keys" default:"5" unit:"keys" reason:"five fingers; a thumb may take two neighbouring keys now and then"`
	HandLeapS                float64 `name:"hand_leap_s" default:"0.06" unit:"s" reason:"time to lift a hand and put it down (working figure)"`
	HandLeapSPerM            float64 `name:"hand_leap_s_per_m" default:"0.45" unit:"s/m" reason:"time to carry a hand along the keyboard (working figure); an octave of keys is 0.165 m (common practice)"`
	HandChangeS              float64 `name:"hand_change_s" default:"0.12" unit:"s" reason:"time to go from one manual to another (working figure)"`
	ThumbKeys                int     `name:"thumb_keys" default:"3" unit:"keys" reason:"a hand whose thumb bridges two manuals has at most two keys above and one below, or one and two (common practice)"`
	EffectVelocity           float64 `name:"effect_velocity" default:"12" unit:"1" reason:"less is an unsteady touch; some 16 steps are a dynamic mark as notation programs export it"`
	EffectChordsShare        float64 `name:"effect_chords_share" default:"0.1" unit:"1" reason:"accents in fewer chords than a tenth are chance, not intention"`
	RestruckS                float64 `name:"restruck_s" default:"0.1" unit:"s" reason:"a key that stays down longer than this when it is asked for again cannot speak anew; a shorter overlap is playing style"`
	VainLoudness             float64 `name:"vain_loudness" default:"0.072" unit:"1" reason:"loudness doubles for 10 dB, so one just noticeable level step of 1 dB is 2^0.1, 7.2 per cent"`
	VainShare                float64 `name:"vain_share" default:"0.6" unit:"1" reason:"in a full chord every key stands out little; a doubled one is in vain where it stands out by clearly less than the others"`
	VainChords               int     `name:"vain_chords" default:"3" unit:"chords" reason:"octaves between free voices meet once or twice; three chords in a row are a doubling"`
	StopMoveS                float64 `name:"stop_move_s" default:"0.4" unit:"s" reason:"one knob moved by a free hand, reach included (working figure)"`
	StopReturnS              float64 `name:"stop_return_s" default:"0.3" unit:"s" reason:"hand from the keys to the jamb and back (working figure)"`
	PistonS                  float64 `name:"piston_s" default:"0.2" unit:"s" reason:"a thumb or toe piston pressed between two notes (working figure)"`
	SteppedDB                float64 `name:"stepped_db" default:"1" unit:"dB" reason:"one just noticeable step of level: a smaller one passes for a smooth crescendo"`
	SteppedWarnDB            float64 `name:"stepped_warn_db" default:"3" unit:"dB" reason:"half or double the power at a blow; a dynamic mark is about 4 dB"`
	BoxVelocity              float64 `name:"box_velocity" default:"20" unit:"1" reason:"more than one dynamic mark of velocity, so a crescendo and not a phrase that breathes"`
	BoxFit                   float64 `name:"box_fit" default:"0.8" unit:"1" reason:"share of the velocities' variance that a straight rise explains: less is not a crescendo"`
	BoxFeetShare             float64 `name:"box_feet_share" default:"0.25" unit:"1" reason:"the box needs the right foot for most of the hairpin; both feet busy for a quarter of it break the swell"`
	ThinComplete             float64 `name:"thin_complete" default:"0.6" unit:"1" reason:"share of the chord that is there at a time; a chord of three with less than two of its notes is not a chord"`
	ThinLoudness             float64 `name:"thin_loudness" default:"0.75" unit:"1" reason:"loudness against the held chord: a quarter less is some 4 dB, a dynamic mark"`
	ThinAliveDB              float64 `name:"thin_alive_db" default:"10" unit:"dB" reason:"a key let go counts as part of the chord until its sound is 10 dB down: half as loud"`
	ThinNotes                int     `name:"thin_notes" default:"6" unit:"notes" reason:"two turns of a figure of three notes; less is a melody that leaps"`
	ThinFlourish             int     `name:"thin_flourish" default:"12" unit:"notes" reason:"a figure that stays on one harmony: two bars of quavers in triple time; less is a flourish"`
	ThinHeld                 float64 `name:"thin_held" default:"0.45" unit:"1" reason:"where the room alone holds the chord: share of its keys that are down at a time; less than half is nothing sustained by the hands"`
	OctaveNotes              int     `name:"octave_notes" default:"6" unit:"octaves" reason:"a run: a few octaves for weight are no habit"`
	OctaveQuickS             float64 `name:"octave_quick_s" default:"0.45" unit:"s" reason:"octaves closer together than a quaver at 66 need the wrist of a pianist (working figure)"`
	OctaveShortS             float64 `name:"octave_short_s" default:"0.45" unit:"s" reason:"octaves held for less are struck, not held (working figure)"`
	OctaveSameDB             float64 `name:"octave_same_db" default:"1" unit:"dB" reason:"one just noticeable step of level"`
	OctaveSpectrumDB         float64 `name:"octave_spectrum_db" default:"3" unit:"dB" reason:"mean difference of the auditory bands: half or double the power, the size of a change of stop within a family (working figure)"`
	OpenKeys                 int     `name:"open_keys" default:"5" unit:"keys" reason:"more than one hand: a dense chord"`
	OpenChords               int     `name:"open_chords" default:"6" unit:"chords" reason:"a chord struck two or three times says little; six in a row are a texture"`
	OpenRepeats              float64 `name:"open_repeats" default:"0.5" unit:"1" reason:"share of the chords that are the last one again: less is a hymn or a march of harmonies"`
	OpenChangingKeys         float64 `name:"open_changing_keys" default:"6" unit:"keys" reason:"chords that change: both hands full, three keys each; with fewer it is a hymn"`
	OpenApartS               float64 `name:"open_apart_s" default:"1.6" unit:"s" reason:"minims at 75: chords further apart are held chords"`
	SoloNotes                int     `name:"solo_notes" default:"8" unit:"notes" reason:"two bars of a tune: less is an episode"`
	SoloPassageBars          int     `name:"solo_passage_bars" default:"6" unit:"bars" reason:"a solo in the midst of a piece lasts a period: episodes of a fugue have two or three bars of a figure"`
	SoloFigured              float64 `name:"solo_figured" default:"0.55" unit:"1" reason:"share of the other hand's notes that break or repeat chords: most of them, so an accompaniment and no second voice"`
	SoloApartShare           float64 `name:"solo_apart_share" default:"0.75" unit:"1" reason:"a solo on its own manual at the same mark that keeps three quarters of its loudness is carried by its colour, one with the stops of its accompaniment by where it lies"`
}

// Threshold is one limit with its default, unit and reason.
type Threshold struct {
	Name    string
	Default float64
	Unit    string
	Reason  string

	index []int // of the field in Thresholds
}

// Table lists every threshold in the order of the fields.
var Table = tableOf(reflect.TypeFor[Thresholds]())

// tableOf reads the tags; a field that lacks one is a fault of the program and ends it at its start.
func tableOf(t reflect.Type) []Threshold {
	var out []Threshold
	for _, f := range reflect.VisibleFields(t) {
		if f.Anonymous {
			continue
		}
		x := Threshold{Name: f.Tag.Get("name"), Unit: f.Tag.Get("unit"), Reason: f.Tag.Get("reason"), index: f.Index}
		var err error
		x.Default, err = strconv.ParseFloat(f.Tag.Get("default"), 64)
		counted := f.Type.Kind() == reflect.Int
		if f.Type.Kind() != reflect.Float64 && !counted || counted && x.Default != math.Trunc(x.Default) || x.Name == "" || x.Unit == "" || x.Reason == "" || err != nil {
			panic(fmt.Sprintf("threshold %s.%s: a float64, or an int with a whole default, with the tags name, default, unit and reason is wanted", t.Name(), f.Name))
		}
		out = append(out, x)
	}
	return out
}

// Of is the threshold's value in t.
func (x Threshold) Of(t *Thresholds) float64 {
	f := reflect.ValueOf(t).Elem().FieldByIndex(x.index)
	if f.CanInt() {
		return float64(f.Int())
	}
	return f.Float()
}

// put sets the threshold's value in t; what is counted must be a whole number.
func (x Threshold) put(t *Thresholds, v float64) error {
	f := reflect.ValueOf(t).Elem().FieldByIndex(x.index)
	if !f.CanInt() {
		f.SetFloat(v)
		return nil
	}
	if v != math.Trunc(v) || math.Abs(v) > 1e9 {
		return fmt.Errorf("%s = %g: %s are counted; give a whole number", x.Name, v, x.Unit)
	}
	f.SetInt(int64(v))
	return nil
}

// Defaults are the thresholds with their default values.
func Defaults() Thresholds {
	var t Thresholds
	for _, x := range Table {
		if err := x.put(&t, x.Default); err != nil {
			panic(err) // tableOf has looked
		}
	}
	return t
}

// Set changes one threshold; it errs on a name that is not in Table, and on a part of what is counted.
func (t *Thresholds) Set(name string, v float64) error {
	names := make([]string, 0, len(Table))
	for _, x := range Table {
		if x.Name == name {
			return x.put(t, v)
		}
		names = append(names, x.Name)
	}
	return fmt.Errorf("no threshold is called %q; there are %s", name, strings.Join(names, ", "))
}

// Map is every threshold by its name.
func (t *Thresholds) Map() map[string]float64 {
	m := make(map[string]float64, len(Table))
	for _, x := range Table {
		m[x.Name] = x.Of(t)
	}
	return m
}
