package field

// Speaking is pipes whose pallets open together, and what each partial of them counts for as it comes up.
type Speaking struct {
	pipes  []opened
	weight []float64
	rise   []float64 // 1/τ, 1/s; as left, a plane for each pipe
	left   []float64 // scratch
}

// opened is a pipe and where its partials are.
type opened struct {
	deadS    float64
	from, to int
}

// Clear takes all pipes away.
func (s *Speaking) Clear() { s.pipes, s.weight, s.rise = s.pipes[:0], s.weight[:0], s.rise[:0] }

// Pipe adds a pipe that is silent for deadS seconds after its pallet has opened.
func (s *Speaking) Pipe(deadS float64) {
	s.fill()
	s.pipes = append(s.pipes, opened{deadS, len(s.rise), len(s.rise)})
}

// fill makes whole vectors of the last pipe.
func (s *Speaking) fill() {
	for len(s.rise)%lanes != 0 {
		s.weight, s.rise = append(s.weight, 0), append(s.rise, 0)
	}
}

// Partial adds a partial to the last pipe: what its power counts for in the end, and the time constant at which its amplitude rises, s.
func (s *Speaking) Partial(weight, riseS float64) {
	s.weight, s.rise = append(s.weight, weight), append(s.rise, 1/riseS)
	s.pipes[len(s.pipes)-1].to = len(s.rise)
}

// At is the sum of weight·(1−e^(−(t−dead)/rise))² of the partials t seconds after the pallets have opened.
func (s *Speaking) At(t float64) float64 {
	s.fill()
	if len(s.left) < len(s.rise) {
		s.left = make([]float64, 2*len(s.rise))
	}
	sum := 0.0
	for _, p := range s.pipes {
		if t <= p.deadS {
			continue
		}
		left := s.left[p.from:p.to]
		fallen(left, s.rise[p.from:p.to], t-p.deadS)
		for i, weight := range s.weight[p.from:p.to] {
			a := 1 - left[i]
			sum += weight * a * a
		}
	}
	return sum
}
