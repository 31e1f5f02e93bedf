// Package tomlread reads the TOML files that people write, and says what is wrong in their words, with the line.
package tomlread

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"afterchord/acoustics/lazyregexp"
)

// Error is a mistake in a file.
type Error struct {
	Line int    // from 1; 0 where it is not known
	Key  string // that nothing is known of; "" for other mistakes
	Why  string // on one line
}

func (e *Error) Error() string {
	if e.Line > 0 {
		return fmt.Sprintf("line %d: %s", e.Line, e.Why)
	}
	return e.Why
}

// WithoutMark takes away the byte order mark that some editors write at the beginning.
func WithoutMark(data []byte) []byte { return bytes.TrimPrefix(data, []byte("\ufeff")) }

// Mistakes reads data into v, which has a field for every key that there may be, and says all that is wrong; where
// only keys are not known, the rest is read.
func Mistakes(data []byte, v any) []*Error {
	return explain(toml.NewDecoder(bytes.NewReader(WithoutMark(data))).DisallowUnknownFields().Decode(v))
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
	return tree, first(explain(err))
}

func explain(err error) (all []*Error) {
	var strict *toml.StrictMissingError
	var decode *toml.DecodeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		for _, e := range strict.Errors {
			row, _ := e.Position()
			key := strings.Join(e.Key(), ".")
			all = append(all, &Error{row, key, fmt.Sprintf("unknown key %q", key)})
		}
		return all
	case errors.As(err, &decode):
		row, _ := decode.Position()
		why := inWords(decode.Error())
		if key := strings.Join(decode.Key(), "."); key != "" && mismatch.MatchString(decode.Error()) {
			why = key + ": " + why
		}
		return []*Error{{Line: row, Why: why}}
	}
	return []*Error{{Why: inWords(err.Error())}}
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
