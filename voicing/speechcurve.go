package voicing

// SpokenShare is the share of the steady pressure at which a pipe counts as speaking: 1 dB below steady.
const SpokenShare = 0.891

// StopCurve is how soon one stop speaks along its compass.
type StopCurve struct {
	Stop    Stop
	Keys    []int
	SpeakS  []float64 // from the pallet's opening to SpokenShare; of a mixture, the slowest rank, s
	ActionS float64   // the action's delay that comes before, s
}

// SpeechCurve is the time to speak against key for each stop of division.
func SpeechCurve(o *Organ, division int) []StopCurve {
	if division < 0 || division >= len(o.Divisions) {
		return nil
	}
	div := &o.Divisions[division]
	curves := make([]StopCurve, 0, len(div.Stops))
	for s := range div.Stops {
		stop := &div.Stops[s]
		c := StopCurve{Stop: *stop, ActionS: div.Action.DelayS}
		for k := stop.LowKey; k <= stop.HighKey; k++ {
			slowest := 0.0
			for r := range stop.Ranks {
				if stop.Ranks[r].FeetAt(k) > 0 {
					slowest = max(slowest, SpeakS(o.Pipe(PipeID{uint8(division), uint8(s), uint8(r), uint8(k)}), SpokenShare))
				}
			}
			if slowest > 0 {
				c.Keys = append(c.Keys, k)
				c.SpeakS = append(c.SpeakS, slowest)
			}
		}
		curves = append(curves, c)
	}
	return curves
}
