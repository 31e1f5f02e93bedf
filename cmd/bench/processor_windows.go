package main

import "syscall"

// processorTime is what this program has used so far on all cores, s.
func processorTime() float64 {
	self, err := syscall.GetCurrentProcess()
	if err != nil {
		return 0
	}
	var begun, ended, kernel, user syscall.Filetime
	if syscall.GetProcessTimes(self, &begun, &ended, &kernel, &user) != nil {
		return 0
	}
	return seconds(kernel) + seconds(user)
}

// seconds of a span in Windows' steps of 100 ns.
func seconds(t syscall.Filetime) float64 {
	return (float64(t.HighDateTime)*(1<<32) + float64(t.LowDateTime)) * 1e-7
}
