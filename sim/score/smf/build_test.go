package smf

import (
	"encoding/binary"
)

// smfBytes puts a file together from track bodies.
func smfBytes(format int, division uint16, tracks ...[]byte) []byte {
	out := []byte("MThd\x00\x00\x00\x06")
	out = binary.BigEndian.AppendUint16(out, uint16(format))
	out = binary.BigEndian.AppendUint16(out, uint16(len(tracks)))
	out = binary.BigEndian.AppendUint16(out, division)
	for _, t := range tracks {
		out = append(out, "MTrk"...)
		out = binary.BigEndian.AppendUint32(out, uint32(len(t)))
		out = append(out, t...)
	}
	return out
}

// body joins events; delta writes a delta time before one.
func body(events ...[]byte) []byte {
	var out []byte
	for _, e := range events {
		out = append(out, e...)
	}
	return out
}

func at(delta uint32, msg ...byte) []byte { return append(appendVLQ(nil, delta), msg...) }

func metaAt(delta uint32, kind byte, data ...byte) []byte {
	return append(appendVLQ(nil, delta), metaEvent(kind, data)...)
}

func textAt(delta uint32, kind byte, s string) []byte { return metaAt(delta, kind, []byte(s)...) }

func endAt(delta uint32) []byte { return metaAt(delta, 0x2F) }

// note is one key held for length ticks from delta on.
func note(delta, length uint32, ch, key byte) []byte {
	return append(at(delta, 0x90|ch, key, 80), at(length, 0x80|ch, key, 64)...)
}
