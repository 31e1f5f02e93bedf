package casebook

import (
	"slices"

	"afterchord/sim/finding"
)

// Case is one of the things that a coach shows composers.
type Case struct {
	Name  string
	Kinds []string // the findings of which one should be there
	// write makes the page: as a composer for the piano writes it, or well.
	write func(g *hand, p *page, o *occasion, well bool)
}

// occasion is where a page is played.
type occasion struct{ organ, room string }

// Cases are all of them, in the order of the table.
var Cases = []Case{
	{"solo with no sound of its own", []string{finding.KindSoloNotApart}, solo},
	{"broken chords, nothing held", []string{finding.KindThinFigure}, brokenChords},
	{"octaves in one hand", []string{finding.KindHandOctaves, finding.KindDoubledInVain}, handOctaves},
	{"dotted and repeated notes on slow pipes", []string{finding.KindLateSpeech, finding.KindRunTogether}, slowPipes},
	{"pedal in octaves, leaps under a slur", []string{finding.KindPedalReach}, pedalOctaves},
	{"left hand doubling what the coupler sounds", []string{finding.KindDoubledInVain}, doubledPedal},
	{"crescendo while both feet play", []string{finding.KindBoxOutOfReach}, bothFeet},
	{"crescendo by stops under held chords", []string{finding.KindSteppedCrescendo}, stepped},
	{"drop with many stops", []string{finding.KindStopScramble}, drop},
	{"dense loud chords, articulation open", []string{finding.KindOpenArticulation}, dense},
}

var loud = []string{"f", "ff", "f", "ff", "fff"}

func (g *hand) metre(p *page) {
	m := pick(g, [2]int{4, 4}, [2]int{3, 4}, [2]int{2, 4}, [2]int{4, 4}, [2]int{6, 8}, [2]int{2, 2})
	p.beats, p.unit = m[0], m[1]
}

// solo is a melody over repeated or broken chords on the same manual at one mark, or on another manual at the same
// mark; well: on a manual of its own two marks up over held chords, or a hymn in which all voices move together.
func solo(g *hand, p *page, o *occasion, well bool) {
	g.metre(p)
	n, bar := g.between(8, 12), p.bar()
	prog := g.progression(n)
	p.tempo = float64(g.between(54, 100))
	o.organ = pick(g, "minster", "village")
	feet, two := g.coin(), well || g.IntN(3) == 0
	names := handNames
	if two {
		names = manualNames
	}
	centre := g.between(69, 77)
	low := g.between(50, 57)
	if two && !well {
		low += 2
	}
	right, left, ped := g.lay(p, feet, names)
	tune := g.melody(prog, bar, centre)
	mark := pick(g, "p", "mp", "mf", "mf", "f")
	if well {
		p.add(right, tune)
		p.add(left, hold(prog, bar, func(d int) []int { return g.close3(d, low-3) }))
		p.over(right, 0, pick(g, "mf", "f"))
		p.over(left, 0, "pp")
		if feet {
			p.over(ped, 0, "pp")
			p.add(ped, hold(prog, bar, func(d int) []int { return []int{g.bass(d, 36)} }))
		}
		return
	}
	p.add(right, tune)
	if g.coin() {
		p.add(left, g.broken(prog, bar, pick(g, 2, 2, 1, 2), low))
	} else {
		p.add(left, g.repeatedChords(prog, bar, pick(g, 2, 4, 2), low))
	}
	if feet {
		p.add(ped, hold(prog, bar, func(d int) []int { return []int{g.bass(d, 36)} }))
	}
	p.say(0, mark)
	if two {
		p.over(left, 0, mark)
	}
}

