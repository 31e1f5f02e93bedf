package compare

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"afterchord/acoustics/loudness"
	"afterchord/acoustics/room"
	afwav "afterchord/acoustics/wav"
	"afterchord/sim/demos"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
	"afterchord/sim/sound"
	"afterchord/voicing"

	"github.com/go-audio/wav"
	"github.com/stretchr/testify/require"
)

func run(t testing.TB, name, roomName string, tempo float64) *proof.Proof {
	t.Helper()
	data, ok := demos.Piece(name)
	require.True(t, ok)
	s, err := smf.Read(data, name+".mid")
	require.NoError(t, err)
	r, ok := room.BuiltIn(roomName)
	require.True(t, ok)
	seat, err := r.Seat("middle")
	require.NoError(t, err)
	o, ok := voicing.BuiltIn("village")
	require.True(t, ok)
	p, err := proof.Run(context.Background(), proof.Input{Score: s, Room: r, Seat: seat, Organ: o, Tempo: tempo})
	require.NoError(t, err)
	return p
}

// read decodes a WAV file with a general-purpose library.
func read(t *testing.T, path string) ([]float32, int) {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	d := wav.NewDecoder(f)
	b, err := d.FullPCMBuffer()
	require.NoError(t, err)
	out := make([]float32, len(b.Data))
	for i, v := range b.Data {
		out[i] = float32(float64(v) / 32768)
	}
	return out, b.Format.SampleRate
}

func TestSoundsAreMatched(t *testing.T) {
	dir := t.TempDir()
	var jobs []sound.Job
	for _, roomName := range []string{"practice-room", "cathedral"} {
		j := run(t, "drop", roomName, 1).Job(16000, false)
		j.Events = j.Events[:60]
		jobs = append(jobs, j)
	}
	paths := []string{filepath.Join(dir, "a.wav"), filepath.Join(dir, "b.wav")}
	for _, m := range []Match{SameLoudness, SameScale} {
		levels, err := Sounds(context.Background(), jobs, paths, afwav.Int16, m, nil)
		require.NoError(t, err)
		var got [2]float64
		top := 0.0
		for i, p := range paths {
			t.Run(p, func(t *testing.T) {
				x, rate := read(t, p)
				require.Equal(t, 16000, rate)
				meter := loudness.NewMeter(rate)
				meter.Add(x)
				got[i] = meter.Integrated()
				require.InDelta(t, got[i], levels[i].LoudnessLKFS, 0.1)
				for _, v := range x {
					top = math.Max(top, math.Abs(float64(v)))
				}
			})
		}
		require.InDelta(t, math.Pow(10, -1.0/20), top, 0.01, "the largest sample of both lies at -1 dBFS")
		if m == SameLoudness {
			require.InDelta(t, got[0], got[1], 0.1)
		} else {
			require.Zero(t, levels[0].GainDB)
			require.Zero(t, levels[1].GainDB)
			require.Greater(t, math.Abs(got[0]-got[1]), 1.0, "two such rooms are not equally loud")
		}
	}
	left, err := filepath.Glob(filepath.Join(dir, ".*"))
	require.NoError(t, err)
	require.Empty(t, left)
}

// What sounds of one place have in common, and what is not measured, changes no sample.
func TestASoundIsTheSameBesideAnother(t *testing.T) {
	dir := t.TempDir()
	j := run(t, "drop", "chapel", 1).Job(16000, false)
	j.Events = j.Events[:20]
	write := func(m Match, jobs ...sound.Job) ([]byte, []Level) {
		paths := []string{filepath.Join(dir, "a.wav"), filepath.Join(dir, "b.wav")}[:len(jobs)]
		levels, err := Sounds(context.Background(), jobs, paths, afwav.Int24, m, nil)
		require.NoError(t, err)
		b, err := os.ReadFile(paths[len(paths)-1])
		require.NoError(t, err)
		return b, levels
	}
	alone, measured := write(SameScale, j)
	beside, levels := write(ScaleAlone, j, j)
	require.Equal(t, alone, beside)
	require.Equal(t, measured[0].PeakDBFS, levels[1].PeakDBFS)
	require.True(t, math.IsNaN(levels[1].LoudnessLKFS))
}

func TestSoundsStopAndLeaveNothing(t *testing.T) {
	dir := t.TempDir()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	p := run(t, "drop", "practice-room", 1)
	_, err := Sounds(ctx, []sound.Job{p.Job(16000, false)}, []string{filepath.Join(dir, "a.wav")}, afwav.Int16, SameScale, nil)
	require.ErrorIs(t, err, context.Canceled)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left)
}

func TestTheSameProofTwiceDiffersNowhere(t *testing.T) {
	d := run(t, "drop", "cathedral", 1).Document
	x := Documents(d, d)
	require.Empty(t, x.OnlyA)
	require.Empty(t, x.OnlyB)
	require.Len(t, x.Common, len(d.Findings))
	require.Empty(t, x.Differing(100))
	require.Len(t, x.Bars, 12)
}

func TestADryRoomLeavesMoreToBeHeard(t *testing.T) {
	x := Documents(run(t, "drop", "practice-room", 1).Document, run(t, "drop", "cathedral", 1).Document)
	require.Empty(t, x.OnlyA)
	require.NotEmpty(t, x.OnlyB)
	more := 0
	for _, b := range x.Bars {
		require.GreaterOrEqual(t, b.HeardShare[0], b.HeardShare[1]-0.05, "bar %d", b.Number)
		if b.HeardShare[0] > b.HeardShare[1]+0.1 {
			more++
		}
	}
	require.Greater(t, more, 5)
	for _, b := range x.Differing(3) {
		require.Equal(t, "A", b.Which())
	}
}

// At another tempo bars are still set beside each other by their numbers.
func TestBarsMatchAcrossTempi(t *testing.T) {
	x := Documents(run(t, "dotted", "chapel", 1).Document, run(t, "dotted", "chapel", 0.5).Document)
	require.Len(t, x.Bars, 10)
	require.InDelta(t, 2*x.A.DurationS, x.B.DurationS, 0.2)
	for i, b := range x.Bars {
		require.Equal(t, i+1, b.Number)
		require.InDelta(t, b.LevelDB[0], b.LevelDB[1], 3)
	}
}

func BenchmarkDocuments(b *testing.B) {
	d := run(b, "drop", "chapel", 1).Document
	for b.Loop() {
		Documents(d, d)
	}
}
