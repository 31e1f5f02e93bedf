package desk

import (
	"context"
	"net/http"
	"sync"

	"afterchord/sim/proof"
)

// proofCache keeps the last runs, and lets those who ask for the same one wait for it instead of making it again. A
// run that nobody waits for any more is stopped.
type proofCache struct {
	kept *cache[*proof.Proof]
	mu   sync.Mutex
	busy map[string]*making
}

// making is a run under way.
type making struct {
	waiting int // who has not left
	stop    context.CancelFunc
	done    chan struct{}
	proof   *proof.Proof // once done
	err     error
}

func newProofCache(in *memory) *proofCache {
	return &proofCache{kept: newCache(in, "proof", bytesOfProof), busy: map[string]*making{}}
}

// run gives the run of a key that is kept or under way, or has it computed; ctx ends the waiting, and the context
// that compute is given ends when all have left.
func (c *proofCache) run(ctx context.Context, key string, compute func(context.Context) (*proof.Proof, error)) (*proof.Proof, error) {
	m, kept := c.join(ctx, key, compute)
	if kept != nil {
		return kept, nil
	}
	select {
	case <-m.done:
		return m.proof, m.err
	case <-ctx.Done():
		c.leave(key, m)
		return nil, ctx.Err()
	}
}

func (c *proofCache) join(ctx context.Context, key string, compute func(context.Context) (*proof.Proof, error)) (m *making, kept *proof.Proof) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if p, ok := c.kept.get(key); ok {
		return nil, p
	}
	if m := c.busy[key]; m != nil {
		m.waiting++
		return m, nil
	}
	all, stop := context.WithCancel(context.WithoutCancel(ctx))
	m = &making{waiting: 1, stop: stop, done: make(chan struct{})}
	c.busy[key] = m
	go func() {
		defer stop()
		m.proof, m.err = guarded(all, compute)
		c.mu.Lock()
		if m.err == nil {
			c.kept.put(key, m.proof)
		}
		if c.busy[key] == m {
			delete(c.busy, key)
		}
		c.mu.Unlock()
		close(m.done)
	}()
	return m, nil
}

// guarded makes an error of a panic, as the server does in a request: it must not end the desk for all others.
func guarded(ctx context.Context, compute func(context.Context) (*proof.Proof, error)) (p *proof.Proof, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			p, err = nil, problemf(http.StatusInternalServerError, "the run failed: %v", fault)
		}
	}()
	return compute(ctx)
}

// leave is for one who waits no more; the last one stops the run, and who comes after that begins another.
func (c *proofCache) leave(key string, m *making) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if m.waiting--; m.waiting == 0 {
		m.stop()
		if c.busy[key] == m {
			delete(c.busy, key)
		}
	}
}
