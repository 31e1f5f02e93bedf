package report

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"afterchord/sim/proof"
)

// WriteJSON writes proof.json: fields in the order of [proof.Document], map keys
// sorted, numbers rounded to what they are good for (0.1 ms, 0.01 dB; four figures where
// small), what is not a finite number as null. Lists of plain values stand on one line.
// The same document gives the same bytes.
func WriteJSON(w io.Writer, d *proof.Document) error {
	if d == nil {
		return fmt.Errorf("report: no document to write")
	}
	e := encoder{w: bufio.NewWriter(w)}
	e.value(reflect.ValueOf(*d), 0)
	e.w.WriteByte('\n')
	if e.err != nil {
		return fmt.Errorf("report: %w", e.err)
	}
	if err := e.w.Flush(); err != nil {
		return fmt.Errorf("report: JSON cannot be written: %w", err)
	}
	return nil
}

// encoder writes Go values as encoding/json does, but for numbers and line breaks.
// encoding/json refuses NaN and has no rounding.
type encoder struct {
	w   *bufio.Writer
	buf []byte
	err error

	oneLine bool // within a record of plain values
}

func (e *encoder) value(v reflect.Value, depth int) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			e.w.WriteString("null")
			return
		}
		e.value(v.Elem(), depth)
	case reflect.Struct:
		e.structure(v, depth)
	case reflect.Map:
		e.mapping(v, depth)
	case reflect.Slice, reflect.Array:
		e.list(v, depth)
	case reflect.Float32:
		e.single(v.Float())
	case reflect.Float64:
		e.double(v.Float())
	default:
		b, err := json.Marshal(v.Interface())
		if err != nil && e.err == nil {
			e.err = err
		}
		e.w.Write(b)
	}
}

func (e *encoder) number(x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		e.w.WriteString("null")
		return
	}
	if x == 0 {
		x = 0 // no minus zero
	}
	e.buf = strconv.AppendFloat(e.buf[:0], x, 'f', -1, 64)
	e.w.Write(e.buf)
}

// single keeps the digits of the curves: 0.01 dB, 0.001 of a share.
func (e *encoder) single(x float64) {
	if math.Abs(x) > 1 {
		e.rounded(x, 2)
		return
	}
	e.rounded(x, 3)
}

// double keeps four decimals, or four figures of what is smaller than 0.1.
func (e *encoder) double(x float64) {
	if a := math.Abs(x); a < 0.1 && a > 0 {
		x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'e', 3, 64), 64)
		e.number(x)
		return
	}
	e.rounded(x, 4)
}

var powersOfTen = [...]int64{1, 10, 100, 1000, 10000}

// rounded keeps so many decimals, up to four.
func (e *encoder) rounded(x float64, decimals int) {
	if !(math.Abs(x) < 1e9) { // as many digits as these are not written by hand
		if math.Abs(x) <= 1e11 {
			scale := float64(powersOfTen[decimals])
			x = math.Round(x*scale) / scale
		}
		e.number(x)
		return
	}
	n := int64(math.Round(x * float64(powersOfTen[decimals])))
	b := e.buf[:0]
	if n < 0 {
		b, n = append(b, '-'), -n
	}
	part := powersOfTen[decimals]
	b = strconv.AppendInt(b, n/part, 10)
	if n %= part; n > 0 {
		b = append(b, '.')
		for ; n > 0; n %= part {
			part /= 10
			b = append(b, '0'+byte(n/part))
		}
	}
	e.buf = b
	e.w.Write(b)
}

func (e *encoder) structure(v reflect.Value, depth int) {
	if depth > 1 && plain(v.Type()) {
		e.oneLine = true
		defer func() { e.oneLine = false }()
	}
	e.w.WriteByte('{')
	first := true
	for i := range v.NumField() {
		f := v.Type().Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || name == "-" || (strings.Contains(options, "omitempty") && empty(v.Field(i))) {
			continue
		}
		if name == "" {
			name = f.Name
		}
		e.key(name, &first, depth)
		e.value(v.Field(i), depth+1)
	}
	e.close('}', first, depth)
}

func (e *encoder) mapping(v reflect.Value, depth int) {
	if v.IsNil() {
		e.w.WriteString("{}")
		return
	}
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int { return compareKeys(a.String(), b.String()) })
	e.w.WriteByte('{')
	first := true
	for _, k := range keys {
		e.key(k.String(), &first, depth)
		e.value(v.MapIndex(k), depth+1)
	}
	e.close('}', first, depth)
}

// list writes a nil slice as [], so that a reader need not tell "none" from "absent".
func (e *encoder) list(v reflect.Value, depth int) {
	flat := true
	switch v.Type().Elem().Kind() {
	case reflect.Struct, reflect.Map, reflect.Slice, reflect.Pointer:
		flat = false
	}
	e.w.WriteByte('[')
	if curve, ok := v.Interface().([]float32); ok { // long
		for i, x := range curve {
			if i > 0 {
				e.w.WriteByte(',')
			}
			e.single(float64(x))
		}
		e.w.WriteByte(']')
		return
	}
	for i := range v.Len() {
		if i > 0 {
			e.w.WriteByte(',')
		}
		if !flat {
			e.newline(depth + 1)
		}
		e.value(v.Index(i), depth+1)
	}
	e.close(']', flat || v.Len() == 0, depth)
}

func (e *encoder) key(name string, first *bool, depth int) {
	if !*first {
		e.w.WriteByte(',')
	}
	*first = false
	e.newline(depth + 1)
	b, _ := json.Marshal(name)
	e.w.Write(b)
	e.w.WriteString(": ")
}

func (e *encoder) close(c byte, sameLine bool, depth int) {
	if !sameLine {
		e.newline(depth)
	}
	e.w.WriteByte(c)
}

// newline breaks the line but within a record of plain values: a note, a bar or a span
// stands on one line, so that a diff reads well and the file does not grow by blanks.
func (e *encoder) newline(depth int) {
	if e.oneLine {
		return
	}
	e.w.WriteByte('\n')
	for range depth {
		e.w.WriteByte(' ')
	}
}

// plain reports whether a struct holds nothing but single values.
func plain(t reflect.Type) bool {
	for i := range t.NumField() {
		f := t.Field(i).Type
		if f.Kind() == reflect.Pointer {
			f = f.Elem()
		}
		switch f.Kind() {
		case reflect.Struct, reflect.Map, reflect.Slice, reflect.Array:
			return false
		}
	}
	return true
}

func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map:
		return v.Len() == 0
	case reflect.Pointer, reflect.Interface:
		return v.IsNil()
	}
	return v.IsZero()
}

// compareKeys sorts keys that are both numbers (octave bands) by value, others by letter.
func compareKeys(a, b string) int {
	x, errX := strconv.ParseFloat(a, 64)
	y, errY := strconv.ParseFloat(b, 64)
	if errX == nil && errY == nil && x != y {
		if x < y {
			return -1
		}
		return 1
	}
	return strings.Compare(a, b)
}
