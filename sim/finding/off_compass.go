package finding

import (
	"fmt"
	"math"

	"afterchord/sim/performance"
)

// OffCompass finds notes for which the keyboard has no key: nothing sounds there. Usual
// compasses are C2 to G6, A6 or C7 on the manuals, C2 to F4 or G4 on the pedals
// (common practice); what counts is the organ at hand.
func OffCompass(c *Context) []Finding {
	var out []Finding
	low := c.octaveLow()
	for i := range c.Performance.Notes {
		n := &c.Performance.Notes[i]
		d := &c.Organ.Divisions[n.Division]
		if n.Key >= d.LowKey && n.Key <= d.HighKey || low[n.Part] {
			continue
		}
		f := c.finding(KindOffCompass, []int32{int32(i)})
		f.Severity = Fail
		f.Weight = n.OffS - n.OnS
		side, over := "above", n.Key-d.HighKey
		if n.Key < d.LowKey {
			side, over = "below", d.LowKey-n.Key
		}
		f.Measured["beyond_semitones"] = float64(over)
		f.Measured["lowest_key"], f.Measured["highest_key"] = float64(d.LowKey), float64(d.HighKey)
		f.Message = fmt.Sprintf("%s lies %s %s the last key of the %s, which goes from %s to %s: there is no key to press and nothing sounds.",
			keyName(n.Key), interval(over), side, d.Name, keyName(d.LowKey), keyName(d.HighKey))
		f.Try = c.withinCompass(n)
		out = append(out, f)
	}
	return append(out, c.octaveLowParts(low)...)
}

// withinCompass says where the same note can be had.
func (c *Context) withinCompass(n *performance.Note) []string {
	var try []string
	d := &c.Organ.Divisions[n.Division]
	drawn := c.Performance.RegistrationAt(n.OnS).Stops[n.Division]
	feet := func(want float64) string {
		for s, x := range d.Stops {
			if math.Abs(x.Feet-want) < 0.01 && len(x.Ranks) == 1 {
				if drawn>>s&1 != 0 {
					return x.Name + " (already drawn)"
				}
				return x.Name
			}
		}
		return ""
	}
	if n.Key > d.HighKey {
		if k := n.Key - 12; k <= d.HighKey && k >= d.LowKey {
			if s := feet(4); s != "" && !d.Pedal {
				try = append(try, fmt.Sprintf("play the passage an octave lower, from %s, where %s without the 8 ft stops gives the same pitch", keyName(k), s))
			} else {
				try = append(try, fmt.Sprintf("write the passage an octave lower, at %s", keyName(k)))
			}
		}
	} else if k := n.Key + 12; k >= d.LowKey && k <= d.HighKey {
		if s := feet(16); s != "" && !d.Pedal {
			try = append(try, fmt.Sprintf("play the passage an octave higher, from %s, where %s without the 8 ft stops gives the same pitch", keyName(k), s))
		} else if s := feet(32); s != "" && d.Pedal {
			try = append(try, fmt.Sprintf("write %s and draw %s, which sounds the octave below the 16 ft", keyName(k), s))
		} else {
			try = append(try, fmt.Sprintf("write the passage an octave higher, at %s", keyName(k)))
		}
	}
	for i := range c.Organ.Divisions {
		o := &c.Organ.Divisions[i]
		if i != n.Division && n.Key >= o.LowKey && n.Key <= o.HighKey {
			try = append(try, fmt.Sprintf("give the note to the %s, which has the key", o.Name))
			break
		}
	}
	if len(try) == 0 {
		try = append(try, "leave the note out, or bring the passage within the compass by an octave or two")
	}
	return try
}

// octaveLow marks the pedal parts that look as if they were written at the pitch of a 16 ft stop: many
// notes below the lowest key, and all of them within the compass an octave higher.
func (c *Context) octaveLow() []bool {
	below, inside, outside := make([]int, len(c.Score.Parts)), make([]int, len(c.Score.Parts)), make([]int, len(c.Score.Parts))
	for _, n := range c.Performance.Notes {
		d := &c.Organ.Divisions[n.Division]
		switch {
		case !d.Pedal || n.Key+12 > d.HighKey || n.Key+12 < d.LowKey:
			outside[n.Part]++
		case n.Key < d.LowKey:
			below[n.Part]++
		default:
			inside[n.Part]++
		}
	}
	out := make([]bool, len(c.Score.Parts))
	for p := range out {
		out[p] = below[p] >= 5 && outside[p] == 0 && 10*below[p] >= inside[p]
	}
	return out
}

func (c *Context) octaveLowParts(low []bool) []Finding {
	var out []Finding
	for p, l := range low {
		if !l {
			continue
		}
		var notes []int32
		for i, n := range c.Performance.Notes {
			if n.Part == p && n.Key < c.Organ.Divisions[n.Division].LowKey {
				notes = append(notes, int32(i))
			}
		}
		f := c.finding(KindOffCompass, notes)
		f.Severity, f.passage = Fail, true // one place: a slip of the page that one octave mends, however many notes it is
		for _, i := range notes {
			f.Weight += c.note(i).OffS - c.note(i).OnS
		}
		d := &c.Organ.Divisions[c.note(notes[0]).Division]
		f.Measured["notes"], f.Measured["lowest_key"], f.Measured["highest_key"] = float64(len(notes)), float64(d.LowKey), float64(d.HighKey)
		f.Message = fmt.Sprintf("%d notes of %s lie below the lowest key of the %s (%s) and are not there; an octave higher the whole part fits, so it seems written at the pitch that a 16 ft stop sounds.",
			len(notes), c.Score.Parts[p].Name, d.Name, keyName(d.LowKey))
		f.Try = []string{"write the pedal an octave higher and let the 16 ft stops sound the octave below, as organ music is written"}
		out = append(out, f)
	}
	return out
}
