package response

import (
	"sync"
	"weak"

	"afterchord/acoustics/octave"
)

// shares holds the squared [octave.Weight] of width 1 of each band at each coefficient of a transform.
type shares [octave.N][]float64

type sharesKey struct{ n, rate int }

var (
	sharesLock sync.Mutex
	sharesKept = map[sharesKey]weak.Pointer[shares]{} // those in use are shared; others may go
)

// powerShares is the share of each band in the power at every coefficient of an n-point transform at rate.
func powerShares(n, rate int) *shares {
	sharesLock.Lock()
	defer sharesLock.Unlock()
	key := sharesKey{n, rate}
	if s := sharesKept[key].Value(); s != nil {
		return s
	}
	s := new(shares)
	for b := range s {
		s[b] = make([]float64, n/2+1)
		from, to := 0, n/2 // beyond an octave to either side the weight is 0
		if b > 0 {
			from = int(octave.Exact(b) / 2 * float64(n) / float64(rate))
		}
		if b < octave.N-1 {
			to = min(to, int(octave.Exact(b)*2*float64(n)/float64(rate)))
		}
		for k := from; k <= to; k++ {
			w := octave.Weight(b, float64(k)*float64(rate)/float64(n), 1)
			s[b][k] = w * w
		}
	}
	sharesKept[key] = weak.Make(s)
	return s
}
