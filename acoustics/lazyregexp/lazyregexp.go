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
}

// New is the regular expression of a text. One that is wrong panics at its first use.
func New(text string) *Regexp { return &Regexp{text: text} }

// Regexp is the compiled expression.
func (r *Regexp) Regexp() *regexp.Regexp {
	r.compile.Do(func() { r.re = regexp.MustCompile(r.text) })
	return r.re
}

// MatchString is that of [regexp.Regexp].
func (r *Regexp) MatchString(s string) bool { return r.Regexp().MatchString(s) }

// FindString is that of [regexp.Regexp].
func (r *Regexp) FindString(s string) string { return r.Regexp().FindString(s) }

// FindStringIndex is that of [regexp.Regexp].
func (r *Regexp) FindStringIndex(s string) []int { return r.Regexp().FindStringIndex(s) }

// FindStringSubmatch is that of [regexp.Regexp].
func (r *Regexp) FindStringSubmatch(s string) []string { return r.Regexp().FindStringSubmatch(s) }

// FindStringSubmatchIndex is that of [regexp.Regexp].
func (r *Regexp) FindStringSubmatchIndex(s string) []int {
	return r.Regexp().FindStringSubmatchIndex(s)
}

// FindAllString is that of [regexp.Regexp].
func (r *Regexp) FindAllString(s string, n int) []string { return r.Regexp().FindAllString(s, n) }

// FindAllStringIndex is that of [regexp.Regexp].
func (r *Regexp) FindAllStringIndex(s string, n int) [][]int {
	return r.Regexp().FindAllStringIndex(s, n)
}

// FindAllStringSubmatch is that of [regexp.Regexp].
func (r *Regexp) FindAllStringSubmatch(s string, n int) [][]string {
	return r.Regexp().FindAllStringSubmatch(s, n)
}

// FindAllStringSubmatchIndex is that of [regexp.Regexp].
func (r *Regexp) FindAllStringSubmatchIndex(s string, n int) [][]int {
	return r.Regexp().FindAllStringSubmatchIndex(s, n)
}

// ReplaceAllString is that of [regexp.Regexp].
func (r *Regexp) ReplaceAllString(s, by string) string { return r.Regexp().ReplaceAllString(s, by) }

// ReplaceAllStringFunc is that of [regexp.Regexp].
func (r *Regexp) ReplaceAllStringFunc(s string, by func(string) string) string {
	return r.Regexp().ReplaceAllStringFunc(s, by)
}

// Split is that of [regexp.Regexp].
func (r *Regexp) Split(s string, n int) []string { return r.Regexp().Split(s, n) }
