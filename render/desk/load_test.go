package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"net/http"
	"runtime"
	"runtime/metrics"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var (
	loadFor     = flag.Duration("load", 3*time.Second, "how long TestThirtyPupils keeps on")
	loadClients = flag.Int("clients", 30, "how many there are in TestThirtyPupils")
)

// TestThirtyPupils lets a class work at one desk: each has a project, turns the reverberation time, listens
// for a moment and leaves, saves. No request may fail but with the answer that the desk is
// busy, and nothing stays behind when they have gone. For a minute: -load 1m.
func TestThirtyPupils(t *testing.T) {
	if testing.Short() { // with the race detector
		*loadFor, *loadClients = time.Second, 6
	}
	d, s := newTestDesk(t, Options{})
	goroutines := runtime.NumGoroutine()
	ctx, cancel := context.WithTimeout(context.Background(), *loadFor)
	defer cancel()
	var mu sync.Mutex
	var findings, sounds []time.Duration
	waits := make([][]time.Duration, *loadClients) // of each pupil
	busy := 0
	peak, measured := peakMemory(ctx)
	var wg sync.WaitGroup
	for n := range *loadClients {
		wg.Go(func() {
			c := newClient(t, s)
			p := c.demo([]string{"drop", "solo"}[n%2])
			for turn := 0; ctx.Err() == nil; turn++ {
				p.A.Room, p.A.RT = "rt", math.Round(10*(1+float64((7*n+3*turn)%60)/10))/10
				at := time.Now()
				resp, data := c.send("POST", "/api/projects/"+p.ID+"/proof", p.A)
				took := time.Since(at)
				mu.Lock()
				if resp.StatusCode == 503 {
					busy++
				} else {
					findings = append(findings, took)
					waits[n] = append(waits[n], took)
				}
				mu.Unlock()
				if resp.StatusCode != 503 && !(resp.StatusCode == 200 && json.Valid(data)) {
					t.Errorf("findings: %d %.200s", resp.StatusCode, data)
				}
				took, status := c.firstSound(ctx, p)
				mu.Lock()
				switch {
				case status == 503:
					busy++
				case status == 200 && took > 0:
					sounds = append(sounds, took)
				case status != 200 && status != 0:
					t.Errorf("sound: %d", status)
				}
				mu.Unlock()
				resp, data = c.send("PUT", "/api/projects/"+p.ID, saved{Name: p.Name, A: p.A, Active: "a"}, "If-Match", etag(p.Version))
				if resp.StatusCode != 200 {
					t.Errorf("save: %d %s", resp.StatusCode, data)
				}
				p.Version++
				select { // a pupil listens and thinks
				case <-time.After(500 * time.Millisecond):
				case <-ctx.Done():
				}
			}
			c.CloseIdleConnections()
		})
	}
	wg.Wait()
	<-measured
	var each []time.Duration // the median of each pupil
	for _, w := range waits {
		if len(w) > 0 {
			each = append(each, share(w, 0.5))
		}
	}
	t.Logf("%d clients for %v: %d findings (%s), %d sounds (first sound: %s), %d times busy; a pupil's median wait for findings: %v, the longest %v; memory at most %d MB",
		*loadClients, *loadFor, len(findings), percentiles(findings), len(sounds), percentiles(sounds), busy, share(each, 0.5), share(each, 1), *peak>>20)
	require.NotEmpty(t, findings)
	require.Eventually(t, func() bool {
		return len(d.streams.slots) == 0 && len(d.sounds.slots) == 0 && len(d.findings.slots) == 0
	}, 10*time.Second, 20*time.Millisecond, "every place is free again")
	require.Eventually(t, func() bool { return runtime.NumGoroutine() < goroutines+20 }, 10*time.Second, 50*time.Millisecond, "nothing goes on computing")
	ids, err := d.store.shelf.Projects()
	require.NoError(t, err)
	require.Len(t, ids, *loadClients)
}

// firstSound asks for the sound and leaves when the first message has come.
func (c client) firstSound(ctx context.Context, p *Project) (time.Duration, int) {
	ctx, leave := context.WithCancel(ctx)
	defer leave()
	body, _ := json.Marshal(listenRequest{[]track{{Side: p.A, From: 5}, {Side: p.A, Dry: true, From: 5}}})
	q, err := http.NewRequestWithContext(ctx, "POST", c.s.URL+"/api/projects/"+p.ID+"/sound", bytes.NewReader(body))
	if err != nil {
		return 0, 0
	}
	at := time.Now()
	resp, err := c.Do(q)
	if err != nil {
		return 0, 0 // the time was up
	}
	defer resp.Body.Close()
	if resp.StatusCode != 200 {
		return 0, resp.StatusCode
	}
	if _, err := io.ReadFull(resp.Body, make([]byte, 16+8*chunkFrames)); err != nil {
		return 0, 200
	}
	return time.Since(at), 200
}

func share(d []time.Duration, q float64) time.Duration {
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[min(len(d)-1, int(q*float64(len(d))))].Round(time.Millisecond)
}

func percentiles(d []time.Duration) string {
	return fmt.Sprintf("p50 %v, p95 %v, p99 %v", share(d, 0.5), share(d, 0.95), share(d, 0.99))
}

// peakMemory watches what the program has from the system, bytes, until ctx ends and measured is closed.
func peakMemory(ctx context.Context) (peak *uint64, measured chan struct{}) {
	peak, measured = new(uint64), make(chan struct{})
	go func() {
		defer close(measured)
		samples := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
		for ctx.Err() == nil {
			metrics.Read(samples)
			*peak = max(*peak, samples[0].Value.Uint64()-samples[1].Value.Uint64())
			time.Sleep(20 * time.Millisecond)
		}
	}()
	return peak, measured
}