// repeatedChords strikes the chord of each bar again and again.
func (g *hand) repeatedChords(prog []int, bar, length, centre int) []chord {
	rest := g.IntN(3) == 0 // bass note and afterbeats
	var out []chord
	for _, d := range prog {
		keys := g.close3(d, centre)
		for i := range bar / length {
			c := chord{keys: keys, len: length}
			if rest && i%2 == 0 {
				c.keys = []int{keys[0]}
			}
			out = append(out, c)
		}
		if r := bar % length; r > 0 {
			out = append(out, chord{keys: keys, len: r})
		}
	}
	return out
}

// brokenChords is figures of one hand under single notes or rests; well: with the chord held in the other hand or its
// notes held as they come.
func brokenChords(g *hand, p *page, o *occasion, well bool) {
	g.metre(p)
	n, bar := g.between(6, 10), p.bar()
	prog := g.progression(n)
	if g.IntN(3) == 0 { // the harmony stays
		for i := range prog {
			prog[i] = prog[i/4*4]
		}
	}
	p.tempo = float64(g.between(60, 104))
	feet := g.IntN(3) == 0
	right, left, ped := g.lay(p, feet, handNames)
	low := g.between(50, 60)
	length := pick(g, 2, 2, 1)
	fig := g.broken(prog, bar, length, low)
	switch {
	case well && g.coin(): // the right hand holds the chord
		p.add(right, hold(prog, bar, func(d int) []int { return g.close3(d, low+12) }))
	case well: // the notes are held as they come in
		p.add(right, g.melody(prog, bar, low+19))
		p.add(left, fig)
		p.add(left, hold(prog, bar, func(d int) []int { return g.close3(d, low) }))
		fig = nil
	case g.IntN(3) == 0:
		p.add(right, []chord{{len: bar * n}})
		p.voices[len(p.voices)-1].chords = nil
		for range n {
			p.voices[len(p.voices)-1].chords = append(p.voices[len(p.voices)-1].chords, chord{len: bar})
		}
		p.voices[len(p.voices)-1].chords[n-1] = chord{keys: []int{near(g.triad(0)[0], 72)}, len: bar}
	default:
		p.add(right, g.melody(prog, bar, low+19))
	}
	if fig != nil {
		p.add(left, fig)
	}
	if feet {
		p.add(ped, hold(prog, bar, func(d int) []int { return []int{g.bass(d, 36)} }))
		if !well { // short bass notes hold nothing either
			v := &p.voices[len(p.voices)-1]
			var short []chord
			for _, c := range v.chords {
				short = append(short, chord{keys: c.keys, len: 2}, chord{len: bar - 2})
			}
			v.chords = short
		}
	}
	p.say(0, pick(g, "p", "mp", "mf", "f"))
}

// handOctaves is a right hand in octaves, bare or filled, in quick or short notes; well: the line alone.
func handOctaves(g *hand, p *page, o *occasion, well bool) {
	g.metre(p)
	n, bar := g.between(6, 10), p.bar()
	prog := g.progression(n)
	p.tempo = float64(g.between(72, 126))
	feet := g.coin()
	right, left, ped := g.lay(p, feet, handNames)
	length := pick(g, 2, 2, 1, 4)
	filled, short := g.coin(), g.coin() || length == 4
	low := g.between(60, 67)
	var line []chord
	at := low
	for _, d := range prog {
		t := g.triad(d)
		for i := range bar / length {
			if i%3 == 0 {
				at = near(t[g.IntN(3)], at+g.between(-2, 3))
			} else {
				at = near(g.degree(g.between(0, 6), d == 4), at+pick(g, -2, 2))
			}
			if at > low+9 {
				at -= 12
			}
			if at < low-5 {
				at += 12
			}
			c := chord{keys: []int{at, at + 12}, len: length, dot: short}
			if filled {
				for _, x := range t {
					if k := above(x, at+3); k < at+10 {
						c.keys = []int{at, k, at + 12}
						break
					}
				}
			}
			if well {
				c.keys = []int{at + 12}
			}
			line = append(line, c)
		}
		if r := bar % length; r > 0 {
			line = append(line, chord{len: r})
		}
	}
	p.add(right, line)
	p.add(left, hold(prog, bar, func(d int) []int { return g.close3(d, 52) }))
	if feet {
		p.add(ped, hold(prog, bar, func(d int) []int { return []int{g.bass(d, 36)} }))
	}
	p.say(0, pick(g, "mf", "f", "ff"))
}

