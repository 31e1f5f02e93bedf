package smf

import "encoding/binary"

// message is the event as it stands in the file, with its status byte always
// written out.
func (f *file) message(b []byte, e event) []byte {
	return append(append(b, e.status), f.data[e.from:e.to]...)
}

// plain is track t as a file of its own, with every status byte written out, one
// end-of-track event at its end and data lengths of meta events in their
// shortest form: what every reader of the format can take.
func (f *file) plain(t int) []byte {
	body := make([]byte, 0, 64)
	tick, ended := int64(0), false
	for _, e := range f.tracks[t].events {
		body = appendVLQ(body, uint32(e.tick-tick))
		tick = e.tick
		body = append(body, e.status)
		p := e.from
		if e.status >= 0xF0 {
			if e.status == 0xFF {
				ended = f.data[p] == 0x2F
				body = append(body, f.data[p])
				p++
			}
			size, n := readVLQ(f.data[p:e.to])
			body = appendVLQ(body, size)
			p += n
		}
		body = append(body, f.data[p:e.to]...)
	}
	if !ended {
		body = append(body, 0, 0xFF, 0x2F, 0)
	}
	out := make([]byte, 0, len(body)+22)
	out = append(out, "MThd\x00\x00\x00\x06\x00\x00\x00\x01"...)
	out = append(out, 0, 96) // time is counted here, and the library fails on tempi in SMPTE files
	out = append(out, "MTrk"...)
	out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
	return append(out, body...)
}
