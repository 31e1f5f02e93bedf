package smf

import (
	"bytes"
	"encoding/binary"
)

// Sniff tells whether data begin as a Standard MIDI File does.
func Sniff(data []byte) bool { return bytes.HasPrefix(data, []byte("MThd")) }

// SniffRIFF tells whether data are MIDI in a RIFF file (the RMID form; MMA RP-029, from memory).
func SniffRIFF(data []byte) bool {
	return len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "RMID"
}

// unwrap takes a Standard MIDI File out of the RIFF file it may lie in: its "data" chunk. from is the
// byte at which it begins.
func unwrap(data []byte) (inner []byte, from int, err error) {
	if !SniffRIFF(data) {
		return data, 0, nil
	}
	for pos := 12; pos+8 <= len(data); {
		size := int64(binary.LittleEndian.Uint32(data[pos+4:]))
		if string(data[pos:pos+4]) == "data" { // what is cut short says so itself
			return data[pos+8 : pos+8+int(min(size, int64(len(data)-pos-8)))], pos + 8, nil
		}
		if size > int64(len(data)-pos-8) {
			return nil, 0, &FormatError{Offset: pos, What: "the RIFF file is cut short"}
		}
		pos += 8 + int(size+size&1)
	}
	return nil, 0, &FormatError{Offset: len(data), What: `the RIFF file holds no MIDI ("data" chunk)`}
}
