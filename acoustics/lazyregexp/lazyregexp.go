// Package lazyregexp has regular expressions that are compiled when they are first used, so that a program that knows many and needs
// few starts at once.
package lazyregexp

import (
	"regexp"
	"sync"
)

// Regexp is a regular expression; its methods are those of [regexp.Regexp]. It is safe for concurrent use.
type Regexp struct {
	text    string
	compile sync.Once
	re      *regexp.Regexp
	look    sync.Once
	needs   []need
}

// New is the regular expression of a text. One that is wrong panics at its first use.
func New(text string) *Regexp { return &Regexp{text: text} }

// Regexp is the compiled expression.
func (r *Regexp) Regexp() *regexp.Regexp {
	r.compile.Do(func() { r.re = regexp.MustCompile(r.text) })
	return r.re
}

// cannotMatch tells that s has no match, without running the expression; false where only running it tells.
func (r *Regexp) cannotMatch(s string) bool {
	r.look.Do(func() { r.needs = needsOf(r.text) })
	return r.lacks(s)
}

// MatchString is that of [regexp.Regexp].
func (r *Regexp) MatchString(s string) bool { return !r.cannotMatch(s) && r.Regexp().MatchString(s) }

// FindString is that of [regexp.Regexp].
func (r *Regexp) FindString(s string) string {
	if r.cannotMatch(s) {
		return ""
	}
	return r.Regexp().FindString(s)
}

// FindStringIndex is that of [regexp.Regexp].
func (r *Regexp) FindStringIndex(s string) []int {
	if r.cannotMatch(s) {
		return nil
	}
	return r.Regexp().FindStringIndex(s)
}

// FindStringSubmatch is that of [regexp.Regexp].
func (r *Regexp) FindStringSubmatch(s string) []string {
	if r.cannotMatch(s) {
		return nil
	}
	return r.Regexp().FindStringSubmatch(s)
}

// FindStringSubmatchIndex is that of [regexp.Regexp].
func (r *Regexp) FindStringSubmatchIndex(s string) []int {
	if r.cannotMatch(s) {
		return nil
	}
	return r.Regexp().FindStringSubmatchIndex(s)
}

// FindAllString is that of [regexp.Regexp].
func (r *Regexp) FindAllString(s string, n int) []string {
	if r.cannotMatch(s) {
		return nil
	}
	return r.Regexp().FindAllString(s, n)
}

// FindAllStringIndex is that of [regexp.Regexp].
func (r *Regexp) FindAllStringIndex(s string, n int) [][]int {
	if r.cannotMatch(s) {
		return nil
	}
	return r.Regexp().FindAllStringIndex(s, n)
}

// FindAllStringSubmatch is that of [regexp.Regexp].
func (r *Regexp) FindAllStringSubmatch(s string, n int) [][]string {
	if r.cannotMatch(s) {
		return nil
	}
	return r.Regexp().FindAllStringSubmatch(s, n)
}

// FindAllStringSubmatchIndex is that of [regexp.Regexp].
func (r *Regexp) FindAllStringSubmatchIndex(s string, n int) [][]int {
	if r.cannotMatch(s) {
		return nil
	}
	return r.Regexp().FindAllStringSubmatchIndex(s, n)
}

// ReplaceAllString is that of [regexp.Regexp].
func (r *Regexp) ReplaceAllString(s, by string) string {
	if r.cannotMatch(s) {
		return s
	}
	return r.Regexp().ReplaceAllString(s, by)
}

// ReplaceAllStringFunc is that of [regexp.Regexp].
func (r *Regexp) ReplaceAllStringFunc(s string, by func(string) string) string {
	if r.cannotMatch(s) {
		return s
	}
	return r.Regexp().ReplaceAllStringFunc(s, by)
}

// Split is that of [regexp.Regexp].
func (r *Regexp) Split(s string, n int) []string { return r.Regexp().Split(s, n) }
