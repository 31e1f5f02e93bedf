package sweep

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"testing"

	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

func options(t testing.TB, name string, rooms ...string) Options {
	t.Helper()
	data, ok := demos.Piece(name)
	require.True(t, ok)
	s, err := smf.Read(data, name+".mid")
	require.NoError(t, err)
	organ, ok := voicing.BuiltIn("minster")
	require.True(t, ok)
	o := Options{Input: proof.Input{Score: s, Organ: organ}, Seat: "middle", Organs: []*voicing.Organ{organ}}
	for _, n := range rooms {
		r, ok := room.BuiltIn(n)
		require.True(t, ok)
		o.Rooms = append(o.Rooms, r)
	}
	return o
}

func TestSweepDoesNotDependOnTheWorkers(t *testing.T) {
	o := options(t, "dotted", "practice-room", "parish-church")
	o.Tempi = []float64{0.7, 1}
	var got []string
	for _, n := range []int{1, 3} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			o.Workers = n
			r, err := Run(context.Background(), o, nil)
			require.NoError(t, err)
			b, err := json.Marshal(r)
			require.NoError(t, err)
			got = append(got, string(b))
		})
	}
	require.Equal(t, got[0], got[1])
}

// A dotted figure in low pedal notes runs together sooner in the more reverberant room (common practice:
// the bigger the building, the slower the tempo).
func TestTheBiggerTheBuildingTheSlower(t *testing.T) {
	o := options(t, "dotted", "practice-room", "concert-hall", "cathedral")
	o.Tempi = []float64{0.5, 0.7, 0.85, 1, 1.2}
	calls := 0
	r, err := Run(context.Background(), o, func(done, total float64) { calls++; require.LessOrEqual(t, done, total) })
	require.NoError(t, err)
	require.Equal(t, 15, calls)
	require.Len(t, r.Cells, 15)
	require.GreaterOrEqual(t, r.Fastest[0].Survives, r.Fastest[1].Survives)
	require.GreaterOrEqual(t, r.Fastest[1].Survives, r.Fastest[2].Survives)
	require.Greater(t, r.Fastest[0].Survives, r.Fastest[2].Survives)
	for _, f := range r.Fastest {
		require.LessOrEqual(t, f.Clean, f.Survives)
	}
	// one cell is what one proof says
	in := o.Input
	in.Room, in.Tempo = o.Rooms[2], 1
	in.Seat, err = in.Room.Seat("middle")
	require.NoError(t, err)
	p, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	n := 0
	for _, f := range p.Document.Findings {
		if f.Severity == "fail" {
			n++
		}
	}
	c := r.at(0, 2, 3)
	require.Equal(t, n, c.Findings.Fails)
	require.InDelta(t, c.Findings.LostS/p.Document.Score.DurationS, c.LostShare, 1e-4, "shares of the piece, whose length the tempo changes")
	require.Equal(t, finding.Fail, c.Stops.Severity)
	for _, f := range p.Document.Findings {
		if f.Where == c.Stops.Where && f.Kind == c.Stops.Kind {
			require.Equal(t, c.Stops.weight, f.Weight)
		}
		if f.Severity == "fail" {
			require.LessOrEqual(t, f.Weight, c.Stops.weight, "the one that eats most stops it")
		}
	}
	require.NotNil(t, r.Fastest[2].Next)
	for i := range r.Cells {
		require.Equal(t, r.Cells[i].Clean, r.Cells[i].Stops == nil)
	}
}

func TestPassagesCoverThePiece(t *testing.T) {
	o := options(t, "drop", "chapel", "cathedral")
	o.Tempi = []float64{1}
	r, err := Run(context.Background(), o, nil)
	require.NoError(t, err)
	next := 1
	for _, l := range r.Passages {
		require.Equal(t, next, l.FromBar)
		next = l.ToBar + 1
	}
	require.Equal(t, 13, next)
	require.Equal(t, 7, r.Passages[1].FromBar, "the change of dynamic cuts")
	require.Equal(t, "cathedral", r.Passages[0].MostReverberant)
	require.NotEqual(t, "cathedral", r.Passages[1].MostReverberant, "the entry is covered there")
}

func TestCSVHasALineForEachCell(t *testing.T) {
	o := options(t, "drop", "chapel", "abbey")
	o.Tempi = []float64{0.8, 1}
	r, err := Run(context.Background(), o, nil)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, r.WriteCSV(&b))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 5)
	require.Equal(t, "abbey", rows[3][1])
	require.Equal(t, "60.8", rows[3][4])
}

func TestSweepStops(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	o := options(t, "drop", "chapel")
	o.Tempi = []float64{1}
	_, err := Run(ctx, o, nil)
	require.ErrorIs(t, err, context.Canceled)
	o.Tempi = nil
	_, err = Run(context.Background(), o, nil)
	require.ErrorContains(t, err, "no rooms, tempi or organs")
}

func TestParseTempi(t *testing.T) {
	for _, x := range []struct {
		text string
		want []float64
	}{
		{"1", []float64{1}},
		{"0.7..1.2", []float64{0.7, 0.8, 0.9, 1, 1.1, 1.2}},
		{"0.9..1/0.05", []float64{0.9, 0.95, 1}},
		{"1.1, 0.9,0.9", []float64{0.9, 1.1}},
		{"60..90/15", []float64{0.5, 0.625, 0.75}}, // of 120
		{"96", []float64{0.8}},
	} {
		t.Run(x.text, func(t *testing.T) {
			got, err := ParseTempi(x.text, 120)
			require.NoError(t, err, x.text)
			require.InDeltaSlice(t, x.want, got, 1e-9, x.text)
		})
	}
	for _, bad := range []string{"", "x", "0", "-1", "0.7..", "1..0.5", "0.5..1/0", "0.05..10/0.001", "NaN", "0.01", "1e9"} {
		t.Run(bad, func(t *testing.T) {
			_, err := ParseTempi(bad, 120)
			require.Error(t, err, bad)
			require.NotContains(t, err.Error(), "\n")
		})
	}
}
