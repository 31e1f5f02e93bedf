package voicing

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
)

// fields reads one table of a description and notes every mistake with its line.
type fields struct {
	p    *parser
	path string
	m    map[string]any
	used map[string]bool
}

func (p *parser) fields(path string, m map[string]any) *fields {
	return &fields{p: p, path: path, m: m, used: map[string]bool{}}
}

// problem notes a mistake at key of the table ("" for the table itself).
func (f *fields) problem(key, do, what string, args ...any) {
	path := f.path
	if key != "" {
		path = join(path, key)
	}
	f.p.problem(path, do, what, args...)
}

func (f *fields) take(key string) (any, bool) {
	f.used[key] = true
	v, ok := f.m[key]
	return v, ok
}

// done reports the keys that nobody asked for.
func (f *fields) done() {
	var known, unknown []string
	for k := range f.used {
		known = append(known, k)
	}
	for k := range f.m {
		if !f.used[k] {
			unknown = append(unknown, k)
		}
	}
	sort.Strings(known)
	sort.Strings(unknown)
	for _, k := range unknown {
		f.problem(k, "known here: "+strings.Join(known, ", "), "unknown setting %q", k)
	}
}

func (f *fields) text(key, otherwise string) string {
	v, ok := f.take(key)
	if !ok {
		return otherwise
	}
	s, ok := v.(string)
	if !ok {
		f.problem(key, "write it in quotes", "%s must be text", key)
		return otherwise
	}
	if len(s) > 200 {
		f.problem(key, "keep it below 200 characters", "%s is too long", key)
		return otherwise
	}
	return strings.TrimSpace(s)
}

// choice is a text out of a list.
func (f *fields) choice(key, otherwise string, of ...string) string {
	s := strings.ToLower(f.text(key, otherwise))
	for _, o := range of {
		if s == o {
			return s
		}
	}
	f.problem(key, "use one of: "+strings.Join(of, ", "), "%s %q is not known", key, s)
	return otherwise
}

// number is a finite number between lo and hi, in unit.
func (f *fields) number(key string, otherwise, lo, hi float64, unit string) float64 {
	v, ok := f.take(key)
	if !ok {
		return otherwise
	}
	x, ok := asNumber(v)
	if !ok {
		f.problem(key, "write a number", "%s must be a number in %s", key, unit)
		return otherwise
	}
	if !(x >= lo && x <= hi) {
		f.problem(key, fmt.Sprintf("use %g to %g %s", lo, hi, unit), "%s = %g %s is out of range", key, x, unit)
		return otherwise
	}
	return x
}

func (f *fields) whole(key string, otherwise, lo, hi int, unit string) int {
	x := f.number(key, float64(otherwise), float64(lo), float64(hi), unit)
	if x != math.Trunc(x) {
		f.problem(key, "write a whole number", "%s = %g is not a whole number", key, x)
		return otherwise
	}
	return int(x)
}

func (f *fields) flag(key string, otherwise bool) bool {
	v, ok := f.take(key)
	if !ok {
		return otherwise
	}
	b, ok := v.(bool)
	if !ok {
		f.problem(key, "write true or false", "%s must be true or false", key)
		return otherwise
	}
	return b
}

// numbers is a list of exactly n finite numbers, or nil.
func (f *fields) numbers(key string, n int, lo, hi float64, unit string) []float64 {
	v, ok := f.take(key)
	if !ok {
		return nil
	}
	list, _ := v.([]any)
	if len(list) != n {
		f.problem(key, fmt.Sprintf("write [a, b, …] with %d numbers in %s", n, unit), "%s must be a list of %d numbers", key, n)
		return nil
	}
	out := make([]float64, n)
	for i, e := range list {
		x, ok := asNumber(e)
		if !ok || !(x >= lo && x <= hi) {
			f.problem(key, fmt.Sprintf("use %g to %g %s", lo, hi, unit), "%s: entry %d (%v) is not a number in range", key, i+1, e)
			return nil
		}
		out[i] = x
	}
	return out
}

// texts is a list of texts; ok is false where the key is missing.
func (f *fields) texts(key string) (list []string, ok bool) {
	v, ok := f.take(key)
	if !ok {
		return nil, false
	}
	raw, isList := v.([]any)
	if !isList {
		f.problem(key, `write ["…", "…"]`, "%s must be a list of texts", key)
		return nil, false
	}
	for i, e := range raw {
		s, isText := e.(string)
		if !isText {
			f.p.problem(join(join(f.path, key), strconv.Itoa(i)), "write it in quotes", "%s: entry %d is not text", key, i+1)
			s = ""
		}
		list = append(list, strings.TrimSpace(s))
	}
	return list, true
}

// tables is a list of tables, at most limit.
func (f *fields) tables(key string, limit int) []*fields {
	v, ok := f.take(key)
	if !ok {
		return nil
	}
	list, isList := v.([]any)
	if !isList {
		f.problem(key, "write [["+key+"]] above each, or a list of { … }", "%s must be a list of tables", key)
		return nil
	}
	if len(list) > limit {
		f.p.problem(join(join(f.path, key), strconv.Itoa(limit)), fmt.Sprintf("keep it to %d", limit), "%d entries under %s are too many", len(list), key)
		list = list[:limit]
	}
	var out []*fields
	for i, e := range list {
		path := join(join(f.path, key), strconv.Itoa(i))
		m, isTable := e.(map[string]any)
		if !isTable {
			f.p.problem(path, "write { name = …, … }", "%s: entry %d is not a table", key, i+1)
			m = map[string]any{}
		}
		out = append(out, f.p.fields(path, m))
	}
	return out
}

// table is a table within this one, or nil.
func (f *fields) table(key string) *fields {
	v, ok := f.take(key)
	if !ok {
		return nil
	}
	m, isTable := v.(map[string]any)
	if !isTable {
		f.problem(key, "write "+key+" = { … } or ["+key+"]", "%s must be a table", key)
		return nil
	}
	return f.p.fields(join(f.path, key), m)
}

func asNumber(v any) (float64, bool) {
	switch x := v.(type) {
	case int64:
		return float64(x), true
	case float64:
		return x, !math.IsNaN(x) && !math.IsInf(x, 0)
	}
	return 0, false
}
