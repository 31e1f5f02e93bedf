//go:build unix

package main

import "syscall"

// processorTime is what this program has used so far on all cores, s.
func processorTime() float64 {
	var r syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &r) != nil {
		return 0
	}
	return seconds(r.Utime) + seconds(r.Stime)
}

func seconds(t syscall.Timeval) float64 { return float64(t.Sec) + float64(t.Usec)*1e-6 }
