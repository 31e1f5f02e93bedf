package convolve

import "afterchord/acoustics/parallel"

// spectrum is one transformed block: n points, real and imaginary parts apart.
type spectrum[T real] struct{ re, im []T }

// newSpectrum is the k-th of those that are read side by side. Their lengths are powers of two, so that
// equal points of all would meet in the same few lines of the first-level cache and drive each other out;
// each part therefore begins 256 bytes (of 4096) after the one before.
func newSpectrum[T real](n, k int) spectrum[T] {
	const parts, skew = 16, 64
	re, im := 2*k%parts*skew, (2*k+1)%parts*skew
	both := make([]T, 2*n+2*parts*skew)
	return spectrum[T]{both[re:][:n:n], both[n+parts*skew+im:][:n:n]}
}

// line is one input (or the sum of all) with the partitions of its response.
type line[T real] struct {
	l, r   []spectrum[T] // of the response, from its beginning; nil re: silent
	past   []spectrum[T] // of the input: a ring as long as the response
	silent []bool        // which of past hold silence
	at     int           // the newest of past
}

// level convolves with the partitions of one size.
type level[T real] struct {
	n       int
	workers int
	plan    *transform[T]
	window  [][]T  // for each input: the previous block, then this one
	still   []bool // whether the window's first half is silence
	lines   []line[T]
	shared  *line[T] // nil where nothing is shared; the last of lines
	sharing int      // how many inputs, the first ones, are heard through it
	sum     [2]spectrum[T]
	out     [2][]T

	in                     [][]float64 // of the call under way
	l, r                   []float64
	analyse, gather, synth func(int)
}

// bins is how many points one task multiplies through all partitions: few enough
// that the sums stay in the first-level cache.
const bins = 1024

// newLevel plans the samples from..to of the responses in partitions of n.
func newLevel[T real](own []Response, shared Response, n, from, to int, o Options) *level[T] {
	v := &level[T]{n: n, workers: o.Workers, sharing: len(own) - o.Apart, plan: newTransform[T](n)}
	for range own {
		v.window = append(v.window, make([]T, 2*n))
		v.still = append(v.still, true)
	}
	for i := range v.sum {
		v.sum[i] = newSpectrum[T](n, i)
		v.out[i] = make([]T, n)
	}
	for _, r := range own {
		v.lines = append(v.lines, v.newLine(r, from, to))
	}
	if s := v.newLine(shared, from, to); len(s.l) > 0 {
		v.lines = append(v.lines, s)
		v.shared = &v.lines[len(v.lines)-1]
	}
	for i := range own { // an input needs its spectrum even where only the shared response uses it
		if p := &v.lines[i]; len(p.past) == 0 {
			p.past, p.silent = []spectrum[T]{newSpectrum[T](n, 2)}, []bool{true}
		}
	}
	v.analyse, v.gather, v.synth = v.analyseInput, v.gatherBins, v.synthesise
	return v
}

func (v *level[T]) newLine(r Response, from, to int) line[T] {
	parts := 0
	if end := min(to, r.len()); end > from {
		parts = (end - from + v.n - 1) / v.n
	}
	p := line[T]{l: make([]spectrum[T], parts), r: make([]spectrum[T], parts), past: make([]spectrum[T], parts), silent: make([]bool, parts)}
	parallel.Do(v.workers, 2*parts, func(i int) {
		k := i / 2
		h, dst := r.L, &p.l[k]
		if i&1 == 1 {
			h, dst = r.R, &p.r[k]
		}
		lo := make([]T, v.n)
		for j := range lo {
			if at := from + k*v.n + j; at < min(to, len(h)) {
				lo[j] = T(h[at])
			}
		}
		*dst = newSpectrum[T](v.n, 3+k%2*3+i%2)
		v.plan.forward(dst.re, dst.im, lo, nil)
	})
	for k := range parts {
		p.past[k], p.silent[k] = newSpectrum[T](v.n, 2+k%2*3), true
	}
	return p
}

