# make demo    build, and run the main job on an invented mill: needs Go and nothing else
# make test    vet, lint, every test, the sealing path on other processors, short fuzzing; installs what it needs
# make lint    formatting, vet, staticcheck
# make speed   the promised speeds, side by side with what they are measured against; fails on a miss
# make calibration  whether intervals of the face between the readings hold the truth as often as they say; minutes
# make faults  kills, full disks, flipped bytes, a database that stops: KILLS kills under eight writers (200)
# make fuzz    long fuzzing, COUNT inputs for each target, and drawn problems that nobody has seen
# make build   bin/slatewright, with the licence texts of everything inside, and the scripts of the pages when npm is there
# make pages   the scripts of the pages: fetches their libraries (npm), checks the types, bundles

SHELL       := bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := build
.PHONY: demo picture test lint speed calibration faults fuzz build pages notices tools format vet types staticcheck scripts tests race cross shortfuzz

COUNT ?= 100000

# Tests that draw their problems draw the same ones on every machine; make fuzz draws others (0: any).
RAPID_SEED ?= 20261126
export RAPID_SEED

# Tests make much that is soon thrown away: collected four times as seldom, a sixth of their time is saved. What is promised of speed is
# measured as everybody has it.
GOGC ?= 400
lint tests race cross shortfuzz: export GOGC := $(GOGC)

# The packages whose floats must have the same bits on every machine; purity_test.go holds the same list.
SEALED := measure chance stations face face/ply lowlp flatness seating bed judge certificate

build: notices
	@.ci/pages soft
	go build -trimpath -o bin/slatewright ./cmd/slatewright

notices:
	@go generate ./internal/notices

pages:
	@.ci/pages

demo: build
	bin/slatewright demo --out out

# The picture in the README, drawn anew.
picture: demo
	cp out/maps/QH-S01.svg docs/bed-map.svg

lint: format vet types staticcheck

format:
	@unformatted=$$(gofmt -l $$(git ls-files --cached --others --exclude-standard '*.go')); \
	if [ -n "$$unformatted" ]; then echo "run gofmt -w on:" $$unformatted; exit 1; fi

vet:
	go vet ./...

types:
	@.ci/pages check

STATICCHECK := 0.8.2
staticcheck:
	@if staticcheck -version 2>/dev/null | grep -qF '($(STATICCHECK))'; then staticcheck ./...; \
	else go run honnef.co/go/tools/cmd/staticcheck@v$(STATICCHECK) ./...; fi

test: tools notices lint scripts tests race cross shortfuzz

# The types are checked by then: lint does.
scripts:
	@if command -v npm >/dev/null; then .ci/pages bundle; fi

tools:
	@.ci/tools

# Vetting is done by then: lint looks at the tests too.
tests:
	go test -vet=off -count=1 -timeout 30m -v ./... 2>&1 | .ci/tally

# The race detector costs a factor of ten: it looks at the packages that start goroutines, on their short tests. Those make a
# fifth of the random checks, so that asking for five times as many makes the usual number. The embedded database is left out of
# it: C turned into Go, sixteen times slower under the detector. So are rehearsals: they share out what the mill itself never runs.
race:
	RAPID_CHECKS=500 go test -vet=off -short -timeout 30m -race -gcflags='modernc.org/sqlite/lib=-race=false' $$(grep -rlE --include='*.go' '^\s+go [a-zA-Z(]|\.Go\(func|cores\.Share|stream\.InOrder' . | grep -v -e _test.go -e '^./speed/' -e '^./internal/rehearsal/' | xargs -n1 dirname | sort -u)

cross:
	@.ci/cross $(SEALED)

shortfuzz:
	@.ci/fuzz 2000

fuzz:
	RAPID_SEED=0 RAPID_CHECKS=1000 go test -vet=off -short -count=1 -timeout 60m $$(grep -rl --include='*_test.go' pgregory.net/rapid . | xargs -n1 dirname | sort -u)
	@.ci/fuzz $(COUNT)

calibration:
	go run ./speed calibration
	go run ./speed toolmarks
	go test -count=1 -run 'Hold' -v ./surfacing/worked ./surfacing/worked/removal -jobs 200

speed: build
	@.ci/tools python3-scipy
	go run ./speed bin/slatewright

KILLS ?= 200
faults:
	@.ci/tools postgresql
	go test -count=1 -v ./faults -kills $(KILLS)
	SLATEWRIGHT_RANDOM_BYTES=10000000 go test -count=1 -timeout 30m -run Random -v ./internal/web
	@.ci/fuzz 50000
