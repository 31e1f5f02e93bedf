// Package parallel spreads independent pieces of work over the cores.
package parallel

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Do calls f(0) … f(n-1), on so many goroutines (0: one for each processor), and returns when all are done. Each
// call has its own output, so that the order cannot matter.
func Do(workers, n int, f func(int)) {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	if workers <= 1 || n <= 1 {
		for i := range n {
			f(i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(workers, n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wg.Wait()
}