// slowPipes is dotted or quick repeated notes low in the pedal; well: the same an octave up and slow, each note parted.
func slowPipes(g *hand, p *page, o *occasion, well bool) {
	p.beats, p.unit = pick(g, 4, 3, 2), 4
	n, bar := g.between(6, 9), p.bar()
	prog := g.progression(n)
	right, left, ped := g.lay(p, true, handNames)
	p.tempo = float64(g.between(92, 132))
	if well {
		p.tempo = float64(g.between(50, 66))
	}
	p.add(right, hold(prog, bar, func(d int) []int { return g.close3(d, 67) }))
	p.add(left, hold(prog, bar, func(d int) []int { return g.close3(d, 55)[:2] }))
	dotted := g.coin()
	var bass []chord
	for _, d := range prog {
		k := g.bass(d, 36)
		for range bar / 4 {
			switch {
			case well:
				bass = append(bass, chord{keys: []int{k}, len: 2}, chord{len: 2})
				k = near(g.triad(d)[g.IntN(3)], 45)
			case dotted:
				bass = append(bass, chord{keys: []int{k}, len: 3}, chord{keys: []int{k}, len: 1})
			default:
				for range 4 {
					bass = append(bass, chord{keys: []int{k}, len: 1})
				}
			}
		}
	}
	if well {
		bass = hold(prog, bar, func(d int) []int { return []int{near(g.triad(d)[0], 45)} })
	}
	p.add(ped, bass)
	p.say(0, pick(g, "mf", "f", "ff"))
}

// pedalOctaves is a pedal line in octaves by leaps, legato; well: one voice by steps.
func pedalOctaves(g *hand, p *page, o *occasion, well bool) {
	g.metre(p)
	n, bar := g.between(6, 10), p.bar()
	prog := g.progression(n)
	p.tempo = float64(g.between(66, 112))
	right, left, ped := g.lay(p, true, handNames)
	p.add(right, hold(prog, bar, func(d int) []int { return g.close3(d, 67) }))
	p.add(left, hold(prog, bar, func(d int) []int { return g.close3(d, 57)[:2] }))
	length := pick(g, 4, 4, 2, 8)
	if bar%length != 0 {
		length = pick(g, 4, 2)
	}
	if bar%length != 0 {
		length = 2
	}
	var bass []chord
	at, deg := 38, 0
	for _, d := range prog {
		t := g.triad(d)
		for range bar / length {
			if well {
				deg += pick(g, -1, 1)
				at = near(g.degree(deg, false), min(max(at, 38), 48))
				bass = append(bass, chord{keys: []int{at}, len: length})
				continue
			}
			was := at
			for range 8 {
				at = above(t[g.IntN(3)], 36)
				if abs(at-was) >= 5 {
					break
				}
			}
			if abs(at-was) < 5 {
				at = above(g.triad(d + 1)[g.IntN(3)], 36)
			}
			bass = append(bass, chord{keys: []int{at, at + 12}, len: length})
		}
	}
	p.add(ped, slurred(bass, pick(g, 2, 3, 4)))
	p.say(0, pick(g, "mf", "f", "ff"))
}

