package finding

import (
	"slices"

	"afterchord/sim/performance"
)

// strands are the lines within the parts of the hands that have more than one: the voices of a staff where the file tells
// them apart, else the top line where its notes are held over others, and what moves below it.
func (c *Context) strands() [][]moment {
	c.strandsOnce.Do(func() {
		_, hands := c.limbsOf()
		for p := range c.Score.Parts {
			var mine []int32
			for i := range c.Performance.Notes {
				if n := &c.Performance.Notes[i]; n.Part == p && hands(n) {
					mine = append(mine, int32(i))
				}
			}
			split := c.voices(mine)
			if len(split) < 2 {
				split = c.topLine(mine)
			}
			for _, line := range split {
				c.strandLines = append(c.strandLines, c.momentsOf(line))
			}
		}
	})
	return c.strandLines
}

// momentsOf groups some of the notes by when they begin.
func (c *Context) momentsOf(notes []int32) []moment {
	in := make(map[*performance.Note]bool, len(notes))
	for _, i := range notes {
		in[c.note(i)] = true
	}
	return c.moments(func(n *performance.Note) bool { return in[n] })
}

// voices are the notes of each voice of a part that has the notes of a line; nil where the file has no voices.
func (c *Context) voices(notes []int32) [][]int32 {
	byVoice := map[int][]int32{}
	var order []int
	for _, i := range notes {
		v := c.Score.Notes[c.note(i).Score].Voice
		if byVoice[v] == nil {
			order = append(order, v)
		}
		byVoice[v] = append(byVoice[v], i)
	}
	slices.Sort(order)
	var out [][]int32
	for _, v := range order {
		if len(byVoice[v]) >= c.Thresholds.SoloNotes {
			out = append(out, byVoice[v])
		}
	}
	return out
}

// topLine parts the notes of one part into a line on top and what moves below it; nil where there are no such two. A note is
// the line's where it is the highest and others begin below while it is held, or with it; what is left alone goes where it lies.
func (c *Context) topLine(notes []int32) [][]int32 {
	top := make([]bool, len(notes))
	under := make([]bool, len(notes)) // begins with or below a note of the line
	var keys []int
	for i, x := range notes {
		n := c.note(x)
		highest := true
		for j := i - 1; j >= 0 && j > i-24 && highest; j-- {
			o := c.note(notes[j])
			highest = o.Key <= n.Key || o.OffS <= n.OnS+togetherS
		}
		if !highest {
			under[i] = true
			continue
		}
		for j := i + 1; j < len(notes) && c.note(notes[j]).OnS < n.OffS-togetherS; j++ {
			o := c.note(notes[j])
			if o.OnS <= n.OnS+togetherS && o.Key > n.Key {
				top[i], under[i] = false, true
				break
			}
			if o.Key < n.Key {
				top[i] = true
			}
		}
		if top[i] {
			keys = append(keys, n.Key)
		}
	}
	if len(keys) < c.Thresholds.SoloNotes {
		return nil
	}
	slices.Sort(keys)
	low := keys[len(keys)/10]
	var line, rest []int32
	for i, x := range notes {
		if top[i] || !under[i] && c.note(x).Key >= low {
			line = append(line, x)
		} else {
			rest = append(rest, x)
		}
	}
	if len(rest) < len(line) || c.heldOver(notes, rest) {
		return nil
	}
	return [][]int32{line, rest}
}

// heldOver says whether most of some are held while two others and more of the notes begin: a chord that is broken and held,
// of which the top is no tune.
func (c *Context) heldOver(notes, some []int32) bool {
	held, k := 0, 0
	for _, x := range some {
		for notes[k] != x {
			k++
		}
		n, over := c.note(x), 0
		for j := k + 1; j < len(notes) && over < 2 && c.note(notes[j]).OnS < n.OffS-togetherS; j++ {
			if c.note(notes[j]).OnS > n.OnS+togetherS {
				over++
			}
		}
		if over == 2 {
			held++
		}
	}
	return 2*held > len(some)
}
