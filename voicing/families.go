package voicing

import (
	"image/color"
	"slices"
)

// Family is the tonal family of a stop.
type Family string

// The four families of the trade.
const (
	Flute     Family = "flute"
	Principal Family = "principal"
	String    Family = "string"
	Reed      Family = "reed"
)

// Construction is how the pipe body is built.
type Construction string

// Constructions that change which harmonics a pipe has and how soon it speaks.
const (
	Open       Construction = "open"
	Stopped    Construction = "stopped"
	HalfLength Construction = "half-length"
)

// familyRow is all that the program knows of a family.
type familyRow struct {
	name   Family
	plural string      // over its panel in a figure, and as a word of registration
	colour color.NRGBA // of that heading
	builds []build     // the usual one first
}

// build is one way of building the pipes of a family.
type build struct {
	construction Construction
	levelDB      float64 // sound power of one pipe at middle C, dB re 1 pW
	compass      compassLaw
	tone         toneLaw
	speech       speechLaw
}

// families is the one table of what pipes there are and how each sounds and speaks; to add a family, add a row (and its
// level to FORMAT.md). Where the numbers come from:
//
// Level: our own calibration. It balances the families to the ear (a flute is nearly a pure tone, a string has two dozen partials, each in a
// place of its own in the ear: of the same power it would be three times as loud), and puts full organ at 95-100 dB at a
// middle seat of a large church (common practice).
//
// Compass: a voicer regulates a stop by ear, so the powers along it are those at which the pipe of each C has the loudness level of
// regulated, as the ear of acoustics/hearing hears it in a diffuse field 24 dB below the power (a large church);
// a flute, nearly a pure tone, needs far more power in the bass for it than a reed. A test computes them again.
//
// Tone: that an open pipe has all harmonics and a stopped one weak even harmonics, that wide flutes have few and narrow
// strings many, and that reeds are richest is in Fletcher & Rossing, ch. 17; the slopes are from memory. A half-length
// (cylindrical) reed favours the odd harmonics as a stopped pipe does.
//
// Speech, column by column:
//
//   - dead, rise: periods scale with the pipe, and a flue pipe takes some twenty to thirty periods to settle while a
//     reed needs only a few (Fletcher & Rossing, The Physics of Musical Instruments, 2nd ed. 1998, ch. 16-17: the
//     order of magnitude; the single values are from memory and set so that the pipe of the row is within a decibel of
//     steady after 12-15 periods, "about two dozen to speak fully", common practice). That narrow strings are the slowest,
//     stopped flutes quicker than open pipes and reeds quickest is common practice. A measured 16 ft Violone F (43.7 Hz)
//     takes about a second to be stable (Pykett, "A second in the life of a Violone", 2005): the string row gives 0.9 s to 2 %.
//   - harmonic: the upper partials of a flue pipe come before its fundamental (Angster, Rucz & Miklós, "Acoustics of
//     organ pipes", Acoustics Today 13(1), 2017; Nolle & Finch, J. Acoust. Soc. Am. 91 (1992) 2190); the exponent is from
//     memory. A reed's partials start nearly together, as the tongue beats (Fletcher & Rossing, ch. 13 and 17; exponent from memory).
//   - pitch: small pipes take more periods and less time than large ones (common practice; exponent from memory).
//   - wind: the rise of the pressure in the foot governs the onset (Nolle & Finch 1992); more wind speaks sooner. The
//     exponents are from memory.
//   - release: the air column rings down with its own Q, some 15-30 in an organ pipe, Q/π periods (Fletcher & Rossing, ch. 16; from memory).
//   - chiff, wind noise: from memory; no published value is claimed.
//   - glide: a flue pipe begins flat, while the wind in its foot still rises and the jet takes longer to the lip, by some tens of cents
//     (Fletcher & Rossing, ch. 16-17; from memory, single values our own: no text that prints cents could be opened); a reed's pitch is the tongue's nearly from the start.
//   - edge: what sounds before the fundamental is the edge tone at one of the pipe's own higher resonances, which lie above the
//     harmonics, the more the wider the pipe is (Angster & Miklós 1995; Fletcher, Acustica 34 (1976) 224, both from memory). Of a diapason pipe
//     the ninth lies halfway between the ninth and the tenth harmonic, 5.6 % high, and the stretching grows with diameter over length (Angster,
//     Rucz & Miklós, Acoustics Today 13(1), 2017, p. 15, read); the single values, for lower resonances, are our own.
//
// Colours are those of the figures' series, which stay apart for every common kind of colour blindness (Okabe & Ito 2008).
var families = []familyRow{
	{Principal, "principals", color.NRGBA{0x00, 0x5f, 0xa3, 0xff}, []build{
		//              slope knee dB thin even formant        dead rise harm pitch wind  w  rel chiff ×f per noise glide edge
		{Open, 80, compassLaw{5.7, 2.2, 1.9, 0.9, 0, -1.6, -4.5, -6.4, -10.5, -10.5},
			toneLaw{7, 6, 9, 1.5, 0, 0, 0}, speechLaw{3.5, 6.5, 0.5, 0.25, 700, 0.3, 6, -18, 4, 8, -42, -25, 0.02}},
		{Stopped, 78, compassLaw{5, 1.1, 1.2, 0.5, 0, -1.4, -4.5, -6, -13.3, -13.4},
			toneLaw{8, 7, 9, 1.5, -20, 0, 0}, speechLaw{3, 5, 0.5, 0.25, 700, 0.3, 5, -16, 4, 6, -40, -20, 0.02}},
	}},
	{Flute, "flutes", color.NRGBA{0x00, 0x7f, 0x5f, 0xff}, []build{
		{Open, 80, compassLaw{20, 12.3, 7.8, 3.2, 0, -3.6, -8.1, -11.9, -18.8, -18.8},
			toneLaw{14, 6, 8, 1.5, 0, 0, 0}, speechLaw{3.5, 6, 0.5, 0.25, 700, 0.3, 6, -16, 3, 8, -38, -20, 0.03}},
		{Stopped, 80, compassLaw{15.1, 8.6, 5.6, 2.4, 0, -3.4, -8.3, -11.8, -21.3, -21.3},
			toneLaw{13, 7, 8, 1.5, -24, 0, 0}, speechLaw{3, 4.6, 0.5, 0.25, 700, 0.3, 5, -14, 3, 6, -36, -15, 0.03}},
	}},
	{String, "strings", color.NRGBA{0x96, 0x3b, 0x7d, 0xff}, []build{
		{Open, 62, compassLaw{4, 1.8, 1.1, 0.6, 0, -0.8, -1.9, -1.9, -4.5, -4.5},
			toneLaw{2.5, 8, 10, 1.2, 0, 0, 0}, speechLaw{4.5, 10, 0.5, 0.25, 700, 0.3, 7, -20, 5, 10, -36, -30, 0.01}},
		{Stopped, 64, compassLaw{2.8, 0.3, 0, 0, 0, -0.3, -1.4, -0.7, -6.1, -6.1},
			toneLaw{3, 8, 10, 1.2, -18, 0, 0}, speechLaw{4, 8.5, 0.5, 0.25, 700, 0.3, 6, -20, 5, 10, -36, -25, 0.01}},
	}},
	{Reed, "reeds", color.NRGBA{0xc8, 0x5a, 0x00, 0xff}, []build{
		{Open, 84, compassLaw{-1.7, -2.3, -1.2, 0, 0, -0.2, -1.2, -2.4, -5.1, -5.1},
			toneLaw{2, 10, 10, 1, 0, 1200, 6}, speechLaw{2, 2.2, 0.2, 0.25, 800, 0.2, 3, -30, 6, 3, -46, -2, 0}},
		{HalfLength, 80, compassLaw{0.3, -1.1, -0.6, 0, 0, -0.2, -0.3, -1.6, -5.5, -5.5},
			toneLaw{3, 9, 10, 1, -9, 1000, 5}, speechLaw{1.8, 2, 0.2, 0.25, 800, 0.2, 3, -30, 6, 3, -46, -2, 0}},
	}},
}

