package desk

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// A run hears at times that it was given up, where the program has one thread for all.
func TestARunHearsThatItWasGivenUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, leave := context.WithCancel(t.Context())
		breaths := 0
		d := &Desk{opt: Options{Breathe: func() {
			if breaths++; breaths == 2 {
				leave()
			}
		}}}
		d.opt.defaults()
		run := d.listening(ctx)
		require.NoError(t, run.Err())
		require.Zero(t, breaths)
		for range 2 {
			require.NoError(t, run.Err())
			time.Sleep(2 * breathEvery)
		}
		require.ErrorIs(t, run.Err(), context.Canceled)
		require.Equal(t, 2, breaths)
	})
	d := &Desk{}
	d.opt.defaults()
	require.Equal(t, t.Context(), d.listening(t.Context()))
}
