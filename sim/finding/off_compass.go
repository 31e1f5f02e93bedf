package finding

import (
	"fmt"
	"math"

	"afterchord/sim/performance"
)

// OffCompass finds notes for which the keyboard has no key: nothing sounds there, or, in the pedals, what an
// organist plays an octave higher instead. Usual compasses are C2 to G6, A6 or C7 on the manuals, C2 to F4 or G4 on the
// pedals (common practice); what counts is the organ at hand.
func OffCompass(c *Context) []Finding {
	var out []Finding
	for i := range c.Performance.Notes {
		n := &c.Performance.Notes[i]
		d := &c.Organ.Divisions[n.Division]
		written := c.Score.Notes[n.Score].Key
		if c.Performance.Assignments[n.Part].OctaveHigher || written >= d.LowKey && written <= d.HighKey {
			continue
		}
		f := c.finding(KindOffCompass, []int32{int32(i)})
		f.Severity = Fail
		f.Weight = n.OffS - n.OnS
		side, over := "above", written-d.HighKey
		if written < d.LowKey {
			side, over = "below", d.LowKey-written
		}
		f.Keys = []string{keyName(written)}
		f.Measured["beyond_semitones"] = float64(over)
		f.Measured["lowest_key"], f.Measured["highest_key"] = float64(d.LowKey), float64(d.HighKey)
		so := "there is no key to press and nothing sounds"
		if n.Key != written {
			f.Severity, so = Notice, fmt.Sprintf("it is played an octave higher, at %s, as an organist would", keyName(n.Key))
		}
		f.Message = fmt.Sprintf("%s lies %s %s the %s key of the %s, which goes from %s to %s: %s.",
			keyName(written), interval(over), side, endKey[side], d.Name, keyName(d.LowKey), keyName(d.HighKey), so)
		f.Try = c.withinCompass(n, written)
		out = append(out, f)
	}
	return append(out, c.octaveHigherParts()...)
}

var endKey = map[string]string{"above": "highest", "below": "lowest"}

// withinCompass says where the same note can be had.
func (c *Context) withinCompass(n *performance.Note, written int) []string {
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
	if written > d.HighKey {
		if k := written - 12; k <= d.HighKey && k >= d.LowKey {
			if s := feet(4); s != "" && !d.Pedal {
				try = append(try, fmt.Sprintf("play the passage an octave lower, from %s, where %s without the 8 ft stops gives the same pitch", keyName(k), s))
			} else {
				try = append(try, fmt.Sprintf("write the passage an octave lower, at %s", keyName(k)))
			}
		}
	} else if k := written + 12; k >= d.LowKey && k <= d.HighKey {
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
		if i != n.Division && written >= o.LowKey && written <= o.HighKey {
			try = append(try, fmt.Sprintf("give the note to the %s, which has the key", o.Name))
			break
		}
	}
	if len(try) == 0 {
		try = append(try, "leave the note out, or bring the passage within the compass by an octave or two")
	}
	return try
}

// octaveHigherParts are the pedal parts that are played an octave higher than written.
func (c *Context) octaveHigherParts() []Finding {
	var out []Finding
	for _, a := range c.Performance.Assignments {
		if !a.OctaveHigher {
			continue
		}
		d := &c.Organ.Divisions[a.Division]
		var notes []int32
		for i := range c.Performance.Notes {
			if n := c.note(int32(i)); n.Part == a.Part && c.Score.Notes[n.Score].Key < d.LowKey {
				notes = append(notes, int32(i))
			}
		}
		f := c.finding(KindOffCompass, notes)
		f.Severity, f.passage = Notice, true // one place: a slip of the page that one octave mends, however many notes it is
		f.Keys = nil
		for _, i := range notes {
			f.Weight += c.note(i).OffS - c.note(i).OnS
			f.Keys = union(f.Keys, []string{keyName(c.Score.Notes[c.note(i).Score].Key)})
		}
		f.Measured["notes"], f.Measured["lowest_key"], f.Measured["highest_key"] = float64(len(notes)), float64(d.LowKey), float64(d.HighKey)
		f.Message = fmt.Sprintf("%d notes of %s lie below the lowest key of the %s (%s); an octave higher the whole part fits, so it seems written at the pitch that a 16 ft stop sounds. It is played so here.",
			len(notes), c.Score.Parts[a.Part].Name, d.Name, keyName(d.LowKey))
		f.Try = []string{"write the pedal an octave higher and let the 16 ft stops sound the octave below, as organ music is written"}
		out = append(out, f)
	}
	return out
}
