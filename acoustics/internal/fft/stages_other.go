//go:build !amd64 && !(js && simd128)

package fft

func downWide[T Float](re, im, tw []T) bool { return false }

func upWide[T Float](re, im, tw []T) bool { return false }
