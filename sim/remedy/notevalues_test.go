package remedy

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

func TestNoteValuesHaveNames(t *testing.T) {
	s := page(1, 60)
	for length, name := range map[score.Tick]string{60: "demisemiquaver", 90: "dotted demisemiquaver", 120: "semiquaver", 240: "quaver",
		360: "dotted quaver", 420: "double-dotted quaver", 480: "crotchet", 1440: "dotted minim", 1680: "double-dotted minim", 1920: "semibreve",
		160: "", 600: "", 1280: ""} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, name, valueName(s, length), "%d ticks", length)
		})
	}
	require.Equal(t, "a dotted quaver", aValue(s, 360))
	require.Equal(t, "2.67 crotchets", aValue(s, 1280))
	require.Equal(t, "12.5 crotchets", aValue(s, 6000))
	for ticks, name := range map[score.Tick]string{1: "semiquaver", 2: "quaver", 3: "dotted quaver", 4: "crotchet", 16: "semibreve", 5: ""} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, name, valueName(&score.Score{TicksPerCrotchet: 4}, ticks), "%d of 4 ticks a crotchet", ticks)
		})
	}
}

func TestRestBeforeIsPlain(t *testing.T) {
	s := page(1, 60)
	for _, row := range []struct {
		why                string
		from, to, at, want score.Tick
	}{
		{"a semibreve spares a crotchet", 0, 4 * tpc, tpc, tpc},
		{"and a dotted minim, of which a quarter stays", 0, 4 * tpc, 4 * tpc, 3 * tpc},
		{"a minim has room for a dotted crotchet", 0, 2 * tpc, 2 * tpc, 3 * tpc / 2},
		{"a crotchet never gives an odd part", 0, tpc, tpc, 3 * tpc / 4},
		{"no more than is asked for", 0, 2 * tpc, tpc / 2, tpc / 2},
		{"half of a semiquaver", 0, tpc / 4, tpc, tpc / 8},
		{"half of a triplet quaver", 2 * tpc / 3, tpc, tpc, tpc / 6},
		{"a triplet crotchet that is longer than asked for stays", tpc / 3, tpc, tpc / 4, 0},
		{"what is played freely gives what is asked for", 7, 4*tpc - 11, tpc, tpc},
	} {
		t.Run(row.why, func(t *testing.T) {
			require.Equal(t, row.want, restBefore(s, row.from, row.to, row.at), row.why)
		})
	}
}

func TestPlainPartIsPlain(t *testing.T) {
	s := page(1, 60)
	for _, row := range []struct {
		length score.Tick
		share  float64
		want   score.Tick // 0: none
	}{{tpc, 0.75, 3 * tpc / 4}, {tpc, 0.5, tpc / 2}, {tpc, 0.25, tpc / 4},
		{3 * tpc / 2, 0.75, tpc}, {3 * tpc / 2, 0.5, 3 * tpc / 4}, // a dotted crotchet has no three quarters that one sign writes
		{3 * tpc / 4, 0.25, tpc / 4}, // a dotted quaver's quarter is nearest to a semiquaver
		{tpc / 2, 0.75, tpc / 4},     // a quaver spares a semiquaver, and no demisemiquaver
		{tpc / 4, 0.5, 0},            // a semiquaver spares nothing that one prints
		{5 * tpc / 2, 0.5, 3 * tpc / 2}, {tpc / 8, 0.5, 0}, {tpc / 3, 0.75, tpc / 6}, {tpc / 6, 0.5, 0}, {7, 0.75, 5}} {
		t.Run(fmt.Sprint(row.length, row.share), func(t *testing.T) {
			is, ok := plainPart(s, row.length, row.share)
			require.Equal(t, row.want, is, "%g of %d", row.share, row.length)
			require.Equal(t, row.want > 0, ok)
		})
	}
	// a file played at nine tenths is read as what was written
	require.Equal(t, score.Tick(tpc), written(s, score.Note{On: 0, Off: 9 * tpc / 10, Written: 9 * tpc / 10}))
	require.Equal(t, score.Tick(3*tpc/4), written(s, score.Note{On: 0, Off: 3 * tpc / 4, Written: 3 * tpc / 4}))
}

