package finding

import (
	"slices"

	"afterchord/sim/performance"
)

// intended reports whether the page says how loud a part is to be, or what to draw: a solo by intention. Two manuals at one assumed
// dynamic are none, and neither is what a file's velocities say where they are a constant of the export, a player's touch, or of a part whose
// manual is a guess.
func (c *Context) intended(part int) bool {
	if c.Performance.Registered {
		return true
	}
	guessed := slices.ContainsFunc(c.Performance.Assignments, func(a performance.Assignment) bool { return a.Part == part && a.Assumed() })
	for _, p := range c.Performance.Passages {
		if p.Part == part && !p.Assumed && (p.MeanVel == 0 || !guessed && c.exportedMarks()) {
			return true
		}
	}
	return false
}

const (
	touchNotes = 24  // notes of a part that say whether its velocities are written or played
	touchSame  = 0.3 // share of them with the velocity of the note before: written marks and hairpins have plateaus, fingers hardly two alike
)

// exportedMarks reports whether the velocities of the score are dynamic marks as a notation program exports them: they change in the
// course of a part, as no export's constant does, and stay between the changes, as no player's touch does.
func (c *Context) exportedMarks() bool {
	played, changes := c.velocities()
	return changes && !played
}

// velocities says whether a part's velocities are those of fingers, and whether any part has more than one.
func (c *Context) velocities() (played, changes bool) {
	type run struct{ notes, same, last int }
	parts := make([]run, len(c.Score.Parts))
	for _, n := range c.Score.Notes {
		p := &parts[n.Part]
		if p.notes > 0 && n.Velocity == p.last {
			p.same++
		}
		changes = changes || p.notes > 0 && n.Velocity != p.last
		p.notes, p.last = p.notes+1, n.Velocity
	}
	for _, p := range parts {
		played = played || p.notes >= touchNotes && float64(p.same) < touchSame*float64(p.notes)
	}
	return played, changes
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
	played, _ := c.velocities()
	return byVelocity && played
}
