package hearing

import "math"

// camsPerDecade is the constant of the ERB-number scale (ISO 532-2:2017, Formula 6).
const camsPerDecade = 21.366

// ERB is the equivalent rectangular bandwidth, Hz, of the auditory filter centred on
// hz, for young listeners with normal hearing at moderate levels: 24.673·(0.004368·f + 1)
// (Glasberg & Moore, Hear. Res. 47 (1990) 103; ISO 532-2:2017, Formula 1).
func ERB(hz float64) float64 { return 24.673 * (0.004368*hz + 1) }

// HzOfCam is the frequency, Hz, whose ERB number is cam: how many equivalent rectangular bandwidths
// lie below it (Glasberg & Moore 1990; ISO 532-2:2017, Formula 6 solved for frequency).
func HzOfCam(cam float64) float64 {
	return (math.Pow(10, cam/camsPerDecade) - 1) / 0.004368
}
