package voicing

import (
	"embed"
	"fmt"
	"sync"
)

//go:embed builtin/*.toml
var builtinFiles embed.FS

var builtinNames = []string{"cabinet", "village", "minster"}

// BuiltIns lists the names that BuiltIn knows, smallest instrument first.
func BuiltIns() []string { return append([]string(nil), builtinNames...) }

var builtins = sync.OnceValue(func() map[string]*Organ {
	all := map[string]*Organ{}
	for _, n := range builtinNames {
		data, err := builtinFiles.ReadFile("builtin/" + n + ".toml")
		if err != nil {
			panic(fmt.Sprintf("built-in organ %s: %v", n, err)) // a fault of the build, caught by the tests
		}
		o, err := Parse(data, n+".toml")
		if err != nil {
			panic(err)
		}
		all[n] = o
	}
	return all
})

// BuiltIn is the built-in organ of that name. All callers share one read-only value.
func BuiltIn(name string) (*Organ, bool) {
	o, ok := builtins()[name]
	return o, ok
}

// BuiltInSource is the TOML description of a built-in organ, to start one's own from.
func BuiltInSource(name string) ([]byte, bool) {
	data, err := builtinFiles.ReadFile("builtin/" + name + ".toml")
	return data, err == nil
}
