//go:build !amd64

package vector

func (s *Spreading) choose(level []float32, c *Choice) (most int, all bool) {
	return s.chooseGo(level, c)
}

func enter(dst []float32, power, transfer []float64, least, most float64) {
	enterGo(dst, power, transfer, least, most)
}

func add2(dst, a, b []float32) { add2Go(dst, a, b) }

func add3(dst, a, b, c []float32) { add3Go(dst, a, b, c) }

func faint(dst, e, quiet []float32) { faintGo(dst, e, quiet) }
