package musicxml

import "afterchord/sim/score"

// PrintedBar is the place on the page, from 0 in file order, of the bar that sounds at a tick:
// a bar that is repeated is printed once. ok is false where the score is not from MusicXML.
func PrintedBar(s *score.Score, at score.Tick) (bar int, ok bool) {
	src, ok := s.Source().(*source)
	if !ok || len(src.played) == 0 {
		return 0, false
	}
	return src.played[max(0, min(s.BarAt(at), len(src.played)-1))].measure, true
}

// PrintedNotes gives each note that the file has the ID of the first one played for the same printed note: on other
// times through a repeat, or as another note of an ornament. It is empty where the score is not from MusicXML.
func PrintedNotes(s *score.Score) map[int]int {
	out := map[int]int{}
	src, ok := s.Source().(*source)
	if !ok {
		return out
	}
	first := make(map[*printedNote]int, len(src.notes))
	for _, o := range src.notes {
		n := o.segments[0].n
		if _, known := first[n]; !known {
			first[n] = o.note.ID
		}
		out[o.note.ID] = first[n]
	}
	return out
}
