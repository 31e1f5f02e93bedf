package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"afterchord/cmd/bench/piece"
)

// process is the whole program on one piece.
type process struct {
	minutes  float64
	cost     cost
	memoryMB float64 // most that was resident
}

// processes builds the program and runs it as a user does, without sound or with it, proving
// rewritings of so many findings.
func processes(minutes []float64, rounds, remedies int, sound bool) ([]process, error) {
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	program := filepath.Join(dir, "afterchord")
	if text, err := exec.Command("go", "build", "-o", program, "afterchord/cmd/afterchord").CombinedOutput(); err != nil {
		return nil, fmt.Errorf("go build: %w: %s", err, strings.TrimSpace(string(text)))
	}
	var out []process
	for _, m := range minutes {
		file := filepath.Join(dir, "piece.mid")
		if err := os.WriteFile(file, piece.SMF(piece.Options{Seed: 1, Seconds: 60 * m}), 0o644); err != nil {
			return nil, err
		}
		args := []string{"proof", file, "--room", hall, "--remedies", fmt.Sprint(remedies), "--out", filepath.Join(dir, "out")}
		if !sound {
			args = append(args, "--no-audio")
		}
		var clock, processor, memory []float64
		for range rounds {
			cmd := exec.Command(program, args...)
			var text bytes.Buffer
			cmd.Stdout, cmd.Stderr = &text, &text
			start := time.Now()
			if err := cmd.Start(); err != nil {
				return nil, err
			}
			peak := watch(cmd.Process.Pid)
			err := cmd.Wait()
			clock = append(clock, time.Since(start).Seconds())
			processor = append(processor, (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds())
			memory = append(memory, <-peak)
			if err != nil {
				return nil, fmt.Errorf("%s: %w: %s", strings.Join(cmd.Args, " "), err, strings.TrimSpace(text.String()))
			}
		}
		out = append(out, process{m, cost{median(clock), median(processor)}, median(memory)})
	}
	return out, nil
}

// watch follows a process until it ends and gives the most memory that was resident, MB. What the
// system reports at the end would count this program's own, from before the other was loaded.
func watch(pid int) <-chan float64 {
	peak := make(chan float64, 1)
	go func() {
		most := 0.0
		for {
			now := resident(pid)
			if now == 0 {
				peak <- most
				return
			}
			most = max(most, now)
			time.Sleep(5 * time.Millisecond)
		}
	}()
	return peak
}

// resident is the high-water mark of a process's memory, MB (Linux, proc(5): VmHWM); 0
// where there is none.
func resident(pid int) float64 {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(data), "VmHWM:")
	kb := 0.0
	fmt.Sscan(rest, &kb)
	return kb / 1024
}
