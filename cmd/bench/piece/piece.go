// Package piece makes pieces for measurements: as many voices as asked for, moving by steps,
// of any length, the same for the same seed. They are not meant to be listened to.
package piece

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"

	"afterchord/cmd/bench/internal/vlq"
)

// Options say what kind of piece to make.
type Options struct {
	Seed      uint64
	Seconds   float64
	Voices    int     // 4 where 0; the lowest is the Pedal's where there is more than one
	Crotchets float64 // a minute, 80 where 0
	Velocity  int     // 115 (full organ) where 0
}

const ticks = 480 // to the crotchet

// SMF is the piece as a Standard MIDI File of format 1: one track to each voice, in
// quavers, crotchets and minims, each with a little gap before the next.
func SMF(o Options) []byte {
	if o.Voices == 0 {
		o.Voices = 4
	}
	if o.Crotchets == 0 {
		o.Crotchets = 80
	}
	if o.Velocity == 0 {
		o.Velocity = 115
	}
	end := int(o.Seconds * o.Crotchets / 60 * ticks)
	var out bytes.Buffer
	out.WriteString("MThd")
	out.Write([]byte{0, 0, 0, 6, 0, 1, byte((o.Voices + 1) >> 8), byte(o.Voices + 1), ticks >> 8, ticks & 255})
	us := int(60e6 / o.Crotchets)
	chunk(&out, []byte{0, 0xff, 0x51, 3, byte(us >> 16), byte(us >> 8), byte(us),
		0, 0xff, 0x58, 4, 4, 2, 24, 8, 0, 0xff, 0x2f, 0})
	for v := range o.Voices {
		chunk(&out, voice(o, v, end))
	}
	return out.Bytes()
}

// voice is the track of one voice, the highest first.
func voice(o Options, v, end int) []byte {
	r := rand.New(rand.NewPCG(o.Seed, uint64(v)))
	name := fmt.Sprintf("Great %d", v+1)
	low, high := 48, 84
	switch {
	case v == o.Voices-1 && o.Voices > 1:
		name, low, high = "Pedal", 36, 62
	case o.Voices > 1: // each voice has its own stretch of the keyboard
		high = 84 - 30*v/o.Voices
		low = high - 15
	}
	ch := byte(min(v, 15))
	t := append([]byte{0, 0xff, 3, byte(len(name))}, name...)
	key := (low + high) / 2
	lengths := []int{ticks / 2, ticks / 2, ticks, ticks, 2 * ticks}
	rest := 0
	for at := 0; at < end; {
		l := min(lengths[r.IntN(len(lengths))], end-at)
		step := r.IntN(7) - 3
		if step == 0 {
			step = 1
		}
		if key+step < low || key+step > high {
			step = -step
		}
		key += step
		gap := min(ticks/16, l/8)
		t = vlq.Append(t, rest)
		t = append(t, 0x90|ch, byte(key), byte(o.Velocity))
		t = vlq.Append(t, l-gap)
		t = append(t, 0x80|ch, byte(key), 0)
		rest = gap
		at += l
	}
	return append(t, 0, 0xff, 0x2f, 0)
}

func chunk(out *bytes.Buffer, data []byte) {
	out.WriteString("MTrk")
	out.Write(binary.BigEndian.AppendUint32(nil, uint32(len(data))))
	out.Write(data)
}
