package desk

import (
	"reflect"

	"afterchord/sim/proof"
	"afterchord/sim/sound"
	"afterchord/voicing"
)

// What the kept values take, bytes: near enough for the sum to stay within what the desk may hold.
const (
	smallBytes   = 4 << 10 // whatever has no long lists; a finding with its words and figures
	organBytes   = 1 << 20 // with the pipes that were asked for
	perScoreByte = 12      // of the file that a score was read from, which may be kept with it
	perFrame     = 24      // of a recording, for each ear, with what its decays were found from
)

// in is what the elements of a list take, without what they point to.
func in[T any](list []T) int64 { return int64(len(list)) * int64(reflect.TypeFor[T]().Size()) }

func bytesOfProof(p *proof.Proof) int64 {
	n := smallBytes + in(p.Events) + in(p.Performance.Notes) + in(p.Score.Notes)
	if d := p.Document; d != nil {
		t := &d.Timeline
		n += in(t.LevelDB) + in(t.ResidueDB) + in(t.HeardShare) + in(t.Clarity) + in(d.Notes) + in(d.Bars) + int64(len(d.Findings))*smallBytes
	}
	return n
}

func bytesOfScore(s *parsed) int64 { return smallBytes + perScoreByte*s.fileBytes }

func bytesOfRoom(m *measured) int64 {
	if m.room.Measured == nil {
		return smallBytes
	}
	return smallBytes + perFrame*int64(len(m.room.Measured.L)+len(m.room.Measured.R))
}

func bytesOfMusic(m *music) int64 {
	if m.Music == nil {
		return smallBytes
	}
	return smallBytes + int64(len(m.MusicXML))
}

func bytesOfResponses(r *sound.Responses) int64 { return smallBytes + r.Bytes() }
func bytesOfOrgan(*voicing.Organ) int64         { return organBytes }
func bytesOfLoudness(loudnessReply) int64       { return smallBytes / 8 }
