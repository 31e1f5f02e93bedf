package measure

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/longtest"
)

// seededDecay is an exponentially decaying white noise with steady noise noiseDB below its start (0: none).
func seededDecay(rate int, rt, noiseDB float64, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 1))
	lead := rate / 20
	x := make([]float64, lead+int(1.4*rt*float64(rate)))
	k := decay.Rate(rt) / 2 / float64(rate)
	for i := range x {
		if i >= lead {
			x[i] = rng.NormFloat64() * math.Exp(-k*float64(i-lead))
		}
		if noiseDB > 0 {
			x[i] += rng.NormFloat64() * math.Pow(10, -noiseDB/20)
		}
	}
	x[lead] = 6 // the onset
	return x
}

// Schroeder integration and octave filters written apart from this package, in scipy. The reference is
// given the response without its noise, so that noise compensation is checked too. What a filter
// without phase shift puts before the onset counts as early in both; for clarity the response is cut at 80 ms and then filtered.
const scipyReference = `
import json, sys, numpy as np
from scipy import signal, stats
out = []
for path in sys.argv[2:]:
    rate = int(sys.argv[1])
    x = np.fromfile(path, '<f8')
    onset = int(np.argmax(np.abs(x) >= np.abs(x).max() / 10))
    row = []
    for f in (250, 500, 1000, 2000, 4000):
        # The response of a Butterworth octave filter of order 4, as a linear-phase filter of 1.5 s.
        n = int(1.5 * rate) // 2 * 2 + 1
        g = np.linspace(0, rate / 2, 16385)
        o = np.maximum(g, 1e-3) / f
        w = 1 / np.sqrt(1 + ((o - 1 / o) / (2**.5 - 2**-.5))**8)
        h = signal.firwin2(n, g, w, nfreqs=None, window='hann', fs=rate)
        def filtered(x):
            return signal.oaconvolve(np.concatenate([np.zeros(rate // 5), x, np.zeros(rate // 5)]), h)[n // 2:][:len(x) + 2 * (rate // 5)]
        y = filtered(x)
        e = np.cumsum((y * y)[::-1])[::-1]
        whole = e[rate // 10]
        e = e[rate // 5 + onset:]
        db = 10 * np.log10(e / whole + 1e-30)
        def fit(to):
            i = np.flatnonzero((db <= -5) & (db >= to))
            r = stats.linregress(i / rate, db[i])
            return -60 / r.slope, 1000 * (1 - r.rvalue**2)
        t30, xi = fit(-35)
        early, late = x.copy(), x.copy()
        early[onset + int(0.08 * rate):] = 0
        late[:onset + int(0.08 * rate)] = 0
        row.append([t30, 10 * np.log10((filtered(early)**2).sum() / (filtered(late)**2).sum()), 100 * (t30 / fit(-25)[0] - 1), xi])
    out.append(row)
print(json.dumps(out))
`

// T30 within 1 %, C80 within 0.1 dB, the curvature within 1 % and the degree of non-linearity within 1 ‰ of an independent
// implementation, on five or 24 responses, some of them noisy, some with a second, slower slope.
func TestMeasureAgreesWithScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import scipy.signal").Run(); err != nil {
		t.Skipf("scipy is not there: %v", err)
	}
	const rate = 16000
	dir := t.TempDir()
	args := []string{"-c", scipyReference, "16000"}
	var irs [][]float64
	for i := 0; i < 24; i += longtest.Of(5, 1) {
		rt := 0.6 + 0.25*float64(i%12)
		clean := seededDecay(rate, rt, 0, uint64(i))
		if i%3 == 2 {
			slow := seededDecay(rate, 2.5*rt, 0, uint64(100+i))
			clean = append(clean, make([]float64, len(slow)-len(clean))...)
			for j, v := range slow {
				clean[j] += 0.12 * v
			}
		}
		ir := clean
		if i >= 12 {
			ir = append([]float64(nil), clean...)
			rng := rand.New(rand.NewPCG(uint64(i), 99))
			for j := range ir {
				ir[j] += rng.NormFloat64() * math.Pow(10, -60./20)
			}
		}
		irs = append(irs, ir)
		var b bytes.Buffer
		binary.Write(&b, binary.LittleEndian, clean)
		name := filepath.Join(dir, string(rune('a'+i)))
		if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, name)
	}
	out, err := exec.Command(python, args...).Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][][4]float64
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	var worst [4]float64
	for i, ir := range irs {
		m, err := Channel(ir, rate)
		if err != nil {
			t.Fatal(err)
		}
		for j, w := range want[i] {
			b := m.Bands[j+3]
			off := [4]float64{100 * (b.T30.Value/w[0] - 1), b.C80.Value - w[1], b.Curvature.Value - w[2], b.NonLinearity.Value - w[3]}
			for k, most := range [4]float64{1, 0.1, 1, 1} {
				worst[k] = max(worst[k], math.Abs(off[k]))
				if !(math.Abs(off[k]) <= most) {
					t.Errorf("response %d band %d: off by %+.2f %% of T30 (%.3f s), C80 %+.3f dB, C %+.2f %%, ξ %+.2f ‰", i, j+3, off[0], b.T30.Value, off[1], off[2], off[3])
				}
			}
		}
	}
	t.Logf("largest differences: T30 %.2f %%, C80 %.3f dB, C %.2f %%, ξ %.2f ‰", worst[0], worst[1], worst[2], worst[3])
}
