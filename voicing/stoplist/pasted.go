package stoplist

import (
	"html"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// What is pasted brings with it what stood about the list on its page: the signs of a wiki or of a web page, marks of footnotes, links to edit a
// section, the signs of a quotation in a letter.

var (
	editLink = lazyregexp.New(`(?i) ?\[ ?(?:bearbeiten|quelltext|edit|modifier|modifica|editar|edita|bewerken|brontekst|redigera|rediger|redigér|edytuj|editovat|upravit)\b[^\]]*\]`)
	// footnote stands behind a word or its length with nothing between them: "Principal[2]", "Sesquialtera II[Anm. 1]". A length in such brackets has its sign.
	footnote  = lazyregexp.New(`(?i)([^\s\[(])((?:\[(?:\d{1,3}|[a-z]|(?:anm(?:erkung)?|note|nota|noot|n|a|ref|fn|not)\.? ?\d{1,3}|citation needed|réf\. [^\]]{0,20})\])+)`)
	wikiLink  = lazyregexp.New(`\[\[(?:[^\[\]|]*\|)?([^\[\]|]*)\]\]`)
	wikiBold  = lazyregexp.New(`(^|[\s|=*#;:])('{2,5})([^\s'](?:[^']|'[^'])*?)('{2,5})($|[\s|=:,.])`)
	reference = lazyregexp.New(`(?i)<ref\b[^>]*/>|<ref\b[^>]*>.*?</ref>|<!--.*?-->`)
	// fractionTemplate is "{{frac|2|2|3}}".
	fractionTemplate = lazyregexp.New(`(?i)\{\{(?:frac|fraction|bruch|sfrac|breuk)\|(?:(\d{1,2})\|)?(\d)\|(\d)\}\}`)
	cellTag          = lazyregexp.New(`(?i)</t[dh]>\s*<t[dh][^>]*>`)
	tag              = lazyregexp.New(`(?i)</?(?:td|th|tr|tbody|thead|table|b|i|p|u|li|ul|ol|em|strong|sup|sub|small|big|span|div|font|a|br|center|h[1-6]|nowiki|poem)\b[^<>]*>`)
	cellStyle        = lazyregexp.New(`(?i)^(\s*[|!]\s*)(?:(?:style|class|width|align|valign|colspan|rowspan|bgcolor|scope) ?= ?(?:"[^"]*"|\S+) *)+\|`)
	lineBreak        = lazyregexp.New(`(?i)<br ?/?>`)
	headCells        = lazyregexp.New(`^(\s*)!(.*)$`)
	sectionSigns     = lazyregexp.New(`^\s*={2,6} *([^=]*?) *={2,6}\s*$`)
	tableSigns       = lazyregexp.New(`^\s*(?:\|\}|\{\|\s*(?:(?:class|style|width|border|cellpadding|cellspacing|align)\b.*)?)\s*$`)
	// chatHead is when a message was sent and by whom: "[14/03/2024, 18:22] Anna: ".
	chatHead = lazyregexp.New(`^\s*(?:\[\d{1,4}[./\-]\d{1,2}[./\-]\d{2,4},? \d{1,2}:\d{2}(?::\d{2})?(?: ?[AP]M)?\]|\d{1,4}[./\-]\d{1,2}[./\-]\d{2,4},? \d{1,2}:\d{2}(?::\d{2})?(?: ?[AP]M)? -) [^:]{1,40}: `)
	smile    = lazyregexp.New(`\s+[:;]-?[)D(P]+\s*$`)
	quoted   = lazyregexp.New(`^\s*(?:>\s?)+`)
)

// withoutMarkup takes such signs away; each line stays in its place.
func withoutMarkup(lines []string) []string {
	out := make([]string, len(lines))
	quotes, filled := 0, 0
	for i, line := range lines {
		out[i] = unmarked(line)
		if strings.TrimSpace(line) != "" {
			filled++
			if quoted.MatchString(line) {
				quotes++
			}
		}
	}
	if quotes*2 > filled {
		for i := range out {
			out[i] = quoted.ReplaceAllString(out[i], "")
		}
	}
	return out
}

func unmarked(line string) string {
	if strings.Contains(line, "<") {
		line = lineBreak.ReplaceAllString(line, " ")
		line = tag.ReplaceAllString(cellTag.ReplaceAllString(reference.ReplaceAllString(line, ""), "\t"), "")
	}
	if strings.Contains(line, "&") {
		line = html.UnescapeString(line)
	}
	if strings.ContainsAny(line, "[{") {
		line = editLink.ReplaceAllString(line, "")
		line = footnote.ReplaceAllString(line, "$1")
		line = wikiLink.ReplaceAllString(line, "$1")
		line = fractionTemplate.ReplaceAllString(line, "$1 $2/$3")
	}
	if strings.Contains(line, "=") {
		line = cellStyle.ReplaceAllString(line, "$1")
	}
	if strings.Contains(line, "!!") || strings.HasPrefix(strings.TrimSpace(line), "! ") {
		line = strings.ReplaceAll(headCells.ReplaceAllString(line, "$1|$2"), "!!", "||")
	}
	if strings.Contains(line, "==") {
		line = sectionSigns.ReplaceAllString(line, "$1")
	}
	if tableSigns.MatchString(line) {
		return ""
	}
	if strings.Contains(line, ":") {
		line = smile.ReplaceAllString(chatHead.ReplaceAllString(line, ""), "")
	}
	if strings.Contains(line, "''") {
		line = wikiBold.ReplaceAllString(line, "$1$3$5")
	}
	return misread(line)
}
