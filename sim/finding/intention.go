package finding

// intended reports whether the page says how loud a part is to be, or what to draw: a solo by intention. Two manuals at one assumed
// dynamic are none, and neither is what a file's velocities say where they are a constant of the export or a player's touch.
func (c *Context) intended(part int) bool {
	if c.Performance.Registered {
		return true
	}
	for _, p := range c.Performance.Passages {
		if p.Part == part && !p.Assumed && (p.MeanVel == 0 || c.exportedMarks()) {
			return true
		}
	}
	return false
}

const (
	markVelocities = 8  // levels of velocity in a part: the marks from ppp to fff
	touchNotes     = 24 // notes of a part that say whether it has levels or a touch
)

// exportedMarks reports whether the velocities of the score are dynamic marks as a notation program exports them: they change in the
// course of a part, as no export's constant does, and by a few levels, as no player's touch does.
func (c *Context) exportedMarks() bool {
	levels := make([]map[int]int, len(c.Score.Parts))
	changes := false
	for _, n := range c.Score.Notes {
		if levels[n.Part] == nil {
			levels[n.Part] = map[int]int{}
		}
		levels[n.Part][n.Velocity]++
		changes = changes || len(levels[n.Part]) > 1
	}
	for _, l := range levels {
		notes := 0
		for _, n := range l {
			notes += n
		}
		if notes >= touchNotes && len(l) > markVelocities {
			return false
		}
	}
	return changes
}

// touched reports whether what the program takes for dynamics are a player's touch: velocities of a recording, of which an organ knows
// nothing and the page says nothing.
func (c *Context) touched() bool {
	if c.Performance.Registered {
		return false
	}
	byVelocity := false
	for _, p := range c.Performance.Passages {
		if p.MeanVel == 0 {
			return false // a mark
		}
		byVelocity = byVelocity || !p.Assumed
	}
	return byVelocity && !c.exportedMarks()
}
