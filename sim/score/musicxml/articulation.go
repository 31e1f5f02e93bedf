package musicxml

import (
	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// Articulations is the share of its printed length that a note sounds, by the
// element within <articulations>. The element names are those of MusicXML 4.0;
// the shares are common practice at the organ, where the length of a note is all
// that an articulation can change.
var Articulations = []Articulation{
	{"staccato", 1. / 2, "a dot takes half of the note"},
	{"staccatissimo", 1. / 4, "a wedge leaves a quarter"},
	{"spiccato", 1. / 4, "printed as a wedge, as staccatissimo is"},
	{"tenuto", 1, "a dash asks for the full value"},
	{"detached-legato", 3. / 4, "a dot under a dash: parted, but no more than a quarter is lost"},
}

// Articulation is a row of the table [Articulations].
type Articulation struct {
	Element string
	Share   float64 // of the printed length, 0..1
	Reason  string
}

// portato is the share under dots within a slur; it means what detached-legato does.
const portato = 3. / 4

// Time taken from the end of a note for a breath or a break, in crotchets; at
// most half of the note (common practice).
const (
	breathCrotchets  = 1. / 4
	caesuraCrotchets = 1. / 2
)

// These change the strength of a stroke, which an organ key does not have.
var strokes = map[string]bool{"accent": true, "strong-accent": true, "stress": true, "unstress": true, "soft-accent": true}

// articulate sets the sounding share of a note from its notations.
func (r *reader) articulate(p *part, m *measure, n *printedNote, notations *etree.Element, slurred bool) {
	staff := p.first + n.staff
	marks := map[string]bool{}
	for _, as := range elements(notations, "articulations") {
		for _, a := range as.ChildElements() {
			marks[a.Tag] = true
			switch {
			case strokes[a.Tag]:
				r.remark(m.index, n.at, staff, "%s: an organ key has no stroke to strengthen", a.Tag)
			case a.Tag == "breath-mark":
				n.early = max(n.early, score.Tick(breathCrotchets*float64(r.tpq)))
			case a.Tag == "caesura":
				n.early = max(n.early, score.Tick(caesuraCrotchets*float64(r.tpq)))
			case !known(a.Tag):
				r.remark(m.index, n.at, staff, "%s is not played", clip(a.Tag))
			}
		}
	}
	if marks["staccato"] && (marks["tenuto"] || slurred) {
		n.share, n.articulated = portato, true
		return
	}
	for _, a := range Articulations {
		if marks[a.Element] {
			n.articulated = true
			n.share = min(n.share, a.Share)
		}
	}
}

func known(tag string) bool {
	for _, a := range Articulations {
		if a.Element == tag {
			return true
		}
	}
	return false
}

var silentNotations = map[string]bool{
	"tied": true, "slur": true, "tuplet": true, "articulations": true, "dynamics": true, "fermata": true,
	"arpeggiate": true, "non-arpeggiate": true, "footnote": true, "level": true, "accidental-mark": true, "technical": true,
}

// notate reads everything in <notations>.
func (r *reader) notate(p *part, m *measure, n *printedNote, st *partState) {
	slurs := st.slurs
	voice := n.voice
	slurred := false
	for k := range slurs {
		slurred = slurred || k.voice == voice
	}
	for _, ns := range elements(n.el, "notations") {
		for _, s := range elements(ns, "slur") {
			k := slurKey{voice, s.SelectAttrValue("number", "1")}
			switch s.SelectAttrValue("type", "") {
			case "start":
				if len(slurs) < maxOpen {
					slurs[k] = true
				}
				slurred = true
			case "stop":
				delete(slurs, k)
			}
		}
		n.fermata = n.fermata || child(ns, "fermata") != nil
		for _, d := range elements(ns, "dynamics") {
			r.dynamics(p, m, n.at, n.staff, -1, d)
		}
		for _, e := range ns.ChildElements() {
			switch {
			case e.Tag == "ornaments":
				r.ornaments(p, m, n, e, st)
			case !silentNotations[e.Tag]:
				r.remark(m.index, n.at, p.first+n.staff, "%s is not played", clip(e.Tag))
			}
		}
	}
	if n.chord {
		slurred = slurred || st.slurred // a slur that has ended on the first note of the chord is the whole chord's
	}
	st.slurred = slurred
	n.articulated = slurred
	for _, ns := range elements(n.el, "notations") {
		r.articulate(p, m, n, ns, slurred)
	}
}

type slurKey struct{ voice, number string }
