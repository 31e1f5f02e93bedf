package main

import "syscall/js"

// processorTime is what Node has used so far, s; 0 in a browser, which does not say.
func processorTime() float64 {
	process := js.Global().Get("process")
	if process.IsUndefined() || process.Get("cpuUsage").IsUndefined() {
		return 0
	}
	used := process.Call("cpuUsage") // µs
	return (used.Get("user").Float() + used.Get("system").Float()) * 1e-6
}
