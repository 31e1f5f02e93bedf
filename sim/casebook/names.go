package casebook

import "fmt"

// What the hands and the feet are called (common practice), in four languages, as exports write them, or not at all.
var handNames = [][3]string{
	{"Right hand", "Left hand", "Pedal"}, {"RH", "LH", "Ped."}, {"Rechte Hand", "Linke Hand", "Pedal"}, {"r.H.", "l.H.", "Pedal"},
	{"Main droite", "Main gauche", "Pédale"}, {"Mano destra", "Mano sinistra", "Pedaliera"}, {"right:right", "left:left", "pedal:pedal"},
	{"upper:1", "lower:1", "ped:1"}, {":1", ":2", ":3"}, {"", "", ""}, {"Organ", "Organ", "Organ"}, {"Orgel", "Orgel", "Pedal"}, {"Manuals", "Manuals", "Pedals"}, {"Piano", "Piano", "Piano"},
}

// What two manuals and the feet are called: the solo's, the accompaniment's, the pedal's.
var manualNames = [][3]string{
	{"Swell", "Great", "Pedal"}, {"Sw.", "Gt.", "Ped."}, {"Schwellwerk", "Hauptwerk", "Pedal"}, {"SW", "HW", "Ped."}, {"Récit", "Grand Orgue", "Pédale"}, {"Réc.", "G.O.", "Péd."},
	{"Organo espressivo", "Grand'Organo", "Pedaliera"}, {"Organ (Swell)", "Organ (Great)", "Organ Pedal"}, {"swell:solo", "great:accomp", "pedal:bass"},
}

// lay makes the parts of a page for two hands and, where feet is set, the feet, and says on which part and staff each of
// them stands. Names are of hands, or of manuals.
func (g *hand) lay(p *page, feet bool, names [][3]string) (right, left, ped [2]int) {
	n := names[g.IntN(len(names))]
	staves := g.IntN(3) // parts of their own; one part of several staves; two and a part for the feet
	if names[0][0] == manualNames[0][0] {
		staves = 0
	}
	single := pick(g, "Organ", "Orgel", "Orgue", "Organo", "Pipe Organ", "Music")
	switch {
	case staves == 0:
		p.parts = []part{{n[0], 1}, {n[1], 1}}
		if feet {
			p.parts = append(p.parts, part{n[2], 1})
		}
		return [2]int{0, 0}, [2]int{1, 0}, [2]int{2, 0}
	case staves == 1 && feet:
		p.parts = []part{{single, 3}}
		return [2]int{0, 0}, [2]int{0, 1}, [2]int{0, 2}
	default:
		p.parts = []part{{single, 2}}
		if feet {
			p.parts = append(p.parts, part{pick(g, "Pedal", "Ped.", "Pédale", "Pedaliera", n[2]), 1})
		}
		return [2]int{0, 0}, [2]int{0, 1}, [2]int{1, 0}
	}
}

func (p *page) add(where [2]int, cs []chord) {
	p.voices = append(p.voices, voice{where[0], where[1], cs})
}

// say puts a dynamic at a bar over every part, as scores do.
func (p *page) say(bar int, text string) {
	for i := range p.parts {
		p.marks = append(p.marks, mark{part: i, bar: bar, text: text})
	}
}

// over puts a mark over one staff.
func (p *page) over(where [2]int, bar int, text string) {
	p.marks = append(p.marks, mark{part: where[0], staff: where[1], bar: bar, text: text})
}

func title(name string, seed uint64, well bool) string {
	if well {
		return fmt.Sprintf("%s, well written, %d", name, seed)
	}
	return fmt.Sprintf("%s, %d", name, seed)
}
