package sound

import "math"

// Wind is never quite steady: the pressure in a division's chest wanders, and the pitch of its pipes with it, by a cent or two over
// seconds (common practice; no published spectrum is followed). All pipes of a division move together, divisions apart.
const (
	breathCent = 1.0 // rms of the pitch, cents
	breathTaps = 16
	breathGrid = 128 // samples between two computed delays
)

// breathSpans are the lengths of the swings that add up to the wander, s.
var breathSpans = [...]float64{0.9, 1.7, 3.1}

// breath moves a division's pitch slowly to and fro: a delay that wanders, so that the pitch leaves its place by the delay's slope.
type breath struct {
	seed  uint64
	rate  float64
	depth [len(breathSpans)]float64 // how far each swing carries the delay, samples
	mean  float64                   // delay, samples
	sag   *sag                      // nil where no pipe draws wind
	from  float64                   // delay at the end of the last block, samples; 0 before the first
	gain  float64                   // likewise
	knots []knot                    // of the block, one every breathGrid samples
}

// knot is how what has come before becomes what sounds over breathGrid samples: taps at the first and the last of them, lag samples ago.
type knot struct {
	lag         int
	first, last [breathTaps]float32
}

// blown is a sound that the wind of a division carries.
type blown struct {
	past  []float32 // what came before the block
	whole []float32
}

func newBreath(seed uint64, rate int, sag *sag) *breath {
	b := &breath{seed: seed, rate: float64(rate), mean: breathTaps, sag: sag, gain: 1}
	slope := (math.Exp2(breathCent/1200) - 1) / math.Sqrt(float64(len(breathSpans)))
	for i, span := range breathSpans {
		// A smooth step between two numbers out of -1 to 1 has a slope of rms sqrt(2/3)·sqrt(6/5)/span.
		b.depth[i] = slope * span / math.Sqrt(0.8) * b.rate
		b.mean += b.depth[i]
	}
	return b
}

// sound is one that this wind will carry.
func (b *breath) sound() blown {
	longest := 2 * b.mean
	if b.sag != nil {
		longest += b.sag.longest()
	}
	return blown{past: make([]float32, int(math.Ceil(longest)))}
}

// delay is that at sample t of the piece, samples: at least breathTaps.
func (b *breath) delay(t int64) float64 {
	sum := b.mean
	for i, span := range breathSpans {
		x := float64(t) / (span * b.rate)
		n := math.Floor(x)
		f := x - n
		seed := b.seed + uint64(i)<<32
		from, to := hash(seed, int64(n)), hash(seed, int64(n)+1)
		sum += b.depth[i] * (from + (to-from)*f*f*(3-2*f))
	}
	return sum
}

// blow finds the knots of a block of n samples that begins at sample at of the piece. The sag has gathered what pipes draw.
func (b *breath) blow(at int64, n int) {
	if b.from == 0 {
		b.from = b.delay(at)
		if b.sag != nil {
			b.from += b.sag.at * b.sag.delayed
		}
	}
	b.knots = b.knots[:0]
	for i := 0; i < n; i += breathGrid {
		to, next := b.delay(at+int64(min(n, i+breathGrid))), 1.0
		if b.sag != nil {
			var more float64
			more, next = b.sag.step(i / breathGrid)
			to += more
		}
		k := knot{lag: int(math.Floor((b.from + to) / 2))}
		if before := len(b.knots) - 1; before >= 0 && b.knots[before].lag == k.lag {
			k.first = b.knots[before].last
		} else {
			kernel(&k.first, b.from-float64(k.lag), b.gain)
		}
		kernel(&k.last, to-float64(k.lag), next)
		b.knots = append(b.knots, k)
		b.from, b.gain = to, next
	}
}

// process delays x, a block of what the wind carries, in place.
func (s *blown) process(x []float32, knots []knot) {
	h := len(s.past)
	if len(s.whole) < h+len(x) {
		s.whole = make([]float32, h+len(x))
	}
	whole := s.whole[:h+len(x)]
	copy(whole, s.past)
	copy(whole[h:], x)
	copy(s.past, whole[len(x):])
	clear(x)
	for j := range knots {
		k := &knots[j]
		i := j * breathGrid
		n := min(breathGrid, len(x)-i)
		for t := range breathTaps {
			start := h + i - k.lag + breathTaps/2 - 1 - t
			ramp(x[i:i+n], whole[start:start+n], k.first[t], (k.last[t]-k.first[t])/float32(n))
		}
	}
}

// kernel is a windowed sinc that delays by part of a sample, with a gain: tap k stands k-breathTaps/2+1 samples after the whole part.
func kernel(taps *[breathTaps]float32, part, gain float64) {
	const turn = math.Pi / (breathTaps + 2)
	var h [breathTaps]float64
	sum := 0.0
	ds, dc := math.Sincos(turn)
	s0, c0 := math.Sincos(turn * (float64(1-breathTaps/2) - part))
	sine := math.Sin(math.Pi * part)
	for k := range h {
		x := float64(k-breathTaps/2+1) - part
		h[k] = c0 * c0
		s0, c0 = s0*dc+c0*ds, c0*dc-s0*ds
		if math.Abs(x) > 1e-9 {
			// sin(π(k−part)) is ±sin(π·part)
			s := -sine
			if (k-breathTaps/2+1)&1 != 0 {
				s = sine
			}
			h[k] *= s / (math.Pi * x)
		}
		sum += h[k]
	}
	for k, v := range h {
		taps[k] = float32(v * gain / sum)
	}
}
