// Package proof runs the whole chain on one score, room and organ and holds what it found.
package proof

import "afterchord/sim/finding"

// Schema is the version of the JSON document.
const Schema = 1

// Document is proof.json: everything the report shows. Times in s from the start of the
// piece, levels in dB re 20 µPa at the seat.
type Document struct {
	Schema    int               `json:"schema"`
	Score     ScoreInfo         `json:"score"`
	Room      RoomInfo          `json:"room"`
	Organ     OrganInfo         `json:"organ"`
	Settings  Settings          `json:"settings"`
	Sound     *SoundInfo        `json:"sound,omitempty"`
	Whole     *finding.Whole    `json:"whole,omitempty"` // what the room does to the harmony of the whole piece
	Findings  []finding.Finding `json:"findings"`
	Remarks   []Remark          `json:"remarks"`
	Unread    int               `json:"unread,omitempty"` // instructions about stops among the remarks that were not read: what sounds may not be what was asked for
	Timeline  Timeline          `json:"timeline"`
	Divisions []string          `json:"divisions"`
	Bars      []BarInfo         `json:"bars"`
	Notes     []NoteInfo        `json:"notes"`
	Remedies  []RemedyInfo      `json:"remedies,omitempty"`
}

// ScoreInfo is what was read.
type ScoreInfo struct {
	File      string  `json:"file"`
	Title     string  `json:"title"`
	Format    string  `json:"format"`
	Bars      int     `json:"bars"`
	Notes     int     `json:"notes"`
	DurationS float64 `json:"duration_s"`
}

// RoomInfo is the room and the seat; maps are keyed by octave band centre in Hz.
type RoomInfo struct {
	Name      string             `json:"name"`
	Title     string             `json:"title"`
	VolumeM3  float64            `json:"volume_m3"`
	RT60      map[string]float64 `json:"rt60_s"`
	UnsureHz  []float64          `json:"unsure_hz,omitempty"` // octave bands of rt60_s that were measured but are not sure
	EDT       float64            `json:"edt_s"`               // mean of 500 Hz and 1 kHz
	C80       float64            `json:"c80_db"`              // mean of 500 Hz and 1 kHz
	D50       float64            `json:"d50"`
	Seat      string             `json:"seat"`
	DistanceM float64            `json:"distance_m"`
	CriticalM float64            `json:"critical_distance_m"`
	NoiseDBA  float64            `json:"noise_dba"`
	Arrivals  []Arrival          `json:"arrivals,omitempty"`
	Cautions  []string           `json:"cautions,omitempty"` // of a measured room: what its figures have to be read with
	Fillings  []FillingInfo      `json:"fillings,omitempty"` // of a measured room: as it was measured, and with people
}

// FillingInfo is the reverberation time of a room with so many people in it.
type FillingInfo struct {
	People   int     `json:"people"`
	RTS      float64 `json:"rt_s"` // mean of 500 Hz and 1 kHz
	Computed bool    `json:"computed,omitempty"`
}

// Arrival is how late a division reaches the seat after its key goes down, before its
// pipes have begun to speak: at the console it is what the player has to play ahead of.
type Arrival struct {
	Division  string  `json:"division"`
	DistanceM float64 `json:"distance_m"`
	ActionMS  float64 `json:"action_ms"` // from key to pallet
	AirMS     float64 `json:"air_ms"`    // from pipe to seat
	TotalMS   float64 `json:"total_ms"`
}

// OrganInfo is the instrument and how the score was laid on it.
type OrganInfo struct {
	Name        string           `json:"name"`
	Title       string           `json:"title"`
	PitchHz     float64          `json:"pitch_hz"`
	Temperament string           `json:"temperament"`
	Mapping     []MappingInfo    `json:"mapping"`
	Changes     []ChangeInfo     `json:"registration"`
	Dynamics    []PassageInfo    `json:"dynamics"`
	Box         []BoxInfo        `json:"box,omitempty"`
	Levels      map[string]Level `json:"levels,omitempty"`
}

// Level is a range in dB re 20 µPa.
type Level struct {
	Low  float64 `json:"low_db"`
	High float64 `json:"high_db"`
}

// MappingInfo says which division plays a part.
type MappingInfo struct {
	Part     string `json:"part"`
	Division string `json:"division"`
	Why      string `json:"why"`
	Notes    int    `json:"notes"`
	Assumed  bool   `json:"assumed,omitempty"` // from staff and register, not from a name or the user's word
}

