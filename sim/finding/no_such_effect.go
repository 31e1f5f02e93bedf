package finding

import (
	"fmt"
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
)

// NoSuchEffect finds what a piano or a synthesizer does and an organ does not: the
// sustaining pedal and its relatives, pitch bend and pressure, accents by touch, two
// loudnesses on one keyboard, and a key struck again while it is down.
func NoSuchEffect(c *Context) []Finding {
	out := c.pedalsOfThePiano()
	out = append(out, c.bends()...)
	out = append(out, c.accents()...)
	out = append(out, c.twoLoudnesses()...)
	out = append(out, c.twoMarks()...)
	return append(out, c.restruck()...)
}

// pianoPedals are the controllers that an organ has no counterpart for (MIDI 1.0 controller numbers).
var pianoPedals = []struct {
	number int
	name   string
	try    []string
}{
	{64, "sustaining pedal", []string{"write out every note as long as it is to sound", "hold the chord in the other hand or in the pedal"}},
	{66, "middle pedal", []string{"hold the note with a finger, or give it to the pedal"}},
	{67, "soft pedal", []string{"write a softer dynamic mark, which draws fewer stops"}},
	{1, "vibrato", []string{"write the word tremulant where one is wanted: it shakes the whole division"}},
}

// pedalsOfThePiano makes one finding a part and pedal.
func (c *Context) pedalsOfThePiano() []Finding {
	var out []Finding
	for part := range c.Score.Parts {
		for _, p := range pianoPedals {
			f, ok := c.pianoPedal(part, p.number)
			if !ok {
				continue
			}
			uses, lost, of := f.Measured["uses"], f.Measured["lengthened_notes"], f.Measured["lost_s"]
			f.Message = fmt.Sprintf("The %s is used %s: an organ has none.", p.name, times(int(uses)))
			if p.number == 64 && lost > 0 {
				f.Severity = Warning
				f.Message = fmt.Sprintf("The sustaining pedal lengthens %s, by %s on average: an organ has none, and each stops when its key comes up.",
					plural.Count(int(lost), "note"), secs(of/lost))
			}
			f.Try = p.try
			out = append(out, f)
		}
	}
	return out
}

func (c *Context) pianoPedal(part, number int) (Finding, bool) {
	f := Finding{Kind: KindNoSuchEffect, Severity: Notice, Division: c.divisionOfPart(part), Measured: map[string]float64{}}
	var downs []span
	down, since := false, 0.0
	for _, x := range c.Score.Controls {
		if x.Part != part || x.Kind != score.Controller || x.Number != number {
			continue
		}
		on := x.Value >= 64 || number == 1 && x.Value > 0 // a switch is on from 64 (MIDI 1.0)
		t := c.Score.Seconds(x.At)
		if on && !down {
			down, since = true, t
			if t >= c.Performance.EndS {
				break
			}
		} else if !on && down {
			down = false
			downs = append(downs, span{since, t})
		}
	}
	if down && since < c.Performance.EndS {
		downs = append(downs, span{since, c.Performance.EndS})
	}
	if len(downs) == 0 {
		return f, false
	}
	f.AtS, f.UntilS, f.Count = downs[0].from, downs[len(downs)-1].to, len(downs)
	lost, notes := 0.0, 0
	for i, n := range c.Performance.Notes {
		if n.Part != part {
			continue
		}
		end := c.Score.Seconds(c.Score.Notes[n.Score].Off)
		for _, d := range downs {
			if d.from < end && end < d.to-0.02 && number == 64 {
				lost += d.to - end
				notes++
				f.Notes = append(f.Notes, c.noteIDs([]int32{int32(i)})...)
			}
		}
	}
	f.Measured["uses"] = float64(len(downs))
	f.Measured["lengthened_notes"], f.Measured["lost_s"] = float64(notes), round(lost, 2)
	f.Weight = lost
	return f, true
}

type span struct{ from, to float64 }

