package desk

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/room"
	"afterchord/render/internal/words"
	"afterchord/render/report"
	"afterchord/render/terms"
	"afterchord/sim/finding"
	"afterchord/sim/remedy"
	"afterchord/voicing"
)

var (
	ownLanguage = regexp.MustCompile(`<option [^>]*lang="[^>]*>[^<]*|<kbd>[^<]*|<title>[^<]*`)
	tag         = regexp.MustCompile(`<[^>]*>`)
	label       = regexp.MustCompile(` (?:title|aria-label|placeholder)="([^"]*)"`)
)

// wordsOfHTML are the texts and labels of the page's own HTML. What has a language of its own is left out.
func wordsOfHTML(page string) (out []string) {
	page = ownLanguage.ReplaceAllString(page, "")
	for _, m := range label.FindAllStringSubmatch(page, -1) {
		out = append(out, m[1])
	}
	for _, text := range tag.Split(page, -1) {
		if text = strings.TrimSpace(text); regexp.MustCompile(`\pL{2}`).MatchString(text) && text != "afterchord" {
			out = append(out, text)
		}
	}
	return out
}

// literal is a string or a template of a script; what is put into it stands as {0}, {1} …
type literal struct {
	text, before string // before: the code that leads to it, on its line
}

// literals of a script. Ours has no regular expression that holds a quote after a bracket, so those are not told apart.
func literals(source string) (out []literal) {
	var code func(i int, end byte) int // reads code until end, gives where it is
	text := func(i int, quote byte, from int) int {
		var b strings.Builder
		puts := 0
		for ; source[i] != quote; i++ {
			switch {
			case source[i] == '\\' && strings.HasPrefix(source[i:], `\u00a0`):
				b.WriteString("\u00a0")
				i += 5
			case source[i] == '\\':
				i++
				b.WriteByte(source[i])
			case quote == '`' && strings.HasPrefix(source[i:], "${"):
				i = code(i+2, '}')
				fmt.Fprintf(&b, "{%d}", puts)
				puts++
			default:
				b.WriteByte(source[i])
			}
		}
		line := source[strings.LastIndexByte(source[:from], '\n')+1 : from]
		out = append(out, literal{b.String(), line})
		return i
	}
	code = func(i int, end byte) int {
		depth := 0
		for ; i < len(source); i++ {
			switch c := source[i]; {
			case c == end && depth == 0:
				return i
			case c == '{':
				depth++
			case c == '}':
				depth--
			case strings.HasPrefix(source[i:], "//"):
				i += strings.IndexByte(source[i:], '\n')
			case strings.HasPrefix(source[i:], "/*"):
				i += strings.Index(source[i:], "*/") + 1
			case c == '/' && strings.ContainsRune("(,=:[!&|?", rune(lastOf(source[:i]))):
				for i++; source[i] != '/'; i++ {
					if source[i] == '\\' {
						i++
					}
				}
			case c == '\'' || c == '"' || c == '`':
				i = text(i+1, c, i)
			}
		}
		return i
	}
	code(0, 0)
	return out
}

// lastOf is the last character that is no space.
func lastOf(s string) byte {
	s = strings.TrimRight(s, " \n")
	if s == "" {
		return '('
	}
	return s[len(s)-1]
}

var (
	inTable   = regexp.MustCompile(`(\bt|\bt\()$`)
	oneOrMany = regexp.MustCompile(`\bcount(ed)?\([^']*('[^']*', )?$`)
	ofUndo    = regexp.MustCompile(`(\b(change|set)\((kind === 'organ' \? ('own organ' : )?)?|push\(\{ what: )$`)
	language  = regexp.MustCompile(`^[A-Z][a-z]+[a-z ,.]*$|[A-Za-z]{2,} [a-z]{2,}`)
	// technical is what is no text for people: classes, selectors, media queries, headers, names of events and elements.
	technical = regexp.MustCompile(`(class: |import .*|querySelector(All)?\(|closest\(|matches\(|matchMedia\(|new Event\(|'?Content-Type'?: |autocomplete: |d: |KEPT.*|\(e\.key === |case |key === |throw new DOMException\(|name === |class: .*|dataset.shows = .*|performance\.mark\(.*|american .*)$`)
	notText   = regexp.MustCompile(`^(Content-Type|If-Match|X-File-Name|X-Terms|Escape|Enter|Home|PageUp|PageDown|Arrow(Left|Right|Up|Down)|AbortError|NotFoundError|NotAllowedError|RIFF|WAVE|not there|changed elsewhere|given up|my place)$|^(span|finding|sev|key|lane)[ -]|[.#>\[{][a-z]|svg`)
)

