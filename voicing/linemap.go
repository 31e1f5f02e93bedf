package voicing

import (
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// lineMap is the line of each key of a TOML document, by dotted path with array
// indexes: "division.0.stops.3.feet".
type lineMap map[string]int

// at is the line of the deepest known prefix of path; 1 where none is known.
func (m lineMap) at(path string) int {
	for path != "" {
		if n, ok := m[path]; ok {
			return n
		}
		i := strings.LastIndexByte(path, '.')
		if i < 0 {
			break
		}
		path = path[:i]
	}
	return 1
}

// mapLines finds the line of every key in data, which must be valid TOML.
func mapLines(data []byte) lineMap {
	m := lineMap{}
	count := map[string]int{} // elements so far of each array of tables
	var p unstable.Parser
	p.Reset(data)
	prefix := ""
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			prefix = ""
			line := 0
			for it := e.Key(); it.Next(); {
				n := it.Node()
				line = p.Shape(n.Raw).Start.Line
				prefix = join(prefix, string(n.Data))
				if _, ok := m[prefix]; !ok {
					m[prefix] = line // of the table's first mention
				}
				if e.Kind == unstable.ArrayTable && it.IsLast() {
					count[prefix]++
				}
				if c := count[prefix]; c > 0 {
					prefix = join(prefix, strconv.Itoa(c-1))
				}
			}
			m[prefix] = line
		case unstable.KeyValue:
			mapKeyValue(m, &p, prefix, e)
		}
	}
	return m
}

func mapKeyValue(m lineMap, p *unstable.Parser, prefix string, e *unstable.Node) {
	line := 1
	for it := e.Key(); it.Next(); {
		line = p.Shape(it.Node().Raw).Start.Line
		prefix = join(prefix, string(it.Node().Data))
		if _, ok := m[prefix]; !ok {
			m[prefix] = line
		}
	}
	mapValue(m, p, prefix, e.Value(), line)
}

// mapValue records where the elements of arrays and inline tables stand; line is where the value starts.
func mapValue(m lineMap, p *unstable.Parser, path string, v *unstable.Node, line int) {
	switch v.Kind {
	case unstable.Array:
		i := 0
		for it := v.Children(); it.Next(); i++ {
			n := it.Node()
			at := join(path, strconv.Itoa(i))
			if l := firstLine(p, n); l > 0 {
				line = l
			}
			m[at] = line
			mapValue(m, p, at, n, line)
		}
	case unstable.InlineTable:
		for it := v.Children(); it.Next(); {
			mapKeyValue(m, p, path, it.Node())
		}
	}
}

// firstLine is the line of the first thing in v that says where it stands; 0 where nothing does.
func firstLine(p *unstable.Parser, v *unstable.Node) int {
	switch v.Kind {
	case unstable.Array, unstable.InlineTable:
		for it := v.Children(); it.Next(); {
			if l := firstLine(p, it.Node()); l > 0 {
				return l
			}
		}
		return 0
	case unstable.KeyValue:
		it := v.Key()
		if it.Next() {
			return p.Shape(it.Node().Raw).Start.Line
		}
		return 0
	}
	if v.Raw.Length == 0 {
		return 0
	}
	return p.Shape(v.Raw).Start.Line
}

func join(prefix, key string) string {
	if prefix == "" {
		return key
	}
	return prefix + "." + key
}
