# The tasks of a working day. `make bench` measures; nothing else here depends on the clock.

GO ?= go

.PHONY: build test vectors page check-page check-release bench bench-long bench-sound bench-textures bench-wasm engraving clean-engraving judge norms cases licences audit release

build: engraving
	CGO_ENABLED=0 $(GO) build -o bin/afterchord ./cmd/afterchord

test: engraving
	$(GO) test ./...

# The library that engraves the score in the report, as the lock file names it. Without npm, or
# without a network, the program is built without it: its reports have the picture in time alone.
ENGRAVING = render/engraving/dist/library.js.gz.base64

engraving: $(ENGRAVING)

$(ENGRAVING): render/engraving/package-lock.json render/engraving/package.json render/engraving/build.mjs
	@if command -v npm >/dev/null && (cd render/engraving && npm ci --omit=optional && npm run --silent build); \
	then echo 'engraving library: ready'; \
	else echo 'engraving library: not fetched (it takes npm and a network); the reports go without notation'; fi

# The notices of the Go modules in the program, for `afterchord licences`.
licences:
	$(GO) run ./cmd/licences > cmd/afterchord/licences.txt.new && mv cmd/afterchord/licences.txt.new cmd/afterchord/licences.txt

# The vector loops for WebAssembly, translated by the assembler of WABT.
vectors:
	npx --yes --package wabt@1.0.39 wat2wasm acoustics/simd128/vectors.wat -o acoustics/simd128/vectors.wasm

# Known faults in the modules of the program; where their database cannot be reached, the modules by date, the oldest first.
audit:
	@$(GO) run golang.org/x/vuln/cmd/govulncheck@v1.9.0 ./cmd/afterchord; code=$$?; if [ $$code -eq 3 ] || [ $$code -eq 0 ]; then exit $$code; fi; \
	echo 'the database of known faults cannot be reached; the modules by date:'; \
	$(GO) list -deps -f '{{with .Module}}{{if not .Main}}{{.Time.Format "2006-01-02"}} {{.Path}} {{.Version}}{{end}}{{end}}' ./cmd/afterchord | sort -u

# Archives for Windows, macOS and Linux in dist/, with licences, bills of materials and checksums. The same commit gives
# the same bytes.
release: engraving
	$(GO) run ./cmd/release -o dist

# The release of this commit made twice, byte by byte.
check-release: engraving
	.ci/release

clean-engraving:
	rm -rf render/engraving/node_modules $(ENGRAVING) render/engraving/dist/library.sha256 render/engraving/dist/LICENCES.txt

# The desk as one file that any browser opens, from a disk too.
page: engraving
	$(GO) run ./cmd/page -o dist/afterchord.html

# Types and unit tests of the desk's page, with node. The compiler comes as the lock file names it;
# without a network the unit tests run alone.
check-page:
	@cd render/desk/check && node --test --test-reporter=dot
	@cd render/desk/check && if [ -d node_modules/axe-core ] || npm ci >/dev/null; then npx --no-install tsc -p .; \
	else echo 'types are not checked: the compiler was not fetched'; fi

# Benchmarks of the analysis; then textures, steps, exponents and the whole program; then convolution beside
# general-purpose tools where those are installed.
bench:
	$(GO) test -run '^$$' -bench . -benchtime 0.5s ./acoustics/hearing ./sim/pipework ./sim/field ./cmd/bench
	$(GO) run ./cmd/bench
	@$(MAKE) --no-print-directory bench-wasm
	@if command -v ffmpeg >/dev/null && command -v taskset >/dev/null && python3 -c 'import numpy, scipy' 2>/dev/null; \
	then python3 cmd/bench/convolve/compare.py; \
	else echo 'convolution is not compared: it takes ffmpeg, taskset and python3 with numpy and scipy'; fi

# The textures as WebAssembly under Node.
bench-wasm:
	@if command -v node >/dev/null; then \
	GOOS=js GOARCH=wasm $(GO) run -exec "$$($(GO) env GOROOT)/lib/wasm/go_js_wasm_exec" ./cmd/bench -textures -rounds 1 -minutes 1; \
	else echo 'WebAssembly is not measured: it takes node'; fi

# With two hours of music and with sound: some minutes.
bench-long:
	$(GO) run ./cmd/bench -rounds 3 -long -sound

# The sound: the first block and the first second, a plenum of 200 pipes and more in a room of 7 s; the whole program from six seconds to two hours.
bench-sound:
	$(GO) test ./sim/sound -run '^$$' -bench 'FirstSecond|Dense|NewPipe' -benchtime 3x
	$(GO) run ./cmd/bench -whole -long -rounds 3

# Findings by texture, as a program of this machine and as WebAssembly under Node; and of the scores in CORPUS, if it is given.
bench-textures:
	$(GO) run ./cmd/bench -textures
	@$(MAKE) --no-print-directory bench-wasm
	@if [ -n "$(CORPUS)" ]; then $(GO) run ./cmd/bench -scores "$(CORPUS)"; fi

# How well the findings tell organ music from piano music: CORPUS holds the folders organ and piano with scores.
judge:
	$(GO) run ./cmd/judge -others $(CORPUS)
	$(GO) run ./cmd/cases -n 50 -mend 10

# The repertoire's norms, made anew from the organ scores in CORPUS/organ.
norms:
	$(GO) run ./cmd/norms $(CORPUS)/organ > norms.json.new
	mv norms.json.new sim/finding/norms.json

# The coach's cases and their well-written twins: found, found for nothing, cleared or eased by a rewriting.
cases:
	$(GO) run ./cmd/cases -n 50 -mend 10
