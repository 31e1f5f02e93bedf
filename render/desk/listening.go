package desk

import (
	"context"
	"time"
)

// breathEvery is how long a run computes before it breathes.
const breathEvery = 30 * time.Millisecond

// listening is ctx for a run that asks it at times whether it is over: by then the program has heard who has given up ([Options.Breathe]).
// It is for one goroutine.
func (d *Desk) listening(ctx context.Context) context.Context {
	if !d.opt.breathes {
		return ctx
	}
	return &listener{ctx, d.opt.Breathe, time.Now()}
}

type listener struct {
	context.Context
	breathe func()
	last    time.Time
}

// Err breathes first, when it is time.
func (l *listener) Err() error {
	if time.Since(l.last) > breathEvery {
		l.breathe()
		l.last = time.Now()
	}
	return l.Context.Err()
}
