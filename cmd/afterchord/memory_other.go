//go:build !linux

package main

func inLargePages(int) {}
