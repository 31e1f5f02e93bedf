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
