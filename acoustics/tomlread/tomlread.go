// Package tomlread reads the TOML files that people write, and says what is wrong in their words, with the line.
package tomlread

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"afterchord/acoustics/lazyregexp"
)

// Error is a mistake in a file.
type Error struct {
	Line int    // from 1; 0 where it is not known
	Key  string // that nothing is known of; "" for other mistakes
	Why  string // on one line
	Do   string // what to do about it, on one line; "" where Why says it
}

func (e *Error) Error() string {
	if e.Line > 0 {
		return fmt.Sprintf("line %d: %s", e.Line, e.Text())
	}
	return e.Text()
}

// Text is what is wrong and what to do, without the line.
func (e *Error) Text() string {
	if e.Do == "" {
		return e.Why
	}
	return e.Why + "; " + e.Do
}

// WithoutMark takes away the byte order mark that some editors write at the beginning.
func WithoutMark(data []byte) []byte { return bytes.TrimPrefix(data, []byte("\ufeff")) }

// Mistakes reads data into v, which has a field for every key that there may be, and says all that is wrong; where
// only keys are not known, the rest is read.
func Mistakes(data []byte, v any) []*Error {
	all := explain(toml.NewDecoder(bytes.NewReader(WithoutMark(data))).DisallowUnknownFields().Decode(v), data)
	for _, e := range all {
		if e.Key != "" {
			e.Do = knownBeside(strings.Split(e.Key, "."), reflect.TypeOf(v))
		}
	}
	return all
}

// Strict is Mistakes with the first of them, an [Error], or nil.
func Strict(data []byte, v any) error { return first(Mistakes(data, v)) }

func first(mistakes []*Error) error {
	if len(mistakes) == 0 {
		return nil
	}
	return mistakes[0]
}

// Tree reads data into maps and lists. The error is an [Error].
func Tree(data []byte) (map[string]any, error) {
	tree := map[string]any{}
	err := toml.Unmarshal(WithoutMark(data), &tree)
	return tree, first(explain(err, data))
}

func explain(err error, data []byte) (all []*Error) {
	var strict *toml.StrictMissingError
	var decode *toml.DecodeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		for _, e := range strict.Errors {
			row, _ := e.Position()
			key := strings.Join(e.Key(), ".")
			all = append(all, &Error{Line: row, Key: key, Why: fmt.Sprintf("unknown key %q", key)})
		}
		return all
	case errors.As(err, &decode):
		row, column := decode.Position()
		why := inWords(decode.Error())
		if key := strings.Join(decode.Key(), "."); key != "" && mismatch.MatchString(decode.Error()) {
			return []*Error{{Line: row, Why: key + ": " + why}}
		}
		if !setting.MatchString(string(data)) {
			return []*Error{{Line: row, Why: "no line of this file is a setting, such as name = \"ours\": it is no TOML file",
				Do: "have the program write one ('organ make' from a stop list, 'room make' or 'room measure') and change that"}}
		}
		row, line := faultyLine(data, row, column, why)
		why, do := faulty(why, line)
		return []*Error{{Line: row, Why: why, Do: do}}
	}
	return []*Error{{Why: inWords(err.Error())}}
}

// setting is a line of a TOML file that says something.
var setting = lazyregexp.New(`(?m)^\s*(?:[\w."'-]+\s*=|\[[^\]\n]+\])`)

// knownBeside lists the keys that may stand where the last of path does, in a value of type t; "" where any may.
func knownBeside(path []string, t reflect.Type) string {
	for {
		for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
			t = t.Elem()
		}
		if t.Kind() != reflect.Struct {
			return ""
		}
		fields := map[string]reflect.Type{}
		for i := range t.NumField() {
			f := t.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
			if name == "" {
				name = strings.ToLower(f.Name)
			}
			fields[name] = f.Type
		}
		next, known := fields[path[0]]
		if !known || len(path) == 1 {
			return "known here: " + strings.Join(slices.Sorted(maps.Keys(fields)), ", ")
		}
		path, t = path[1:], next
	}
}

// mismatch is how the decoder says that a value is of another type than the field in the program.
var mismatch = lazyregexp.New(`cannot decode TOML (\w+) into (?:.* of type )?(.+)$`)

// inWords is a message of the decoder on one line, without the types of the program.
func inWords(text string) string {
	text = strings.ReplaceAll(strings.TrimPrefix(text, "toml: "), "\n", " ")
	m := mismatch.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	given, ok := map[string]string{"string": "text", "integer": "a number", "float": "a number", "boolean": "true or false", "array": "a list",
		"table": "a table", "inline": "a table"}[strings.ToLower(m[1])]
	if !ok {
		given = "a " + m[1]
	}
	wanted := "something else"
	switch kind := strings.TrimLeft(m[2], "*"); {
	case strings.HasPrefix(kind, "[]"):
		wanted = "a list"
	case strings.HasPrefix(kind, "int"), strings.HasPrefix(kind, "uint"):
		wanted = "a whole number without quotes"
	case strings.HasPrefix(kind, "float"):
		wanted = "a number without quotes"
	case kind == "string":
		wanted = "text in quotes"
	case kind == "bool":
		wanted = "true or false"
	default:
		wanted = "a table"
	}
	return fmt.Sprintf("%s stands where %s goes", given, wanted)
}
