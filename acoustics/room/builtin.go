package room

import (
	"embed"
	"fmt"
	"strings"
)

//go:embed builtin/*.toml
var builtInFiles embed.FS

// BuiltIns lists the built-in rooms from the driest to the most reverberant. They are invented places.
func BuiltIns() []string {
	return []string{"practice-room", "chapel", "concert-hall", "parish-church", "abbey", "cathedral"}
}

// BuiltIn returns a built-in room by name (any case).
func BuiltIn(name string) (*Room, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	for _, b := range BuiltIns() {
		if b != name {
			continue
		}
		file := "builtin/" + name + ".toml"
		data, err := builtInFiles.ReadFile(file)
		if err != nil {
			panic(fmt.Sprintf("room: %v", err)) // the file is part of the program
		}
		r, err := Parse(data, file)
		if err != nil {
			panic(fmt.Sprintf("room: %v", err))
		}
		return r, true
	}
	return nil, false
}
