package vector

// Each is the loop of the same name in Go, over fours times four values.

//go:noescape
func addScaled(x, w *float32, fours int, a float32)

//go:noescape
func addScaled3(x, y, z, w *float32, fours int, a, b, c float32)

//go:noescape
func around(dst, x, w *float32, fours, taps int)

//go:noescape
func power(dst, x, gain, add, exponent, less *float32, fours int)
