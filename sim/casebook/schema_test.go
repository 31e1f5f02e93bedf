package casebook

import (
	"bytes"
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/sim/score/file"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/musicxml/schemacheck"
)

// What rewritings write is valid by the schema of MusicXML, keeps the length of every bar, and is found the same when it is read again.
func TestRewritingsAreWrittenByTheSchema(t *testing.T) {
	if os.Getenv(schemacheck.Variable) == "" {
		t.Skip(schemacheck.Variable + " is not set")
	}
	written := 0
	for _, c := range Cases {
		for n, done := uint64(0), 0; n < 40 && done < 3; n++ {
			piece, err := Make(c, n, false)
			require.NoError(t, err)
			if !strings.HasSuffix(piece.File, "xml") {
				continue
			}
			done++
			p, err := proof.Run(context.Background(), piece.Input)
			require.NoError(t, err)
			at := slices.IndexFunc(p.Document.Findings, func(f finding.Finding) bool { return slices.Contains(c.Kinds, f.Kind) })
			if at < 0 {
				continue
			}
			results, err := remedy.Mend(context.Background(), piece.Input, p.Document.Findings[at], remedy.For(p.Document.Findings[at].Kind))
			require.NoError(t, err)
			for _, r := range results {
				if r.Score == nil {
					continue
				}
				var b bytes.Buffer
				require.NoError(t, musicxml.Write(&b, r.Score), "%s, %s", piece.File, r.Remedy)
				require.True(t, schemacheck.Require(t, b.Bytes()))
				written++
				again, err := file.Read(b.Bytes(), piece.File)
				require.NoError(t, err)
				in := piece.Input
				in.Score = again
				q, err := proof.Run(context.Background(), in)
				require.NoError(t, err)
				in.Score = r.Score
				o, err := proof.Run(context.Background(), in)
				require.NoError(t, err)
				require.Equal(t, where(o), where(q), "%s, %s: read again", piece.File, r.Remedy)
				require.Equal(t, o.Document.Score.DurationS, q.Document.Score.DurationS)
			}
		}
	}
	t.Logf("%d rewritings", written)
	require.Greater(t, written, 30)
}

// where lists kinds, places and severities.
func where(p *proof.Proof) (out []string) {
	for _, f := range p.Document.Findings {
		out = append(out, f.Kind+" "+f.Where+" "+string(f.Severity))
	}
	return out
}
