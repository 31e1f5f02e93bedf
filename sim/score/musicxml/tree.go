package musicxml

import (
	"math"
	"strconv"
	"strings"

	"github.com/beevik/etree"
)

// elements are the child elements with a tag.
func elements(e *etree.Element, tag string) (out []*etree.Element) {
	if e == nil {
		return nil
	}
	for _, c := range e.Child {
		if x, ok := c.(*etree.Element); ok && x.Tag == tag {
			out = append(out, x)
		}
	}
	return out
}

// child is the first child element with a tag, at the end of a path of tags; nil where there is none.
func child(e *etree.Element, tags ...string) *etree.Element {
	for _, tag := range tags {
		if e == nil {
			return nil
		}
		var found *etree.Element
		for _, c := range e.Child {
			if x, ok := c.(*etree.Element); ok && x.Tag == tag {
				found = x
				break
			}
		}
		e = found
	}
	return e
}

func text(e *etree.Element, tags ...string) string {
	if e = child(e, tags...); e == nil {
		return ""
	}
	return strings.TrimSpace(e.Text())
}

// oneLine puts what a file breaks into lines on one.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// clip shortens what is quoted in messages.
func clip(s string) string {
	s = oneLine(s)
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// number reads a decimal; ok is false for anything that is not a finite one.
func number(s string) (float64, bool) {
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	return v, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

func attrNumber(e *etree.Element, name string) (float64, bool) {
	if e == nil {
		return 0, false
	}
	return number(e.SelectAttrValue(name, ""))
}

func integer(s string, other int) int {
	if v, err := strconv.Atoi(strings.TrimSpace(s)); err == nil {
		return v
	}
	return other
}

// partwise turns score-timewise into score-partwise: measures of parts become
// parts of measures (MusicXML 4.0, "score-timewise"). A part that a measure does
// not have gets an empty one there. The DOCTYPE goes with it.
func partwise(doc *etree.Document) {
	root := doc.Root()
	if root.Tag != "score-timewise" {
		return
	}
	for _, t := range doc.Child {
		if d, ok := t.(*etree.Directive); ok {
			d.Data = strings.NewReplacer("score-timewise", "score-partwise", "Timewise", "Partwise", "timewise.dtd", "partwise.dtd").Replace(d.Data)
		}
	}
	root.Tag = "score-partwise"
	parts, byID := []*etree.Element{}, map[string]*etree.Element{}
	measures := elements(root, "measure")
	for i, m := range measures {
		for _, p := range elements(m, "part") {
			id := p.SelectAttrValue("id", "")
			part := byID[id]
			if part == nil {
				part = etree.NewElement("part")
				part.CreateAttr("id", id)
				byID[id] = part
				parts = append(parts, part)
			}
			for _, before := range measures[min(i, len(part.Child)):i] {
				part.AddChild(emptyMeasure(before))
			}
			if len(part.Child) > i { // the part stands in this measure twice
				moveChildren(part.Child[i].(*etree.Element), p)
				continue
			}
			measure := emptyMeasure(m)
			moveChildren(measure, p)
			part.AddChild(measure)
		}
	}
	for i := len(root.Child) - 1; i >= 0; i-- {
		if e, ok := root.Child[i].(*etree.Element); ok && e.Tag == "measure" {
			root.RemoveChildAt(i)
		}
	}
	for _, p := range parts {
		root.AddChild(p)
	}
}

func emptyMeasure(like *etree.Element) *etree.Element {
	m := etree.NewElement("measure")
	m.Attr = append(m.Attr, like.Attr...)
	return m
}

// moveChildren takes from the end, where taking costs nothing.
func moveChildren(to, from *etree.Element) {
	var moved []etree.Token
	for n := len(from.Child); n > 0; n-- {
		moved = append(moved, from.RemoveChildAt(n-1))
	}
	for i := len(moved) - 1; i >= 0; i-- {
		to.AddChild(moved[i])
	}
}