func (v *level[T]) process(l, r []float64, in [][]float64) {
	v.in, v.l, v.r = in, l, r
	for i := range v.lines {
		if p := &v.lines[i]; len(p.past) > 0 {
			p.at = (p.at + 1) % len(p.past)
		}
	}
	parallel.Do(v.workers, len(in), v.analyse)
	if v.shared != nil {
		quiet := true
		for i := range v.sharing {
			quiet = quiet && v.lines[i].silent[v.lines[i].at]
		}
		v.shared.silent[v.shared.at] = quiet
	}
	parallel.Do(v.workers, (v.n+bins-1)/bins, v.gather)
	parallel.Do(v.workers, 2, v.synth)
	v.in, v.l, v.r = nil, nil, nil
}

// analyseInput transforms the block of input i and keeps it as the next window's past.
func (v *level[T]) analyseInput(i int) {
	p, w, x := &v.lines[i], v.window[i], v.in[i]
	now := p.past[p.at]
	p.silent[p.at] = v.still[i] && x == nil
	if p.silent[p.at] {
		return
	}
	if x == nil {
		clear(w[v.n:])
	} else {
		for j, s := range x {
			w[v.n+j] = T(s)
		}
	}
	v.plan.forward(now.re, now.im, w[:v.n], w[v.n:])
	copy(w, w[v.n:])
	v.still[i] = x == nil
}

// gatherBins sums the products of every line and partition, for one stretch of points.
func (v *level[T]) gatherBins(task int) {
	from := task * bins
	to := min(v.n, from+bins)
	lr, li := v.sum[0].re[from:to], v.sum[0].im[from:to]
	rr, ri := v.sum[1].re[from:to], v.sum[1].im[from:to]
	clear(lr)
	clear(li)
	clear(rr)
	clear(ri)
	if s := v.shared; s != nil && !s.silent[s.at] {
		sr, si := s.past[s.at].re[from:to], s.past[s.at].im[from:to]
		clear(sr)
		clear(si)
		for i := range v.sharing {
			if p := &v.lines[i]; !p.silent[p.at] {
				add(sr, p.past[p.at].re[from:to])
				add(si, p.past[p.at].im[from:to])
			}
		}
	}
	for i := range v.lines {
		p := &v.lines[i]
		for k := range p.l {
			m := p.at - k
			if m < 0 {
				m += len(p.past)
			}
			if p.silent[m] {
				continue
			}
			x, a, b := &p.past[m], &p.l[k], &p.r[k]
			multiply(lr, li, rr, ri, x.re[from:to], x.im[from:to], a.re[from:to], a.im[from:to], b.re[from:to], b.im[from:to])
		}
	}
}

func add[T real](dst, x []T) {
	x = x[:len(dst)]
	for i := range dst {
		dst[i] += x[i]
	}
}

// multiply adds the complex products x·a to l and x·b to r. Products are rounded before they are added, as vector instructions do.
func multiply[T real](lr, li, rr, ri, xr, xi, ar, ai, br, bi []T) {
	n := len(lr)
	li, rr, ri, xr, xi = li[:n], rr[:n], ri[:n], xr[:n], xi[:n]
	ar, ai, br, bi = ar[:n], ai[:n], br[:n], bi[:n]
	from := multiplyWide(lr, li, rr, ri, xr, xi, ar, ai, br, bi)
	for j := from; j < n; j++ {
		x, y := xr[j], xi[j]
		a, b := ar[j], ai[j]
		lr[j] += T(x*a) - T(y*b)
		li[j] += T(x*b) + T(y*a)
		a, b = br[j], bi[j]
		rr[j] += T(x*a) - T(y*b)
		ri[j] += T(x*b) + T(y*a)
	}
}

// synthesise transforms the sum of one channel back.
func (v *level[T]) synthesise(channel int) {
	v.plan.inverseHigh(v.out[channel], v.sum[channel].re, v.sum[channel].im)
	dst := v.l
	if channel == 1 {
		dst = v.r
	}
	for i, x := range v.out[channel] {
		dst[i] = float64(x)
	}
}

func (v *level[T]) reset() {
	for i := range v.lines {
		for k := range v.lines[i].silent {
			v.lines[i].silent[k] = true
		}
	}
	for i := range v.window {
		clear(v.window[i])
		v.still[i] = true
	}
}
