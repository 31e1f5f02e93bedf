// Package pipework turns key presses into pipe events: through stops and couplers to
// pipes, each of which speaks once however many keys ask for it, from its first
// key down until its last key up.
package pipework

import "afterchord/voicing"

// Event is one pipe's pallet open from OnS to OffS (action delay included; the pipe's own
// dead time and rise are in its Speech). Events are sorted by OnS.
type Event struct {
	Pipe      voicing.PipeID
	OnS, OffS float64
	Note      int32 // index into Performance.Notes of the key that opened it
	Tremulant bool  // the division's tremulant runs
}
