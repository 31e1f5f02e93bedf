package desk

import (
	"context"
	"sync"

	"afterchord/sim/proof"
)

// proofCache keeps the last runs, and lets those who ask for the same one wait for it
// instead of making it again.
type proofCache struct {
	kept *cache[string, *proof.Proof]
	mu   sync.Mutex
	busy map[string]chan struct{}
}

func newProofCache(most int) *proofCache {
	return &proofCache{kept: newCache[string, *proof.Proof](most), busy: map[string]chan struct{}{}}
}

func (c *proofCache) run(ctx context.Context, key string, make func() (*proof.Proof, error)) (*proof.Proof, error) {
	for {
		if p, ok := c.kept.get(key); ok {
			return p, nil
		}
		done, mine := c.claim(key)
		if !mine {
			select {
			case <-done:
				continue // kept now, or failed: then it is our turn
			case <-ctx.Done():
				return nil, ctx.Err()
			}
		}
		p, err := make()
		if err == nil {
			c.kept.put(key, p)
		}
		c.mu.Lock()
		delete(c.busy, key)
		c.mu.Unlock()
		close(done)
		return p, err
	}
}

func (c *proofCache) claim(key string) (done chan struct{}, mine bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if done := c.busy[key]; done != nil {
		return done, false
	}
	done = make(chan struct{})
	c.busy[key] = done
	return done, true
}
