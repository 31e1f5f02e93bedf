package lazyregexp

import (
	"regexp"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The answers are those of the standard library, whoever asks first.
func TestAnswersAsTheStandardLibrary(t *testing.T) {
	const text, in = `([a-z]+)(\d*)`, "C16 flute8, trumpet 4"
	want := regexp.MustCompile(text)
	r := New(text)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() { assert.Equal(t, want.FindStringSubmatch(in), r.FindStringSubmatch(in)) })
	}
	all.Wait()
	assert.Equal(t, want.MatchString(in), r.MatchString(in))
	assert.Equal(t, want.FindString(in), r.FindString(in))
	assert.Equal(t, want.FindStringIndex(in), r.FindStringIndex(in))
	assert.Equal(t, want.FindStringSubmatchIndex(in), r.FindStringSubmatchIndex(in))
	assert.Equal(t, want.FindAllString(in, -1), r.FindAllString(in, -1))
	assert.Equal(t, want.FindAllStringIndex(in, 2), r.FindAllStringIndex(in, 2))
	assert.Equal(t, want.FindAllStringSubmatch(in, -1), r.FindAllStringSubmatch(in, -1))
	assert.Equal(t, want.FindAllStringSubmatchIndex(in, -1), r.FindAllStringSubmatchIndex(in, -1))
	assert.Equal(t, want.ReplaceAllString(in, "$2"), r.ReplaceAllString(in, "$2"))
	assert.Equal(t, want.Split(in, -1), r.Split(in, -1))
	upper := func(s string) string { return "<" + s + ">" }
	assert.Equal(t, want.ReplaceAllStringFunc(in, upper), r.ReplaceAllStringFunc(in, upper))
}

// A text that is no regular expression is noticed when it is first used.
func TestWrongTextPanics(t *testing.T) {
	r := New("(")
	assert.Panics(t, func() { r.MatchString("x") })
}
