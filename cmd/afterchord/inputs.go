package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/room"
	"afterchord/acoustics/tomlread"
	"afterchord/cmd/internal/heap"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/voicing"

	"github.com/spf13/cobra"
)

// inputFlags are the choices that every command which runs a score shares.
type inputFlags struct {
	room     string
	rt       float64
	volume   float64
	people   string
	organ    string
	tempo    string
	seat     string
	assign   []string
	settings string
	stops    string
	printed  bool
	upbeat   string
}

func (f *inputFlags) register(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.room, "room", "parish-church", "built-in room, room file (.toml) or measured response (.wav): "+strings.Join(room.BuiltIns(), ", "))
	fl.Float64Var(&f.rt, "rt", 0, "reverberation time in seconds, mean of 500 Hz and 1 kHz (replaces --room)")
	fl.Float64Var(&f.volume, "volume", 0, "with --rt: the room's volume, m³ (left out: guessed from the time)")
	fl.StringVar(&f.people, "people", "empty", "how many people sit in the room: a number, or empty, half or full")
	fl.StringVar(&f.organ, "organ", "minster", "built-in organ or organ file (.toml): "+strings.Join(voicing.BuiltIns(), ", "))
	fl.StringVar(&f.tempo, "tempo", "", "factor (0.8) or, above 10, crotchets a minute at the start (72)")
	fl.StringVar(&f.seat, "seat", "middle", "front, middle, back, console, or metres from the organ")
	fl.StringArrayVar(&f.assign, "assign", nil, `which division plays a part: "Track 3=Pedal" (may be repeated)`)
	fl.StringVar(&f.stops, "stops", "", "file of stop changes, which override the dynamic plan (one a line: bar 9 beat 1: Gt 8' flutes)")
	fl.BoolVar(&f.printed, "as-printed", false, "play every bar once in the order of the page: no repeats, voltas, da capo or dal segno")
	fl.StringVar(&f.upbeat, "upbeat", "", "length in crotchets (1, 0.5, 1/2) of the pickup in a MIDI file that counts it as a full bar, or none (left out: guessed from the music)")
	fl.StringVar(&f.settings, "settings", "", "TOML file with thresholds to change ([thresholds] name = number)")
}

// files are the files that a run reads; what names no file is among them and does no harm.
func (f *inputFlags) files(scores ...string) []string {
	return append(slices.Clone(scores), f.room, f.organ, f.stops, f.settings)
}

// roomOfTime is a church of which the reverberation time is known, s, and the volume, m³, or 0: then it is guessed, which a caution says.
func roomOfTime(rt, volume float64) (*room.Room, error) {
	r, err := room.FromRTAndVolume(rt, volume)
	if err != nil {
		return nil, usageError{err}
	}
	if volume == 0 {
		r.Cautions = append(r.Cautions, fmt.Sprintf("the volume of %s m³ is a guess from the time; half or twice as much is as likely", fixed(r.VolumeM3, 0)))
	}
	return r, nil
}

// load reads everything that the flags name.
func (f *inputFlags) load(cmd *cobra.Command, path string) (proof.Input, error) {
	heap.Reserve()
	// What does not depend on the score is got ready on another core, where there is one, while the files are read.
	go proof.Hearing()
	go voicing.BuiltIn(f.organ)
	var in proof.Input
	var err error
	if cmd.Flags().Changed("rt") {
		if cmd.Flags().Changed("room") {
			return in, usagef("give --room or --rt, not both")
		}
		if in.Room, err = roomOfTime(f.rt, f.volume); err != nil {
			return in, err
		}
	} else if cmd.Flags().Changed("volume") {
		return in, usagef("--volume goes with --rt; a room file has its own volume")
	} else if in.Room, err = loadRoom(f.room); err != nil {
		return in, err
	}
	if in.Room, err = peopled(in.Room, f.people); err != nil {
		return in, err
	}
	go in.Room.Decay()
	if in.Seat, err = in.Room.Seat(f.seat); err != nil {
		return in, usageError{err}
	}
	if in.Organ, err = loadOrgan(f.organ); err != nil {
		return in, err
	}
	if f.stops != "" {
		data, err := readFile(f.stops, 1<<20)
		if err != nil {
			return in, err
		}
		if in.Player.Stops, err = voicing.ParseStopsFile(in.Organ, data, filepath.Base(f.stops)); err != nil {
			return in, err
		}
	}
	in.Player.Assign = map[string]string{}
	for _, a := range f.assign {
		part, division, ok := strings.Cut(a, "=")
		if !ok {
			return in, usagef(`--assign %q: expected "PART=DIVISION", for example --assign "Track 3=Pedal"`, a)
		}
		in.Player.Assign[strings.TrimSpace(part)] = strings.TrimSpace(division)
	}
	if in.Thresholds, err = loadSettings(f.settings); err != nil {
		return in, err
	}
	reading, err := f.reading()
	if err != nil {
		return in, err
	}
	if in.Score, err = loadScore(path, reading); err != nil {
		return in, err
	}
	if in.Tempo, err = tempoFactor(f.tempo, in.Score); err != nil {
		return in, err
	}
	return in, nil
}