// ChangeInfo is one registration: the stops and couplers that come on and go off.
type ChangeInfo struct {
	AtS  float64  `json:"at_s"`
	Bar  int      `json:"bar"`
	Beat float64  `json:"beat"`
	On   []string `json:"on"`
	Off  []string `json:"off"`
	Why  string   `json:"why"`
}

// BoxInfo is where the box of a division stands: 0 shut … 1 open. Between two moves of a
// division it goes in a straight line; before the first it is open.
type BoxInfo struct {
	AtS      float64 `json:"at_s"`
	Bar      int     `json:"bar"`
	Beat     float64 `json:"beat"`
	Division string  `json:"division"`
	Open     float64 `json:"open"`
}

// PassageInfo is the dynamic that a part was taken to have.
type PassageInfo struct {
	Part    string `json:"part"`
	Bar     int    `json:"bar"`
	ToBar   int    `json:"to_bar"`
	Dynamic string `json:"dynamic"`
	Source  string `json:"source"`
}

// Settings are the choices that the run was made with.
type Settings struct {
	TempoFactor float64            `json:"tempo_factor"`
	Crotchets   float64            `json:"crotchets_a_minute"` // at the start, as played
	Thresholds  map[string]float64 `json:"thresholds"`
	Version     string             `json:"version"`
	ReadAs      string             `json:"read_as,omitempty"` // how the score was read, where not as usual
}

// SoundInfo describes the sound: heard.wav, or heard-ears.wav for headphones.
type SoundInfo struct {
	File        string  `json:"file"`
	Ears        bool    `json:"ears,omitempty"` // for headphones: a plain sphere for a head
	RateHz      int     `json:"rate_hz"`
	Bits        int     `json:"bits"`
	DurationS   float64 `json:"duration_s"`
	FullScaleDB float64 `json:"full_scale_db"` // dB SPL of a full-scale peak: turn playback up until this is true and it is as loud as in the room
	PeakDBFS    float64 `json:"peak_dbfs"`
	LoudestDB   float64 `json:"loudest_db"` // highest level at the seat over 125 ms
}

// Remark is something assumed, repaired or not understood.
type Remark struct {
	Bar  int    `json:"bar"` // 0 where it concerns the whole score
	Text string `json:"text"`
}

// Timeline holds one value per StepS.
type Timeline struct {
	StepS      float64   `json:"step_s"`
	LevelDB    []float32 `json:"level_db"`    // of what is sounding now; -99 below the threshold of hearing
	ResidueDB  []float32 `json:"residue_db"`  // of what is left over from keys already up
	HeardShare []float32 `json:"heard_share"` // 0..1
	Clarity    []float32 `json:"clarity,omitempty"`
}

// BarInfo is one bar of the picture.
type BarInfo struct {
	Number  int      `json:"number"`
	AtS     float64  `json:"at_s"`
	Clarity *float64 `json:"clarity,omitempty"`
}

// NoteInfo is one note of the picture.
type NoteInfo struct {
	OnS      float64 `json:"on_s"`
	OffS     float64 `json:"off_s"`
	Key      int     `json:"key"`
	Division int     `json:"division"` // index into Document.Divisions
	Share    float64 `json:"heard_share"`
	// Found is the severity of the worst finding that concerns the note, fail or warning; empty where there is none.
	Found finding.Severity `json:"found,omitempty"`
}

// RemedyInfo is a rewriting that was proved on a finding of the document.
type RemedyInfo struct {
	Finding     int            `json:"finding"` // the finding's id
	Remedy      string         `json:"remedy"`
	What        string         `json:"what"`    // what is changed, one sentence
	Verdict     string         `json:"verdict"` // what it is worth, one sentence
	Helps       bool           `json:"helps"`
	LostBeforeS float64        `json:"lost_before_s"` // the finding's weight as written …
	LostAfterS  float64        `json:"lost_after_s"`  // … and as rewritten
	Figures     []FigureChange `json:"figures"`
}

// FigureChange is one measured value before and after; After is nil where the check no longer
// finds anything.
type FigureChange struct {
	Name   string   `json:"name"`
	Before float64  `json:"before"`
	After  *float64 `json:"after"`
}
