// Package simd128 holds the vector loops of the program for WebAssembly, whose compiler in Go has no vector instructions:
// a small module that lends its memory to the program and lives in the same one. A program that is built with the tag simd128 calls it
// (go:wasmimport); without it, the loops in Go run. The values are the same to the bit.
package simd128

import (
	"bytes"
	_ "embed"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// Name is what the program calls the module: its import object has the exports of the module by this name.
const Name = "vectors"

// Tag is the build tag of a program that calls the module.
const Tag = "simd128"

// loops is the module, made of vectors.wat.
//
//go:embed vectors.wasm
var loops []byte

// Loops is the module as it is before it is bound, with a page of memory.
func Loops() []byte { return bytes.Clone(loops) }

// Sections of a module, and kinds of what is imported (WebAssembly Core Specification 2.0, sections 5.5.2 and 5.5.5).
const (
	importSection = 2
	memorySection = 5
	memoryImport  = 2
)

// memoryName is what the module calls its memory.
const memoryName = "mem"

// section is one of a module's, without its head.
type section struct {
	id   byte
	body []byte
}

var errModule = errors.New("simd128: not a module of WebAssembly with a memory of its own")

// Bind lets a program live in the memory of the vector loops: it gives the program with its memory taken from the module
// [Name], and that module with as much memory as the program begins with. It errs where program is not a module with a
// memory of its own.
func Bind(program []byte) (bound, vectors []byte, err error) {
	sections, err := take(program)
	if err != nil {
		return nil, nil, err
	}
	own, err := take(loops)
	if err != nil {
		return nil, nil, err
	}
	memory := find(sections, memorySection)
	imports := find(sections, importSection)
	if memory < 0 || imports < 0 {
		return nil, nil, errModule
	}
	limits, err := list(sections[memory].body)
	if err != nil {
		return nil, nil, err
	}
	count, size := binary.Uvarint(sections[imports].body)
	if size <= 0 || limits.count != 1 {
		return nil, nil, errModule
	}
	body := binary.AppendUvarint(nil, count+1)
	body = append(body, sections[imports].body[size:]...)
	body = appendName(appendName(body, Name), memoryName)
	body = append(append(body, memoryImport), limits.rest...)
	sections[imports].body = body
	own[find(own, memorySection)].body = sections[memory].body
	return module(slices.Delete(sections, memory, memory+1)), module(own), nil
}

func find(sections []section, id byte) int {
	return slices.IndexFunc(sections, func(s section) bool { return s.id == id })
}

// vector is a counted list, not taken apart.
type vector struct {
	count uint64
	rest  []byte
}

func list(body []byte) (vector, error) {
	n, size := binary.Uvarint(body)
	if size <= 0 {
		return vector{}, errModule
	}
	return vector{n, body[size:]}, nil
}

func appendName(b []byte, name string) []byte {
	return append(binary.AppendUvarint(b, uint64(len(name))), name...)
}

// head is the magic number and the version.
var head = []byte("\x00asm\x01\x00\x00\x00")

func take(m []byte) ([]section, error) {
	rest, ok := bytes.CutPrefix(m, head)
	if !ok {
		return nil, errModule
	}
	var out []section
	for len(rest) > 0 {
		id := rest[0]
		n, size := binary.Uvarint(rest[1:])
		if size <= 0 || n > uint64(len(rest)-1-size) {
			return nil, fmt.Errorf("%w: it breaks off", errModule)
		}
		rest = rest[1+size:]
		out = append(out, section{id, rest[:n]})
		rest = rest[n:]
	}
	return out, nil
}

func module(sections []section) []byte {
	out := bytes.Clone(head)
	for _, s := range sections {
		out = append(out, s.id)
		out = binary.AppendUvarint(out, uint64(len(s.body)))
		out = append(out, s.body...)
	}
	return out
}