// Whatever they do to a demo piece, release-early leaves a rest that one sign writes, and detach a note.
func TestDraftsCanBeWrittenPlainly(t *testing.T) {
	plain := map[score.Tick]bool{}
	drafts := 0
	for _, name := range []string{"drop", "dotted", "solo"} {
		t.Run(name, func(t *testing.T) {
			in := demo(t, name, "cathedral")
			for _, r := range plainRests {
				plain[score.Tick(r*float64(in.Score.TicksPerCrotchet))] = true
			}
			p, err := proof.Run(context.Background(), in)
			require.NoError(t, err)
			perf, err := performance.Build(in.Score, in.Organ, in.Player)
			require.NoError(t, err)
			for _, f := range p.Document.Findings {
				c := newCase(in, perf, f)
				for _, d := range ReleaseEarly(c) {
					drafts++
					for id := range changedNotes(in.Score, d.Score) {
						was, is := in.Score.Notes[c.index[id]], *noteOf(d.Score, id)
						rest := nextOnset(c, was.Off) - is.Off
						require.True(t, plain[rest] || 2*rest == was.Off-was.On, "%s %s: a rest of %d ticks after %d", name, d.What, rest, is.Off-is.On)
					}
				}
				for _, d := range Detach(c) {
					drafts++
					for id := range changedNotes(in.Score, d.Score) {
						is := *noteOf(d.Score, id)
						require.NotEmpty(t, valueName(in.Score, is.Off-is.On), "%s %s: a note of %d ticks", name, d.What, is.Off-is.On)
					}
				}
			}
		})
	}
	require.Greater(t, drafts, 30)
}

func changedNotes(before, after *score.Score) map[int]score.Note {
	return difference(before, after).changed
}

func noteOf(s *score.Score, id int) *score.Note {
	for i := range s.Notes {
		if s.Notes[i].ID == id {
			return &s.Notes[i]
		}
	}
	return nil
}

// nextOnset is the finding's onset that a note runs up to.
func nextOnset(c *Case, off score.Tick) score.Tick {
	for _, at := range c.Onsets() {
		if at+grid(c.Score()) >= off {
			return at
		}
	}
	return off
}

// The rest that is proposed is the shortest that clears the finding: every shorter one is proved and does not.
func TestReleaseEarlyIsTheShortestThatClears(t *testing.T) {
	in := demo(t, "vigil", "cathedral")
	perf, err := performance.Build(in.Score, in.Organ, in.Player)
	require.NoError(t, err)
	cleared, shorter := 0, 0
	for _, f := range findingsOf(t, in, finding.KindBlurredHarmony) {
		rs, err := Mend(context.Background(), in, f, []Remedy{must(t, "release-early")})
		require.NoError(t, err)
		if !rs[0].Helps || rs[0].After.Fails+rs[0].After.Warnings > 0 {
			continue
		}
		cleared++
		trial := newTrial(context.Background(), in, played{}, f)
		for _, d := range ReleaseEarly(newCase(in, perf, f)) {
			if d.What == rs[0].What {
				break
			}
			shorter++
			v := trial.run(d.Score)
			require.False(t, v.clear() && v.all.Fails <= rs[0].Around[0].Fails && v.all.Cost < rs[0].Around[0].Cost-0.05, "%s clears it: %s", d.What, rs[0].What)
		}
		require.Regexp(t, `are (each )?released a (dotted )?(semiquaver|quaver|crotchet|minim|semibreve) early`, rs[0].What)
	}
	require.Positive(t, cleared)
	require.Positive(t, shorter)
}

func must(t *testing.T, name string) Remedy {
	t.Helper()
	r, ok := Find(name)
	require.True(t, ok)
	return r
}

func TestDetachedSaysWhatBecomesOfTheNotes(t *testing.T) {
	a, b := "minims become crotchets", "crotchets become quavers"
	require.Equal(t, "2 minims become crotchets, 1 crotchet becomes a quaver", detached([]string{a, b, a}, "half"))
	require.Equal(t, "3 notes keep about half of the written length", detached([]string{a, "", a}, "half"))
	require.Equal(t, "1 note keeps about half of the written length", detached([]string{""}, "half"))
}

// A change that makes something fail which did not is not made, however much it clears.
func TestNewFails(t *testing.T) {
	at := func(kind string, bar int, s finding.Severity) finding.Finding {
		return finding.Finding{Kind: kind, Bar: bar, ToBar: bar, Severity: s, Division: "Great"}
	}
	before := []finding.Finding{at(finding.KindCoveredEntry, 3, finding.Fail), at(finding.KindBlurredHarmony, 5, finding.Warning)}
	require.False(t, newFail(before, before))
	require.False(t, newFail(before, nil))
	require.False(t, newFail(before, []finding.Finding{at(finding.KindBlurredHarmony, 8, finding.Warning)}))
	require.True(t, newFail(before, []finding.Finding{at(finding.KindBlurredHarmony, 5, finding.Fail)}), "a warning that comes to fail")
	require.True(t, newFail(before, []finding.Finding{at(finding.KindCoveredEntry, 4, finding.Fail)}), "a fail elsewhere")
	require.True(t, newFail(before, []finding.Finding{at(finding.KindLateSpeech, 3, finding.Fail)}), "a fail of another kind")
}