// reading is how the flags want the score read.
func (f *inputFlags) reading() (file.Options, error) {
	o := file.Options{AsPrinted: f.printed}
	switch f.upbeat {
	case "":
		return o, nil
	case "none", "0":
		o.Upbeat = file.NoUpbeat
		return o, nil
	}
	over, under, fraction := strings.Cut(f.upbeat, "/")
	v, err := strconv.ParseFloat(over, 64)
	if fraction && err == nil {
		var n float64
		n, err = strconv.ParseFloat(under, 64)
		v /= n
	}
	if err != nil || !(v > 0 && v <= 64) {
		return o, usagef(`--upbeat %q: give crotchets before the first full bar (1, 0.5, 1/2), or "none"`, f.upbeat)
	}
	o.Upbeat = v
	return o, nil
}

// peopled is the room with the people that --people names.
func peopled(r *room.Room, people string) (*room.Room, error) {
	n, err := r.ParsePeople(people)
	if err != nil {
		return nil, usageError{err}
	}
	if r, err = r.WithPeople(n); err != nil {
		return nil, usageError{err}
	}
	return r, nil
}

// maxScore is the largest score file that is read, bytes.
const maxScore = 256 << 20

// stdin is the SCORE that stands for standard input.
const stdin = "-"

// loadScore reads a file, standard input as "-", or, as demo:NAME, one of the demo pieces.
func loadScore(path string, o file.Options) (*score.Score, error) {
	if path == stdin {
		data, err := readLimited(os.Stdin, "standard input", maxScore)
		if err != nil {
			return nil, err
		}
		return file.ReadWith(data, "stdin", o)
	}
	if name, ok := strings.CutPrefix(path, "demo:"); ok {
		data, ok := demos.Piece(name)
		if !ok {
			return nil, usagef("there is no demo %q; there are %s", name, strings.Join(demos.Names, ", "))
		}
		return file.ReadWith(data, demos.File(name), o)
	}
	data, err := readFile(path, maxScore)
	if err != nil {
		return nil, err
	}
	return file.ReadWith(data, filepath.Base(path), o)
}

// readFile reads a regular file up to a limit.
func readFile(path string, limit int64) ([]byte, error) {
	st, err := os.Stat(path)
	if err != nil {
		return nil, plainError(path, err)
	}
	if st.IsDir() {
		return nil, fmt.Errorf("%s: is a folder; name a file", path)
	}
	if !st.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: is a pipe or a device; name a file (a SCORE may come from standard input as -)", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, plainError(path, err)
	}
	defer f.Close()
	return readLimited(f, path, limit)
}

// readLimited reads a source that is named in errors, up to a limit.
func readLimited(r io.Reader, name string, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, plainError(name, err)
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("%s: is larger than the %d MB that are read", name, limit>>20)
	}
	return data, nil
}

// plainError says a file error once: "x.mid: no such file or directory".
func plainError(path string, err error) error {
	if pe, ok := err.(*fs.PathError); ok {
		err = pe.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}

func loadRoom(name string) (*room.Room, error) {
	if r, ok := room.BuiltIn(name); ok {
		return r, nil
	}
	if !strings.ContainsAny(name, "./\\") {
		return nil, usagef("there is no room %q; built in are %s; a room file ends in .toml, a measured response in .wav", name, strings.Join(room.BuiltIns(), ", "))
	}
	return room.Load(name)
}

func loadOrgan(name string) (*voicing.Organ, error) {
	if o, ok := voicing.BuiltIn(name); ok {
		return o, nil
	}
	if !strings.ContainsAny(name, "./\\") {
		return nil, usagef("there is no organ %q; built in are %s; an organ file ends in .toml", name, strings.Join(voicing.BuiltIns(), ", "))
	}
	data, err := readFile(name, 4<<20)
	if err != nil {
		return nil, err
	}
	return voicing.Parse(data, filepath.Base(name))
}

// loadSettings reads thresholds over the defaults.
func loadSettings(path string) (*finding.Thresholds, error) {
	t := finding.Defaults()
	if path == "" {
		return &t, nil
	}
	data, err := readFile(path, 1<<20)
	if err != nil {
		return nil, err
	}
	var file struct {
		Thresholds map[string]float64 `toml:"thresholds"`
	}
	if err := tomlread.Strict(data, &file); err != nil {
		return nil, settingsError(path, err)
	}
	for _, name := range slices.Sorted(maps.Keys(file.Thresholds)) {
		v := file.Thresholds[name]
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%s: threshold %q is not a number", path, name)
		}
		if err := t.Set(name, v); err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
	}
	return &t, nil
}

// settingsError is a mistake in a settings file on one line with its place.
func settingsError(path string, err error) error {
	var e *tomlread.Error
	switch {
	case !errors.As(err, &e):
		return fmt.Errorf("%s: %w", path, err)
	case e.Key != "":
		return fmt.Errorf("%s:%d: %q is not a setting; there is [thresholds]", path, e.Line, e.Key)
	}
	return fmt.Errorf("%s:%d: %s", path, e.Line, e.Text())
}

// tempoFactor reads --tempo: a factor, or crotchets a minute above 10.
func tempoFactor(text string, s *score.Score) (float64, error) {
	if text == "" {
		return 1, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || v <= 0 || v > 2000 {
		return 0, usagef("--tempo %q: give a factor such as 0.8, or crotchets a minute such as 72", text)
	}
	if v <= 10 {
		if v < 0.05 {
			return 0, usagef("--tempo %q: the smallest factor is 0.05", text)
		}
		return v, nil
	}
	return v / s.TempoAt(0), nil
}