// Families lists the tonal families in the order in which figures show them.
func Families() []Family {
	var all []Family
	for i := range families {
		all = append(all, families[i].name)
	}
	return all
}

// row is the family's row; nil where it is not in the table.
func (f Family) row() *familyRow {
	for i := range families {
		if families[i].name == f {
			return &families[i]
		}
	}
	return nil
}

// Plural is the family in the plural, "flutes"; the name itself for a family that is not in the table.
func (f Family) Plural() string {
	if r := f.row(); r != nil {
		return r.plural
	}
	return string(f)
}

// Colour is the colour of the family in figures; black for one that is not in the table.
func (f Family) Colour() color.NRGBA {
	if r := f.row(); r != nil {
		return r.colour
	}
	return color.NRGBA{A: 0xff}
}

// UsualDB is the sound power of one pipe at middle C of a stop of the family without trim, dB re 1 pW; ok is false
// where no such pipes are built.
func (f Family) UsualDB(c Construction) (db float64, ok bool) {
	b := buildOf(f, c)
	if b == nil {
		return 0, false
	}
	return b.levelDB, true
}

// buildOf is how pipes of the family and construction sound and speak; nil where none are built.
func buildOf(f Family, c Construction) *build {
	r := f.row()
	if r == nil {
		return nil
	}
	for i := range r.builds {
		if r.builds[i].construction == c {
			return &r.builds[i]
		}
	}
	return nil
}

// constructions are the ways of building the family's pipes, the usual one first.
func (f Family) constructions() []string {
	var all []string
	if r := f.row(); r != nil {
		for i := range r.builds {
			all = append(all, string(r.builds[i].construction))
		}
	}
	return all
}

func familyNames() []string {
	var all []string
	for i := range families {
		all = append(all, string(families[i].name))
	}
	return all
}

// constructionNames are all constructions that any family is built in, each once.
func constructionNames() []string {
	var all []string
	for i := range families {
		for _, c := range families[i].name.constructions() {
			if !slices.Contains(all, c) {
				all = append(all, c)
			}
		}
	}
	return all
}
