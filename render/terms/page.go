package terms

import (
	"html"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

var (
	shownAttribute = lazyregexp.New(` (title|aria-label|alt|data-word-[a-z]+)="([^"]*)"`)
	words          = lazyregexp.New(`\pL|\d`)
)

// Page puts a page of this program into the language: its texts, and the attributes that people read or hear. What the tables do not
// have stays, and so do headings of the first rank (names of pieces), what is marked translate="no", scripts, styles and what is set
// as it stands. Tags are as html/template writes them: each ends at the next '>'.
func (l *Language) Page(page string) string {
	if l == nil {
		return page
	}
	var b strings.Builder
	b.Grow(len(page) + len(page)/8)
	for page != "" {
		at := strings.IndexByte(page, '<')
		if at < 0 {
			break
		}
		end := strings.IndexByte(page[at:], '>')
		if end < 0 {
			break
		}
		b.WriteString(l.node(page[:at]))
		tag := page[at : at+end+1]
		page = page[at+end+1:]
		b.WriteString(l.tag(tag))
		name, _, _ := strings.Cut(strings.Trim(tag, "<>"), " ")
		if name == "script" || name == "style" || name == "pre" || name == "h1" || strings.Contains(tag, ` translate="no"`) {
			if close := strings.Index(page, "</"+name+">"); close >= 0 {
				b.WriteString(page[:close])
				page = page[close:]
			}
		}
	}
	return b.String() + page
}

func (l *Language) tag(tag string) string {
	if strings.HasPrefix(tag, "<html ") {
		return strings.Replace(tag, `lang="en"`, `lang="`+l.Name+`"`, 1)
	}
	return shownAttribute.ReplaceAllStringFunc(tag, func(a string) string {
		i := strings.IndexByte(a, '"')
		return a[:i+1] + l.node(a[i+1:len(a)-1]) + `"`
	})
}

// node says an escaped text, and leaves the spaces around it.
func (l *Language) node(text string) string {
	inner := strings.TrimSpace(text)
	if !words.MatchString(inner) {
		return text
	}
	said, ok := l.Say(strings.Join(strings.Fields(html.UnescapeString(inner)), " "))
	if !ok {
		return text
	}
	return strings.Replace(text, inner, html.EscapeString(said), 1)
}
