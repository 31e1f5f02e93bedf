// Package wordlist reads the files in which words of the trade stand by what they mean and by their language:
//
//	# a comment
//	swell
//	  de: Schwellwerk, Schwell
//	  fr: Récit, "Récit, expressif"
//
// A heading begins a section; under it, indented, stands a line for each language. A word that has a comma stands in quotation marks.
package wordlist

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
)

// Section is a heading and the lines below it.
type Section struct {
	Heading string
	Line    int // from 1
	Lists   []List
}

// List is one line of words.
type List struct {
	Label string // what stands before its colon: a language
	Words []string
	Line  int // from 1
}

// Read reads text; file is its name for errors, which name the line.
func Read(file, text string) ([]Section, error) {
	var sections []Section
	for i, line := range strings.Split(text, "\n") {
		content := strings.TrimSpace(line)
		switch {
		case content == "" || content[0] == '#':
		case line[0] != ' ':
			sections = append(sections, Section{Heading: content, Line: i + 1})
		case len(sections) == 0:
			return nil, fmt.Errorf("%s:%d: words before any heading", file, i+1)
		default:
			label, words, found := strings.Cut(content, ":")
			if !found || label == "" {
				return nil, fmt.Errorf("%s:%d: %q does not begin with a language", file, i+1, content)
			}
			list, err := split(words)
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", file, i+1, err)
			}
			s := &sections[len(sections)-1]
			s.Lists = append(s.Lists, List{label, list, i + 1})
		}
	}
	return sections, nil
}

// split parts words at their commas.
func split(words string) ([]string, error) {
	list := strings.Split(words, ",")
	if strings.Contains(words, `"`) {
		reader := csv.NewReader(strings.NewReader(words))
		reader.TrimLeadingSpace = true
		var err error
		if list, err = reader.Read(); err != nil {
			return nil, err
		}
	}
	for i, w := range list {
		list[i] = strings.TrimSpace(w)
	}
	if slices.Contains(list, "") {
		return nil, fmt.Errorf("no word between two commas in %q", words)
	}
	return list, nil
}