// doubledPedal is a left hand an octave above the pedal throughout, with the manual coupled to it; well: the left hand
// has chords.
func doubledPedal(g *hand, p *page, o *occasion, well bool) {
	g.metre(p)
	n, bar := g.between(6, 10), p.bar()
	prog := g.progression(n)
	p.tempo = float64(g.between(60, 100))
	right, left, ped := g.lay(p, true, handNames[:6])
	p.add(right, hold(prog, bar, func(d int) []int { return g.close3(d, 69) }))
	var bass []chord
	at := 40
	for _, d := range prog {
		for _, l := range g.rhythm(bar, 4, 8, 4, 2) {
			at = near(g.degree(g.between(0, 6), d == 4), min(max(at, 40), 46)+pick(g, -2, 2, 3, -3))
			bass = append(bass, chord{keys: []int{max(at, 36)}, len: l})
		}
	}
	up := slices.Clone(bass)
	for i := range up {
		up[i].keys = []int{bass[i].keys[0] + pick(g, 12)}
	}
	if well {
		up = hold(prog, bar, func(d int) []int { return g.close3(d, 57)[:2] })
	} else if g.IntN(3) == 0 { // at the same pitch
		for i := range up {
			up[i].keys = []int{bass[i].keys[0]}
		}
	}
	p.add(left, up)
	p.add(ped, bass)
	p.say(0, pick(g, "f", "ff", "f"))
}

// bothFeet is a hairpin on the Swell while both feet run; well: they hold one note.
func bothFeet(g *hand, p *page, o *occasion, well bool) {
	p.beats, p.unit = pick(g, 4, 3), 4
	n, bar := g.between(6, 9), p.bar()
	prog := g.progression(n)
	o.organ = pick(g, "minster", "village")
	p.tempo = float64(g.between(60, 92))
	names := [][3]string{{"Swell", "Swell", "Pedal"}, {"Sw. RH", "Sw. LH", "Ped."}, {"Schwellwerk", "Schwellwerk", "Pedal"}, {"Récit", "Récit", "Pédale"}, {"Organo espressivo", "Organo espressivo", "Pedaliera"}}
	x := names[g.IntN(len(names))]
	p.parts = []part{{x[0], 1}, {x[1], 1}, {x[2], 1}}
	right, left, ped := [2]int{0, 0}, [2]int{1, 0}, [2]int{2, 0}
	p.add(right, hold(prog, bar, func(d int) []int { return g.close3(d, 67) }))
	p.add(left, hold(prog, bar, func(d int) []int { return g.close3(d, 55)[:2] }))
	var bass []chord
	at := 43
	for i, d := range prog {
		if well {
			bass = append(bass, chord{keys: []int{near(g.triad(prog[i/8*8])[0], 42)}, len: bar})
			continue
		}
		for j := range bar / 2 {
			at = near(g.degree(g.between(0, 6), d == 4), g.between(46, 50)) // toe and toe, apart
			if j%2 == 0 {
				at = near(g.degree(g.between(0, 6), d == 4), g.between(37, 41))
			}
			bass = append(bass, chord{keys: []int{max(36, at)}, len: 2})
		}
	}
	if well { // one long note: no foot has to move
		for i := range bass {
			bass[i].keys = bass[0].keys
		}
	}
	p.add(ped, bass)
	p.say(0, pick(g, "p", "mp", "mf"))
	from := g.between(1, 3)
	for _, w := range [2][2]int{right, left} {
		p.over(w, from, "<")
		p.over(w, from+2, "!")
		p.over(w, from+2, "f")
	}
}

