package page

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
)

// change is one of a file of Go's own library for the page's program: what stands there once, and what takes its place.
type change struct{ file, was, is string }

// changes make the program smaller and quicker to start; what it does stays the same.
var changes = []change{
	// Where text/template looks for a method of a value. As long as a program has this line, the linker keeps every exported method of every
	// type that it has, certificates and elliptic curves among them: a ninth of the page. The report's templates call functions alone.
	{"text/template/exec.go", "ptr.MethodByName(fieldName)", "(reflect.Value{})"},

	// Two expressions that are compiled at each start, whether they are needed or not. A browser takes up the regular expressions' long
	// functions for its optimising compiler after a few hundred steps of them: with the maps below more than half of its work at the start.
	{"html/template/escape.go", `import (`, "import (\n\t\"sync\""},
	{"html/template/escape.go", `regexp.MustCompile("(?i)<(script|/script|!--)")`, `sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile("(?i)<(script|/script|!--)") })`},
	{"html/template/escape.go", `specialScriptTagRE.Match(`, `specialScriptTagRE().Match(`},
	{"html/template/escape.go", `specialScriptTagRE.ReplaceAll(`, `specialScriptTagRE().ReplaceAll(`},
	{"html/template/js.go", `import (`, "import (\n\t\"sync\""},
	{"html/template/js.go", `regexp.MustCompile("(?i)<(/?)script")`, `sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile("(?i)<(/?)script") })`},
	{"html/template/js.go", `scriptTagRe.ReplaceAll(`, `scriptTagRe().ReplaceAll(`},

	// Where in a program a pattern of addresses was given, for a message when two are in each other's way: a walk up the stack for each.
	{"net/http/server.go", "_, file, line, ok := runtime.Caller(3)", "_, file, line, ok := uintptr(0), \"\", 0, false"},

	// Maps of all scripts and categories of Unicode, filled at each start because a regular expression may name one.
	{"regexp/syntax/parse.go", `unicode.Categories["LC"]`, `unicodeCategory("LC")`},
	{"regexp/syntax/parse.go", `unicode.Categories[name]`, `unicodeCategory(name)`},
	{"regexp/syntax/parse.go", `unicode.Categories[actual]`, `unicodeCategory(actual)`},
	{"regexp/syntax/parse.go", `unicode.Scripts[name]`, `unicodeScript(name)`},
	{"regexp/syntax/parse.go", "\n// unicodeTable returns", tables("unicodeCategory", unicode.Categories) + tables("unicodeScript", unicode.Scripts) + "\n// unicodeTable returns"},
}

// tables is a function of package regexp/syntax that gives the table of a name.
func tables(function string, of map[string]*unicode.RangeTable) string {
	var b strings.Builder
	fmt.Fprintf(&b, "\nfunc %s(name string) *unicode.RangeTable {\n\tswitch name {\n", function)
	for _, name := range slices.Sorted(maps.Keys(of)) {
		fmt.Fprintf(&b, "\tcase %q:\n\t\treturn unicode.%s\n", name, name)
	}
	b.WriteString("\t}\n\treturn nil\n}\n")
	return b.String()
}

// lighter makes the changes to files in dir, and gives the file that tells the Go command of them.
func lighter(dir, goRoot string) (overlay string, err error) {
	texts := map[string]string{}
	for _, c := range changes {
		text, ok := texts[c.file]
		if !ok {
			data, err := os.ReadFile(filepath.Join(goRoot, "src", filepath.FromSlash(c.file)))
			if err != nil {
				return "", err
			}
			text = string(data)
		}
		if strings.Count(text, c.was) != 1 {
			return "", fmt.Errorf("%s: %q is not there once; another release of Go takes another change (render/page/lighter.go)", c.file, c.was)
		}
		texts[c.file] = strings.Replace(text, c.was, c.is, 1)
	}
	replace := map[string]string{}
	for file, text := range texts {
		own := filepath.Join(dir, strings.ReplaceAll(file, "/", "_"))
		if err := os.WriteFile(own, []byte(text), 0o600); err != nil {
			return "", err
		}
		replace[filepath.Join(goRoot, "src", filepath.FromSlash(file))] = own
	}
	list, err := json.Marshal(map[string]map[string]string{"Replace": replace})
	if err != nil {
		return "", err
	}
	overlay = filepath.Join(dir, "overlay.json")
	return overlay, os.WriteFile(overlay, list, 0o600)
}
