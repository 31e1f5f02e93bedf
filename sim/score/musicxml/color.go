package musicxml

import (
	"slices"
	"strings"

	"github.com/beevik/etree"
)

// ownColor is the processing instruction that keeps a note's own colour: <?afterchord #00FF00?>.
const ownColor = "afterchord"

// paint gives a note a colour and, the first time, keeps its own.
func (w *writer) paint(note *etree.Element, color string) {
	if own := note.SelectAttrValue("color", ""); own != "" && !w.painted[note] {
		note.InsertChildAt(0, etree.NewProcInst(ownColor, own))
	}
	w.painted[note] = true
	note.CreateAttr("color", color)
}

// uncolor takes earlier annotations off: the colours of notes, and lines over the staff.
func (w *writer) uncolor(earlier []string) {
	if len(earlier) == 0 {
		return
	}
	for _, p := range w.src.parts {
		for _, m := range elements(w.copied[p.el], "measure") {
			for _, e := range m.ChildElements() {
				uncolorOne(e, earlier)
			}
		}
	}
}

// uncolorOne takes earlier annotations off a note or a direction.
func uncolorOne(e *etree.Element, earlier []string) {
	if e.Tag == "note" && colored(e, earlier) {
		restore(e)
	}
	if e.Tag != "direction" {
		return
	}
	for _, b := range brackets(e) {
		if colored(b, earlier) {
			takeOut(b)
		}
	}
}

// colored says whether an element has one of the colours of earlier annotations.
func colored(e *etree.Element, earlier []string) bool {
	c := e.SelectAttrValue("color", "")
	if len(c) == len("#AARRGGBB") { // some programs write an opacity
		c = "#" + c[3:]
	}
	return c != "" && slices.ContainsFunc(earlier, func(x string) bool { return strings.EqualFold(x, c) })
}

// brackets are the lines without an end piece of a direction.
func brackets(direction *etree.Element) (lines []*etree.Element) {
	for _, dt := range elements(direction, "direction-type") {
		for _, b := range elements(dt, "bracket") {
			if b.SelectAttrValue("line-end", "") == "none" {
				lines = append(lines, b)
			}
		}
	}
	return lines
}

// restore gives a note its own colour back.
func restore(note *etree.Element) {
	note.RemoveAttr("color")
	for i := len(note.Child) - 1; i >= 0; i-- {
		if p, ok := note.Child[i].(*etree.ProcInst); ok && p.Target == ownColor {
			note.CreateAttr("color", strings.TrimSpace(p.Inst))
			note.RemoveChildAt(i)
		}
	}
}