func (c *Context) divisionOfPart(part int) string {
	for _, a := range c.Performance.Assignments {
		if a.Part == part && a.Division >= 0 && a.Division < len(c.Organ.Divisions) {
			return c.Organ.Divisions[a.Division].Name
		}
	}
	return ""
}

// bends finds pitch bend and key pressure.
func (c *Context) bends() []Finding {
	var out []Finding
	for part := range c.Score.Parts {
		for _, kind := range []score.ControlKind{score.Bend, score.Pressure} {
			f := Finding{Kind: KindNoSuchEffect, Severity: Notice, Division: c.divisionOfPart(part), Measured: map[string]float64{}}
			most := 0
			for _, x := range c.Score.Controls {
				if x.Part != part || x.Kind != kind || x.Value == 0 {
					continue
				}
				t := c.Score.Seconds(x.At)
				if t > c.Performance.EndS {
					continue // nothing sounds any more
				}
				if f.Count == 0 {
					f.AtS = t
				}
				f.UntilS = t
				f.Count++
				if v := x.Value; v > most || -v > most {
					most = max(v, -v)
				}
			}
			if f.Count == 0 {
				continue
			}
			f.Measured["messages"] = float64(f.Count)
			if kind == score.Bend {
				f.Severity = Warning
				semis := float64(most) / 8192 * 2
				f.Measured["most_semitones"] = round(semis, 2)
				f.Message = fmt.Sprintf("The pitch is bent by up to %.2f semitones (at the usual range of two): a pipe has one pitch, so nothing of it is heard.", semis)
				f.Try = []string{"write the notes that the slide passes through", "leave it out"}
			} else {
				f.Measured["most"] = float64(most)
				f.Message = fmt.Sprintf("Pressure on held keys (up to %d of 127): an organ key is down or up, and pressing it further does nothing.", most)
				f.Try = []string{"use the swell box for a note that is to grow, on a division that has one"}
			}
			out = append(out, f)
		}
	}
	return out
}

// restruck finds keys asked for again while they are down, one finding a division.
func (c *Context) restruck() []Finding {
	type held struct {
		note int32
		offS float64
	}
	places := make([][]int32, len(c.Organ.Divisions))
	most := make([]float64, len(c.Organ.Divisions))
	last := map[[2]int]held{}
	feet, hands := c.limbsOf()
	for i, n := range c.Performance.Notes {
		if n := c.note(int32(i)); !hands(n) && !(feet(n) && c.Organ.Divisions[n.Division].Pedal) {
			continue
		}
		k := [2]int{n.Division, n.Key}
		h, ok := last[k]
		if ok && n.OnS > c.note(h.note).OnS+togetherS && h.offS > n.OnS+c.Thresholds.RestruckS {
			places[n.Division] = append(places[n.Division], int32(i))
			most[n.Division] = max(most[n.Division], h.offS-n.OnS)
		}
		if !ok || n.OffS > h.offS {
			last[k] = held{int32(i), n.OffS}
		}
	}
	var out []Finding
	for d, notes := range places {
		if len(notes) == 0 {
			continue
		}
		f := c.finding(KindNoSuchEffect, notes)
		f.Severity, f.Count = Notice, len(notes)
		f.Measured["notes"], f.Measured["longest_s"] = float64(len(notes)), round(most[d], 2)
		first := c.note(notes[0])
		what := fmt.Sprintf("%s is struck again while another note", keyName(first.Key))
		if len(notes) > 1 {
			what = fmt.Sprintf("%d notes, the first of them %s, are struck again while another note", len(notes), keyName(first.Key))
		}
		f.Message = fmt.Sprintf("%s still holds the same key of the %s, for up to %s more: a key that is down cannot speak anew.", what, c.Organ.Divisions[d].Name, secs(most[d]))
		f.Try = []string{"let go of the held note just before", "play one of the two lines on another manual"}
		slices.Sort(f.Notes)
		out = append(out, f)
	}
	return out
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

func areWere(n int, one, many string) string { return plural.Count(n, one+" is", many+" are") }
