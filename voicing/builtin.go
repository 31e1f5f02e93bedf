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

// builtins are the built-in organs, each read when it is first asked for.
var builtins = func() map[string]func() *Organ {
	all := map[string]func() *Organ{}
	for _, n := range builtinNames {
		all[n] = sync.OnceValue(func() *Organ {
			data, err := builtinFiles.ReadFile("builtin/" + n + ".toml")
			if err != nil {
				panic(fmt.Sprintf("built-in organ %s: %v", n, err)) // a fault of the build, caught by the tests
			}
			o, err := Parse(data, n+".toml")
			if err != nil {
				panic(err)
			}
			return o
		})
	}
	return all
}()

// BuiltIn is the built-in organ of that name. All callers share one read-only value.
func BuiltIn(name string) (*Organ, bool) {
	read, ok := builtins[name]
	if !ok {
		return nil, false
	}
	return read(), true
}

// BuiltInSource is the TOML description of a built-in organ, to start one's own from.
func BuiltInSource(name string) ([]byte, bool) {
	data, err := builtinFiles.ReadFile("builtin/" + name + ".toml")
	return data, err == nil
}
