// Package vlq writes the delta times of MIDI files.
package vlq

// Append adds v to t as a variable-length quantity (Standard MIDI Files 1.0): seven bits a byte, the highest first.
func Append(t []byte, v int) []byte {
	shift := 0
	for v>>(shift+7) > 0 {
		shift += 7
	}
	for ; shift > 0; shift -= 7 {
		t = append(t, byte(v>>shift)&0x7f|0x80)
	}
	return append(t, byte(v)&0x7f)
}
