package smf

func vlqFault(what string, n int) string {
	if n == 0 {
		return "the track ends inside a " + what
	}
	return "a " + what + " has more than four bytes"
}

// readVLQ reads a variable-length quantity of at most four bytes; n is the
// number of bytes, 0 where b ends inside it, -1 where it is too long.
func readVLQ(b []byte) (v uint32, n int) {
	for i := 0; i < len(b) && i < 4; i++ {
		v = v<<7 | uint32(b[i]&0x7F)
		if b[i] < 0x80 {
			return v, i + 1
		}
	}
	if len(b) >= 4 {
		return 0, -1
	}
	return 0, 0
}

// appendVLQ writes v (below 2^28) as a variable-length quantity.
func appendVLQ(b []byte, v uint32) []byte {
	for shift := 21; shift > 0; shift -= 7 {
		if v>>shift != 0 {
			b = append(b, byte(v>>shift)&0x7F|0x80)
		}
	}
	return append(b, byte(v)&0x7F)
}
