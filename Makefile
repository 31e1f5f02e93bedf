# The tasks of a working day. `make bench` measures; nothing else here depends on the clock.

GO ?= go

.PHONY: build test bench bench-long

build:
	$(GO) build -o afterchord ./cmd/afterchord

test:
	$(GO) test ./...

# Benchmarks of the analysis; then steps, exponents and the whole program; then convolution beside
# general-purpose tools where those are installed.
bench:
	$(GO) test -run '^$$' -bench . -benchtime 0.5s ./acoustics/hearing ./sim/pipework ./sim/field ./cmd/bench
	$(GO) run ./cmd/bench
	@if command -v ffmpeg >/dev/null && command -v taskset >/dev/null && python3 -c 'import numpy, scipy' 2>/dev/null; \
	then python3 acoustics/convolve/bench/compare.py; \
	else echo 'convolution is not compared: it takes ffmpeg, taskset and python3 with numpy and scipy'; fi

# With two hours of music and with sound: some minutes.
bench-long:
	$(GO) run ./cmd/bench -rounds 3 -long -sound