// wordsOfScripts are the texts that the scripts put into the page's language, and those that they do not and that read like language.
func wordsOfScripts(t *testing.T) (spoken, unspoken []string) {
	files, err := filepath.Glob("assets/*.js")
	require.NoError(t, err)
	ofPage, err := filepath.Glob("../page/assets/*.js")
	require.NoError(t, err)
	for _, name := range slices.DeleteFunc(append(files, ofPage...), func(s string) bool { return filepath.Base(s) == "old.js" }) {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, l := range literals(string(data)) {
			switch {
			case !strings.ContainsFunc(l.text, unicode.IsLetter) || ofUndo.MatchString(l.before) && strings.Contains(l.text, "{0}"):
			case inTable.MatchString(l.before), oneOrMany.MatchString(l.before), ofUndo.MatchString(l.before):
				spoken = append(spoken, l.text)
			case language.MatchString(l.text) && !technical.MatchString(l.before) && !notText.MatchString(l.text):
				unspoken = append(unspoken, filepath.Base(name)+": "+l.text)
			}
		}
	}
	return spoken, slices.DeleteFunc(unspoken, func(s string) bool { return slices.Contains(spoken, s[strings.Index(s, ": ")+2:]) })
}

// wordsOfProgram are the names that the program gives: rooms, organs, seats, kinds, measured values, rewritings, answers.
func wordsOfProgram() (out []string) {
	for _, name := range room.BuiltIns() {
		x, _ := room.BuiltIn(name)
		out = append(out, x.Title)
		for _, s := range x.Seats {
			out = append(out, s.Name)
		}
	}
	for _, name := range voicing.BuiltIns() {
		x, _ := voicing.BuiltIn(name)
		out = append(out, x.Title)
		for _, d := range x.Divisions {
			out = append(out, d.Name)
		}
		for _, c := range x.Couplers {
			out = append(out, c.Name)
		}
	}
	for _, k := range finding.Kinds {
		out = append(out, words.Kind(k.Name), k.Meaning)
		for _, v := range k.Values {
			out = append(out, v.Label)
		}
		for _, r := range remedy.For(k.Name) {
			out = append(out, r.Does)
		}
	}
	for _, text := range report.Terms {
		out = append(out, text)
	}
	for _, q := range room.Questions() {
		out = append(out, room.DescriptionWords(q)...)
	}
	return out
}

// wordsOfPlaces are what places and amounts are made of.
var wordsOfPlaces = []string{"bar {0}", "bars {0}–{1}", "bar {0}, beat {1}", "bars {0}–{1}, {2}", "bar {0}, {1} from beat {2}", "{0} places",
	"every demisemiquaver", "every semiquaver", "every dotted semiquaver", "every quaver", "every dotted quaver", "every crotchet", "every dotted crotchet", "every minim",
	"every dotted minim", "every semibreve", "every dotted semibreve", "every breve", "crotchets/min", "semitones", "a second",
	"my place", "what still rings", "the new passage", "inaudible", "blurred"}

// putIn are the places of a text for what is put into it, in order.
func putIn(text string) []string {
	out := regexp.MustCompile(`\{\d\}`).FindAllString(text, -1)
	slices.Sort(out)
	return out
}

// Every text that the page shows is in each table of words, with the same places for what is put in; the scripts have none
// outside it.
func TestWordsAreWhole(t *testing.T) {
	page, err := assets.ReadFile("assets/index.html")
	require.NoError(t, err)
	onePage, err := os.ReadFile("../page/page.go")
	require.NoError(t, err)
	for _, m := range regexp.MustCompile(`(?m)^<p id="page-.*</p>$`).FindAllString(string(onePage), -1) {
		page = append(page, m...)
	}
	scripts, unspoken := wordsOfScripts(t)
	assert.Empty(t, unspoken, "texts of the scripts that are in no language but English: write them with t")
	want := map[string]bool{}
	for _, text := range slices.Concat(wordsOfHTML(string(page)), scripts, wordsOfProgram(), wordsOfPlaces) {
		want[text] = true
	}
	if path := os.Getenv("AFTERCHORD_WORDS"); path != "" { // to begin a table with
		data, err := json.MarshalIndent(slices.Sorted(maps.Keys(want)), "", "  ")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, data, 0o644))
	}
	tables := map[string]map[string]string{}
	for name, l := range terms.Languages() {
		var table map[string]string
		require.NoError(t, json.Unmarshal(l.Table(), &table))
		tables[name] = table
		for text := range table {
			want[text] = true // what one has, all have
		}
	}
	for name, table := range tables {
		for text := range want {
			said, ok := table[text]
			if assert.True(t, ok, "%s.json lacks %q", name, text) {
				assert.NotEmpty(t, said, "%s: %q", name, text)
				assert.Equal(t, putIn(text), putIn(said), "%s: what is put into %q", name, text)
			}
		}
	}
}
