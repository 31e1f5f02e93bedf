package voicing

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"afterchord/voicing/wordlist"
)

//go:embed divisions.txt
var divisionsText string

// DivisionName is a name by which a division is known.
type DivisionName struct {
	Name     string
	Role     string // what the division is for, a heading of divisions.txt: "great", "swell" …
	Boxed    bool   // a division of the name is in a swell box
	InLists  bool   // it heads a division in a stop list
	InScores bool   // it means the division in a score
}

// DivisionNames are the names of divisions.txt, in its order. All callers share one read-only value.
var DivisionNames = sync.OnceValue(func() []DivisionName {
	names, err := readDivisionNames(divisionsText)
	if err != nil {
		panic(err) // a fault of the build, caught by the tests
	}
	return names
})

func readDivisionNames(text string) ([]DivisionName, error) {
	sections, err := wordlist.Read("divisions.txt", text)
	if err != nil {
		return nil, err
	}
	var names []DivisionName
	for _, s := range sections {
		for _, list := range s.Lists {
			_, only, _ := strings.Cut(list.Label, ", ")
			if only != "" && only != "lists" && only != "scores" {
				return nil, fmt.Errorf("divisions.txt:%d: %q is neither lists nor scores", list.Line, only)
			}
			for _, word := range list.Words {
				name, boxed := strings.CutPrefix(word, "+")
				names = append(names, DivisionName{Name: name, Role: s.Heading, Boxed: boxed, InLists: only != "scores", InScores: only != "lists"})
			}
		}
	}
	return names, nil
}
