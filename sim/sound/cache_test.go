package sound

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/voicing"
)

// The pipes of a plenum stay in memory, so that none is computed twice: every eighth of them is computed and stands for its neighbours.
func TestPlenumIsKept(t *testing.T) {
	job := denseJob(t, 600, 200, 7)
	seen := map[voicing.PipeID]bool{}
	var bytes int64
	for _, e := range job.Events {
		if seen[e.Pipe] {
			continue
		}
		if len(seen)%8 == 0 {
			bytes += 8 * newPipeSound(job.Organ.Pipe(e.Pipe), job.Rate, 1).bytes()
		}
		seen[e.Pipe] = true
	}
	t.Logf("%d pipes, %d MB", len(seen), bytes>>20)
	require.Greater(t, len(seen), 1000)
	require.Less(t, bytes, int64(pipesKept))
}
