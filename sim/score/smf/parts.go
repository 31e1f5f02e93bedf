package smf

import (
	"fmt"
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
)

// makeParts numbers the channels that have notes, by track and channel.
func (r *reader) makeParts() {
	r.partOf = map[channelKey]int{}
	channels := map[int]int{} // of each track
	var keys []channelKey
	for _, o := range r.notes {
		k := channelKey{o.track, o.note.Voice}
		if _, ok := r.partOf[k]; !ok {
			r.partOf[k] = 0
			channels[k.track]++
			keys = append(keys, k)
		}
	}
	slices.SortFunc(keys, func(a, b channelKey) int {
		if a.track != b.track {
			return a.track - b.track
		}
		return a.channel - b.channel
	})
	for i, k := range keys {
		r.partOf[k] = i
		r.s.Parts = append(r.s.Parts, score.Part{Name: r.partName(k, channels[k.track]), Track: k.track + 1, Channel: k.channel})
		if k.channel == 10 {
			r.count(0, k, "", "channel 10 is percussion in General MIDI: played as pitches like any other")
		}
	}
	r.tellApart()
}

// tellApart adds the track to names that several parts share.
func (r *reader) tellApart() {
	n := map[string]int{}
	for _, p := range r.s.Parts {
		n[p.Name]++
	}
	for i := range r.s.Parts {
		if p := &r.s.Parts[i]; n[p.Name] > 1 {
			p.Name = fmt.Sprintf("%s (track %d)", p.Name, p.Track)
		}
	}
}

// partName is the track's name (format 1) or the channel's instrument name; where
// a track has several channels the channel tells them apart.
func (r *reader) partName(k channelKey, channels int) string {
	if own := r.instruments[k]; own != "" {
		return own
	}
	name := r.names[k.track]
	if r.f.format == 0 {
		name = "" // the name of the piece
	}
	if name == "" {
		name = r.instruments[channelKey{k.track, 0}]
	}
	switch {
	case name == "" && r.f.format == 0:
		return fmt.Sprintf("Channel %d", k.channel)
	case name == "" && channels > 1:
		return fmt.Sprintf("Track %d (channel %d)", k.track+1, k.channel)
	case name == "":
		return fmt.Sprintf("Track %d", k.track+1)
	case channels > 1:
		return fmt.Sprintf("%s (channel %d)", name, k.channel)
	}
	return name
}

// onlyPart is the part of a track that has just one, else -1.
func (r *reader) onlyPart(track int) int {
	found := -1
	for i, p := range r.s.Parts {
		if p.Track == track+1 {
			if found >= 0 {
				return -1
			}
			found = i
		}
	}
	return found
}

func (r *reader) makeWords() {
	only := map[int]int{}
	for t := range r.f.tracks {
		only[t] = r.onlyPart(t)
		if r.f.format == 0 {
			only[t] = -1
		}
	}
	for _, e := range r.texts {
		w := score.Word{At: score.Tick(e.tick) * r.source.scale, Part: only[e.track]}
		if p, ok := r.partOf[channelKey{e.track, e.channel}]; ok {
			w.Part = p
		}
		w.Kind, w.Text = score.ClassifyWord(e.kind, e.text)
		r.s.End = max(r.s.End, w.At)
		r.source.words = append(r.source.words, wordOrigin{w, e.track, e.event})
	}
	slices.SortStableFunc(r.source.words, func(a, b wordOrigin) int { return cmpTicks(int64(a.word.At), int64(b.word.At)) })
	for _, o := range r.source.words {
		r.s.Words = append(r.s.Words, o.word)
	}
}

// makeControls gives each control to the part of its own track and channel, or to
// the first part of that channel where a set-up track holds it.
func (r *reader) makeControls() {
	byChannel := map[int]int{}
	for i := len(r.s.Parts) - 1; i >= 0; i-- {
		byChannel[r.s.Parts[i].Channel] = i
	}
	for _, c := range r.controls {
		p, ok := r.partOf[channelKey{c.track, c.channel}]
		if !ok {
			if p, ok = byChannel[c.channel]; !ok {
				continue // a channel with no notes
			}
		}
		c.Part = p
		r.s.Controls = append(r.s.Controls, c.Control)
	}
	slices.SortStableFunc(r.s.Controls, func(a, b score.Control) int { return cmpTicks(int64(a.At), int64(b.At)) })
}

// makeRemarks writes out what was counted.
func (r *reader) makeRemarks() {
	if n := len(r.f.tracks); n > r.f.declared {
		r.remark(0, -1, fmt.Sprintf("the header says %s, the file has %d: all are read", plural.Count(r.f.declared, "track"), n))
	}
	if r.f.trailing > 0 {
		r.remark(0, -1, fmt.Sprintf("%s after the last track: left out", plural.Count(r.f.trailing, "byte")))
	}
	for _, key := range r.tallyOrder {
		part, ok := r.partOf[key.channelKey]
		if !ok {
			part = -1
		}
		text, t := key.text, r.tallies[key]
		if key.noun != "" {
			text = fmt.Sprintf(text, plural.Count(t.n, key.noun))
		}
		r.remark(t.first, part, fmt.Sprintf("track %d: %s", key.track+1, text))
	}
	slices.SortStableFunc(r.s.Remarks, func(a, b score.Remark) int { return cmpTicks(int64(a.At), int64(b.At)) })
}
