package report

import (
	"math"
	"strconv"
)

// Inner units of the stretched pictures: wide and whole, so that paths stay short.
const (
	unitsX = 20000
	unitsY = 400
)

// scale maps seconds and values to the inner units of a picture.
type scale struct {
	from, until float64 // s
	low, high   float64 // value at the bottom and at the top
}

func (s scale) x(t float64) int {
	return int(math.Round(clamp((t-s.from)/(s.until-s.from)) * unitsX))
}

func (s scale) y(v float64) int {
	return int(math.Round((1 - clamp((v-s.low)/(s.high-s.low))) * unitsY))
}

// percent is where t stands across the picture, percent with two decimals.
func (s scale) percent(t float64) float64 {
	return math.Round(1e4*clamp((t-s.from)/(s.until-s.from))) / 100
}

func clamp(v float64) float64 {
	if !(v > 0) {
		return 0
	}
	return math.Min(1, v)
}

// path draws the samples v, one each step s from the time from on, as an SVG path of at
// most columns stretches. Of each stretch the least and the greatest are kept in
// their order, so that no peak and no gap is lost; where a stretch holds no finite value the line
// breaks. With area the path is closed down to the bottom.
func (s scale) path(v []float32, from, step float64, columns int, area bool) string {
	if len(v) == 0 || columns < 1 {
		return ""
	}
	columns = min(columns, len(v))
	b := make([]byte, 0, 2*columns*pointBytes)
	pen, startX, lastX := false, 0, 0
	lift := func() {
		if pen && area {
			b = appendPoint(b, ' ', lastX, unitsY)
			b = appendPoint(b, ' ', startX, unitsY)
			b = append(b, 'Z')
		}
		pen = false
	}
	put := func(i int) {
		x, y := s.x(from+float64(i)*step), s.y(float64(v[i]))
		if !pen {
			startX = x
		}
		if !pen && area {
			b = appendPoint(b, 'M', x, unitsY)
			b = appendPoint(b, ' ', x, y)
		} else if !pen {
			b = appendPoint(b, 'M', x, y)
		} else {
			b = appendPoint(b, ' ', x, y)
		}
		pen, lastX = true, x
	}
	for c := range columns {
		lo, hi := -1, -1
		for i := c * len(v) / columns; i < (c+1)*len(v)/columns; i++ {
			if !isFinite(float64(v[i])) {
				continue
			}
			if lo < 0 || v[i] < v[lo] {
				lo = i
			}
			if hi < 0 || v[i] > v[hi] {
				hi = i
			}
		}
		if lo < 0 {
			lift()
			continue
		}
		put(min(lo, hi))
		if lo != hi {
			put(max(lo, hi))
		}
	}
	lift()
	return string(b)
}

// pointBytes is what most points take.
const pointBytes = 11

func appendPoint(b []byte, before byte, x, y int) []byte {
	b = append(b, before)
	b = strconv.AppendInt(b, int64(x), 10)
	b = append(b, ' ')
	return strconv.AppendInt(b, int64(y), 10)
}

// levels is the range of dB worth drawing: up to the ten over the highest, and no more than span
// dB down from there.
func levels(span float64, curves ...[]float32) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, c := range curves {
		for _, v := range c {
			if x := float64(v); isFinite(x) {
				low, high = math.Min(low, x), math.Max(high, x)
			}
		}
	}
	if high < low {
		return 0, 100
	}
	high = 10 * math.Ceil((high+1)/10)
	low = math.Max(10*math.Floor(low/10), high-span)
	return math.Min(low, high-20), high
}

// tick is a label on the side of a picture, At percent from the top or from the left.
type tick struct {
	At    float64
	Label string
	Fine  bool // hidden until there is room
}

func (s scale) valueTicks(step float64, decimals int) []tick {
	var out []tick
	for v := math.Ceil(s.low/step) * step; v <= s.high+step/1e6 && len(out) < 50; v += step {
		at := 100 * (s.high - v) / (s.high - s.low)
		out = append(out, tick{At: math.Round(at*100) / 100, Label: strconv.FormatFloat(v, 'f', decimals, 64)})
	}
	return out
}
