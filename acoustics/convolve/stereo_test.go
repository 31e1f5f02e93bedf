package convolve

// Stereo convolves a whole mono signal with a response; the result is len(x) + the response - 1 long.
func Stereo(x []float64, resp Response, o Options) (l, r []float64, err error) {
	if len(x) == 0 || resp.len() == 0 {
		return nil, nil, nil
	}
	c, err := New([]Response{resp}, Response{}, o)
	if err != nil {
		return nil, nil, err
	}
	n := len(x) + resp.len() - 1
	b := c.block
	padded := (n + b - 1) / b * b
	l, r = make([]float64, padded), make([]float64, padded)
	in := make([]float64, b)
	for at := 0; at < padded; at += b {
		clear(in)
		if at < len(x) {
			copy(in, x[at:])
		}
		if err := c.Process(l[at:at+b], r[at:at+b], in); err != nil {
			return nil, nil, err
		}
	}
	return l[:n], r[:n], nil
}
