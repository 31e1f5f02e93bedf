package report

import (
	_ "embed" // the page's template and style
	"fmt"
	"html/template"
	"io"
	"strings"

	"afterchord/render/engraving"
	"afterchord/render/internal/words"
	"afterchord/render/terms"
	"afterchord/sim/proof"
)

// Mended is the content of a page that sets a piece as written beside the piece as rewritten,
// or any two proofs side by side.
type Mended struct {
	Title   string // the piece's where empty
	Over    string // what the page is: "Before and after" where empty
	Why     string // why these changes, or what is compared
	Names   [2]string
	Before  *proof.Document
	After   *proof.Document
	Changes []MendedChange
	// ChangesTitle and ChangesHead are the heading and the column heads of Changes; those of a
	// mended score where empty.
	ChangesTitle string
	ChangesHead  [4]string
	Left         []MendedChange // what stays: Where, Remedy (the kind), What (why)
	Folders      [2]string      // of the two full reports, relative to the page; empty: no links
	Sounds       [2]string      // paths relative to the page; empty: no player
	// Scores are those of Before and After, to be engraved with their findings over the bars, and the bars of each change on both
	// sides; nil where they are too long to engrave.
	Scores   [2]*engraving.Sheet
	Language *terms.Language // that the page is in; nil: English
	Pictures []template.URL  // data URLs of images
}

// MendedChange is one line of the page.
type MendedChange struct {
	Where, Remedy, What, Verdict string
	Finding                      int // in Before, whose bars are engraved on both sides; 0: none
}

var (
	//go:embed mended.tmpl
	mendedTemplate string
	//go:embed mended.js
	mendedJS string
	//go:embed mended.css
	mendedCSS  string
	mendedView = view("mended", &mendedTemplate)
)

type mendedPage struct {
	Mended
	CSS    template.CSS
	JS     template.JS
	Policy string
	Bars   [2]string // number and seconds of each bar, for the script
	Facts  [2]facts
	Counts [2]string
	Kinds  []kindRow
	Audio  [2]template.URL
	// Notation is nil without it, and Without says why.
	Notation *notation
	Without  string
	Engraved []bool // whether the bars of a change are
}

// kindRow counts the findings of a kind on both sides.
type kindRow struct {
	Kind          string
	Before, After int
}

// WriteMended writes the page, one self-contained file beside the sounds it names.
func WriteMended(w io.Writer, m Mended) error {
	if m.Before == nil || m.After == nil {
		return fmt.Errorf("report: two documents are needed to compare")
	}
	p := mendedPage{Mended: m, CSS: template.CSS(pageCSS + sheetCSS + mendedCSS), JS: template.JS(mendedJS)}
	if p.Title == "" {
		p.Title = title(m.Before)
	}
	if p.Over == "" {
		p.Over = "Before and after"
	}
	if p.Names == [2]string{} {
		p.Names = [2]string{"As written", "As rewritten"}
	}
	if p.ChangesTitle == "" {
		p.ChangesTitle, p.ChangesHead = "What was changed", [4]string{"where", "remedy", "change", "what it is worth"}
	}
	for i, d := range [2]*proof.Document{m.Before, m.After} {
		p.Facts[i], p.Counts[i] = settingsInWords(d), strings.TrimSuffix(summarise(d.Findings).Verdict, ".")
		p.Bars[i] = barTimes(d.Bars)
		if m.Sounds[i] != "" {
			p.Audio[i] = audioSource(d, Options{Audio: m.Sounds[i]})
		}
	}
	p.Kinds = kindRows(m.Before, m.After)
	hashes := []string{hashOf(mendedJS)}
	var err error
	if p.Notation, p.Engraved, p.Without, err = newSides(m); err != nil {
		return fmt.Errorf("report: the notation cannot be put into the page: %w", err)
	}
	if p.Notation != nil {
		hashes = append(hashes, hashOf(sidesScript), p.Notation.Hash)
		p.CSS += template.CSS(notationStyle())
	}
	p.Policy = policy(hashes...)
	return execute(w, mendedView(), p, m.Language)
}

func kindRows(a, b *proof.Document) []kindRow {
	var out []kindRow
	at := map[string]int{}
	for i, d := range [2]*proof.Document{a, b} {
		for _, f := range d.Findings {
			k, ok := at[f.Kind]
			if !ok {
				k = len(out)
				at[f.Kind] = k
				out = append(out, kindRow{Kind: words.Kind(f.Kind)})
			}
			if i == 0 {
				out[k].Before++
			} else {
				out[k].After++
			}
		}
	}
	return out
}
