package remedy

import "slices"

// Articulate says how repeated loud chords are to be played, in plain note values: detached, each half as long; or
// in pairs, two joined and the second short. Either gives them the drive that an organ has from length alone (common practice).
func Articulate(c *Case) []Draft {
	onsets := c.Onsets()
	var out []Draft
	for _, pairs := range [2]bool{false, true} {
		d := c.pen()
		for _, n := range c.Notes() {
			if i := slices.Index(onsets, n.On); pairs && i%2 == 0 {
				continue
			}
			if is, ok := plainPart(c.Score(), written(c.Score(), n), 0.5); ok && n.On+is < n.Off {
				d.shorten(n.ID, n.On+is)
			}
		}
		what := "The chords in %s are detached: each keeps half its value and a rest follows. It costs some of their weight."
		if pairs {
			what = "The chords in %s go in pairs: the first joined to the second, the second half as long. It costs a rest in every second chord."
		}
		if x, ok := d.finish(false, what, c.bars()); ok {
			out = append(out, x)
		}
	}
	return out
}
