package desk

import (
	"context"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/require"

	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

// Who waits for the same run shares it; it goes on as long as one of them waits, and ends when the last one leaves.
func TestRunsNobodyWaitsFor(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newProofCache(newMemory(1 << 20))
		began, ended := 0, 0
		finish := make(chan struct{})
		compute := func(ctx context.Context) (*proof.Proof, error) {
			began++
			select {
			case <-finish:
				return &proof.Proof{Score: &score.Score{}, Performance: &performance.Performance{}}, nil
			case <-ctx.Done():
				ended++
				return nil, ctx.Err()
			}
		}
		ask := func() (leave context.CancelFunc, answer chan error) {
			ctx, leave := context.WithCancel(t.Context())
			answer = make(chan error, 1)
			go func() {
				_, err := c.run(ctx, "x", compute)
				answer <- err
			}()
			synctest.Wait()
			return leave, answer
		}
		leaveA, a := ask()
		leaveB, b := ask()
		require.Equal(t, 1, began)
		leaveA()
		require.ErrorIs(t, <-a, context.Canceled)
		synctest.Wait()
		require.Zero(t, ended, "one still waits")
		leaveB()
		require.ErrorIs(t, <-b, context.Canceled)
		synctest.Wait()
		require.Equal(t, 1, ended)

		leaveC, third := ask()
		defer leaveC()
		require.Equal(t, 2, began, "begins anew")
		close(finish)
		require.NoError(t, <-third)
		leaveD, fourth := ask()
		defer leaveD()
		require.NoError(t, <-fourth)
		require.Equal(t, 2, began, "kept")
	})
}
