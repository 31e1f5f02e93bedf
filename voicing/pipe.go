package voicing

import (
	"math"

	"afterchord/acoustics/splitmix"
)

// scatterCents and scatterDB are the irregularities from pipe to pipe that tuning
// and regulation leave: uniform within ± these (common practice).
const (
	scatterCents   = 1.5
	scatterLevelDB = 0.7
	scatterToneDB  = 1.5
	scatterSpeech  = 0.08 // share of dead time and rise
	scatterGlide   = 0.4  // share of the glide
	scatterEdge    = 0.3  // share of the edge tone's stretch
)

// Pipe is the pipe that id names, the same for the same organ; its partials are shared and stay as they are. An id that
// names no pipe gives a Pipe without partials.
func (o *Organ) Pipe(id PipeID) Pipe {
	if int(id.Division) >= len(o.Divisions) || int(id.Stop) >= len(o.Divisions[id.Division].Stops) {
		return Pipe{ID: id}
	}
	stop := &o.Divisions[id.Division].Stops[id.Stop]
	if int(id.Rank) >= len(stop.Ranks) || int(id.Key) < stop.LowKey || int(id.Key) > stop.HighKey {
		return Pipe{ID: id}
	}
	if o.made == nil {
		return o.build(id, stop)
	}
	slot := o.made.slot(id)
	made := slot.Load()
	if made == nil {
		p := o.build(id, stop)
		made = &p
		slot.Store(made)
	}
	return *made
}

// build makes a pipe of a stop.
func (o *Organ) build(id PipeID, stop *Stop) Pipe {
	p := Pipe{ID: id}
	feet := stop.Ranks[id.Rank].FeetAt(int(id.Key))
	kind := buildOf(stop.Family, stop.Construction)
	if feet <= 0 || kind == nil {
		return p
	}
	seed := o.pipeSeed(id)
	cents := stop.DetuneCents + scatterCents*seed.signed(0)
	p.Hz = o.KeyHz(int(id.Key)) * 8 / feet * math.Exp2(cents/1200)
	tone, law := &kind.tone, &kind.speech

	level := kind.levelDB + stop.LevelDB + kind.compass.at(p.Hz) - 10*math.Log10(float64(len(stop.Ranks))) +
		scatterLevelDB*seed.signed(1)
	power := math.Pow(10, level/10)
	p.Partials = tone.partials(p.Hz, stop.Brightness, power, seed)

	periods := math.Pow(p.Hz/refHz, law.pitchPower) * math.Pow(law.windPa/stop.WindPa, law.windPower) / p.Hz *
		(1 + scatterSpeech*seed.signed(2))
	p.Speech = Speech{DeadS: law.deadPeriods * periods, ReleaseS: law.releasePeriods / p.Hz,
		GlideCents: law.glideCents * (1 + scatterGlide*seed.signed(3)), GlideS: glideOfRise * law.risePeriods * periods}
	for i := range p.Partials {
		p.Partials[i].RiseS = law.risePeriods * periods * math.Exp2(-law.harmonicPower*octaves[p.Partials[i].N])
	}
	p.Noise = Noise{
		ChiffPower: power * math.Pow(10, law.chiffDB/10),
		ChiffHz:    math.Min(p.Hz*law.chiffHarmonic, 8000),
		ChiffS:     law.chiffPeriods * periods,
		WindPower:  power * math.Pow(10, law.windDB/10),
		WindHz:     math.Min(math.Max(8*p.Hz, 500), 6000),
	}
	if harmonic := law.chiffHarmonic * p.Hz; law.edgeStretch > 0 && p.Noise.ChiffHz == harmonic {
		p.Noise.EdgeHz = harmonic * (1 + law.edgeStretch*(1+scatterEdge*seed.signed(4)))
		p.Noise.EdgePower = edgeShare * p.Noise.ChiffPower
		p.Noise.ChiffPower -= p.Noise.EdgePower
	}
	return p
}

// partials lays out the harmonics of a pipe of fundamental hz whose powers add up to power, pW. Where a low pipe has more than
// MaxPartials, those up to allPartials are all there and the others are thinned evenly on a logarithmic scale, each that
// stays taking the power of the neighbours it stands for: the ear does not tell such high harmonics of a low note apart.
func (t *toneLaw) partials(hz, brightness, power float64, seed pipeSeed) []Partial {
	var w [maxHarmonic]float64
	n, top := 0, math.Inf(-1)
	tone := t.at(hz, brightness)
	for n < maxHarmonic && (n == 0 || float64(n+1)*hz <= topPartialHz) {
		w[n] = tone.harmonicDB(n+1) + scatterToneDB*seed.signed(16+2*n)
		top = math.Max(top, w[n])
		n++
	}
	for n > 1 && w[n-1] < top+faintDB {
		n--
	}
	sum := 0.0
	for i := range n {
		if w[i] < top+faintDB {
			w[i] = 0
			continue
		}
		w[i] = math.Exp((w[i] - top) * (math.Ln10 / 10))
		sum += w[i]
	}
	list := make([]Partial, 0, min(n, MaxPartials))
	ratio := math.Log2(float64(n)/allPartials) / (MaxPartials - allPartials) // between those that stay, in octaves
	for from := 0; from < n; {
		to := from + 1
		if n > MaxPartials && from >= allPartials {
			to = min(n, max(to, int(math.Round(allPartials*math.Exp2(ratio*float64(len(list)+1-allPartials))))))
			if len(list) == MaxPartials-1 {
				to = n
			}
		}
		group, strongest := 0.0, from
		for i := from; i < to; i++ {
			group += w[i]
			if w[i] > w[strongest] {
				strongest = i
			}
		}
		if group > 0 {
			list = append(list, Partial{N: strongest + 1, Hz: float64(strongest+1) * hz, Power: group / sum * power,
				Phase: math.Pi * (1 + seed.signed(17+2*strongest))})
		}
		from = to
	}
	return list
}

// pipeSeed draws the fixed irregularities of one pipe.
type pipeSeed uint64

func (o *Organ) pipeSeed(id PipeID) pipeSeed {
	return pipeSeed(mix(uint64(o.Seed)<<32 ^ uint64(id.Division)<<24 ^ uint64(id.Stop)<<16 ^ uint64(id.Rank)<<8 ^ uint64(id.Key)))
}

// signed is the i-th draw, uniform in -1 … 1.
func (s pipeSeed) signed(i int) float64 {
	return float64(mix(uint64(s)+uint64(i)*splitmix.Step)>>11)/(1<<52) - 1
}

func mix(x uint64) uint64 { return splitmix.Mix(x + splitmix.Step) }