// stepped is louder and louder marks while the chord is held; well: the marks come with new chords after a rest.
func stepped(g *hand, p *page, o *occasion, well bool) {
	p.beats, p.unit = pick(g, 4, 3, 2), 4
	n, bar := g.between(6, 9), p.bar()
	prog := g.progression(n)
	p.tempo = float64(g.between(54, 84))
	feet := g.coin()
	right, left, ped := g.lay(p, feet, handNames)
	var up, low, bass []chord
	for i, d := range prog {
		h := g.close3(d, 67)
		l := g.close3(d, 55)[:2]
		b := []int{g.bass(d, 36)}
		if !well && i%2 == 1 { // held on, struck again by nothing
			h, l, b = nil, nil, nil
		}
		switch {
		case well:
			up = append(up, chord{keys: h, len: bar - 4}, chord{len: 4})
			low = append(low, chord{keys: l, len: bar - 4}, chord{len: 4})
			bass = append(bass, chord{keys: b, len: bar - 4}, chord{len: 4})
		case i%2 == 0 && i+1 < n:
			up, low, bass = append(up, chord{keys: h, len: 2 * bar}), append(low, chord{keys: l, len: 2 * bar}), append(bass, chord{keys: b, len: 2 * bar})
		case i%2 == 0:
			up, low, bass = append(up, chord{keys: h, len: bar}), append(low, chord{keys: l, len: bar}), append(bass, chord{keys: b, len: bar})
		}
	}
	p.add(right, up)
	p.add(left, low)
	if feet {
		p.add(ped, bass)
	}
	for i, m := range []string{"p", "mf", "ff"} {
		p.say(min(n-1, 2*i+map[bool]int{true: 0, false: 1}[well || i == 0]), m)
	}
	o.organ = pick(g, "minster", "village", "cabinet")
}

// drop is loud chords and at once a quiet answer on the same manual; well: a bar of rest between, or one held note alone.
func drop(g *hand, p *page, o *occasion, well bool) {
	g.metre(p)
	n, bar := g.between(4, 6), p.bar()
	prog := g.progression(2 * n)
	p.tempo = float64(g.between(60, 100))
	o.organ = pick(g, "minster", "village", "village", "cabinet")
	feet := g.coin() || o.organ == "minster" // a foot that is free presses a piston
	right, left, ped := g.lay(p, feet, handNames)
	var up, low, bass []chord
	for i, d := range prog {
		if i == n && well {
			for range 3 + int(9*p.tempo/60/float64(bar)*4)/4 {
				up, low, bass = append(up, chord{len: bar}), append(low, chord{len: bar}), append(bass, chord{len: bar})
			}
		}
		half := bar / 2
		for range 2 {
			up = append(up, chord{keys: g.close3(d, 67), len: half})
			low = append(low, chord{keys: g.close3(d, 52), len: half})
			bass = append(bass, chord{keys: []int{g.bass(d, 36)}, len: half})
		}
	}
	p.add(right, up)
	p.add(left, low)
	if feet {
		p.add(ped, bass)
	}
	p.say(0, pick(g, "ff", "f", "fff"))
	at := n
	if well {
		at = p.bars() - n
	}
	p.say(at, pick(g, "p", "pp", "p"))
	if p.parts[0].staves == 1 && g.coin() {
		p.velocity = true
	}
}

// dense is loud full chords struck again and again with nothing that says how long they are; well: with dots, or the
// chord held.
func dense(g *hand, p *page, o *occasion, well bool) {
	p.beats, p.unit = pick(g, 4, 3, 2), 4
	n, bar := g.between(6, 9), p.bar()
	prog := g.progression(n)
	p.tempo = float64(g.between(66, 120))
	feet := g.coin()
	right, left, ped := g.lay(p, feet, handNames)
	length := pick(g, 2, 4, 2)
	dots, held := g.coin(), g.coin()
	var up, low []chord
	for _, d := range prog {
		h := g.close3(d, 67)
		h = append(h, h[0]+12)
		l := g.close3(d, 52)
		if well && !dots && held {
			up, low = append(up, chord{keys: h, len: bar}), append(low, chord{keys: l, len: bar})
			continue
		}
		for range bar / length {
			if well && !dots {
				up = append(up, chord{keys: h, len: length / 2}, chord{len: length - length/2})
				low = append(low, chord{keys: l, len: length / 2}, chord{len: length - length/2})
				continue
			}
			up, low = append(up, chord{keys: h, len: length, dot: well}), append(low, chord{keys: l, len: length, dot: well})
		}
	}
	p.add(right, up)
	p.add(left, low)
	if feet {
		p.add(ped, hold(prog, bar, func(d int) []int { return []int{g.bass(d, 36)} }))
	}
	p.say(0, pick(g, loud...))
}
