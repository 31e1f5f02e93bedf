package desk

import (
	"context"
	"net/http"
	"sync/atomic"
)

// queue lets a number of tasks run at once and a number wait; more are refused.
type queue struct {
	slots   chan struct{}
	most    int64
	waiting atomic.Int64 // to begin
	resting atomic.Int64 // that have begun and gave their slot up for a while
}

func newQueue(atOnce, waiting int) *queue {
	return &queue{slots: make(chan struct{}, atOnce), most: int64(waiting)}
}

// errBusy is what a full queue answers.
var errBusy = problemf(http.StatusServiceUnavailable, "the desk is busy with other requests; try again in a moment")

// enter waits for a slot until ctx ends.
func (q *queue) enter(ctx context.Context) error {
	select {
	case q.slots <- struct{}{}:
		return nil
	default:
	}
	if q.waiting.Add(1) > q.most {
		q.waiting.Add(-1)
		return errBusy
	}
	defer q.waiting.Add(-1)
	select {
	case q.slots <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// leave gives the slot back.
func (q *queue) leave() { <-q.slots }

// wanted says whether a task waits for a slot.
func (q *queue) wanted() bool { return q.waiting.Load()+q.resting.Load() > 0 }

// again waits for a slot for a task that was let in before: it is never refused.
func (q *queue) again(ctx context.Context) error {
	q.resting.Add(1)
	defer q.resting.Add(-1)
	select {
	case q.slots <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
