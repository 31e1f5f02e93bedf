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

// clip shortens what is quoted in messages.
func clip(s string) string {
	s = strings.Join(strings.Fields(s), " ")
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
// parts of measures (MusicXML 4.0, "score-timewise").
func partwise(root *etree.Element) {
	if root.Tag != "score-timewise" {
		return
	}
	root.Tag = "score-partwise"
	parts, byID := []*etree.Element{}, map[string]*etree.Element{}
	for _, m := range elements(root, "measure") {
		root.RemoveChild(m)
		for _, p := range elements(m, "part") {
			id := p.SelectAttrValue("id", "")
			part := byID[id]
			if part == nil {
				part = etree.NewElement("part")
				part.CreateAttr("id", id)
				byID[id] = part
				parts = append(parts, part)
			}
			measure := etree.NewElement("measure")
			measure.Attr = append(measure.Attr, m.Attr...)
			for len(p.Child) > 0 {
				measure.AddChild(p.Child[0])
			}
			part.AddChild(measure)
		}
	}
	for _, p := range parts {
		root.AddChild(p)
	}
}
