# limn's gates. `make test` sets up what the tests need and runs them all;
# `make soak` is for the long runs nobody waits for.

GO       ?= go
FUZZTIME ?= 60s# in all, shared among the targets of this run
FUZZRUNS ?= 6# how many of the fuzz targets take their turn in one run
TOOLS     = $(GO) tool -modfile=tools.mod

# Debian package : program, for the outside judges that tests consult.
JUDGES = tshark:tshark argyll:specplot librsvg2-bin:rsvg-convert povray:povray imagemagick:identify libimage-exiftool-perl:exiftool libraw-bin:dcraw_emu

# npm package : version, codecs by other authors that ours must agree with.
PEERS = sacn:4.6.2

.PHONY: test tools vet lint unit testdata fuzz demo bench soak build

test: tools vet lint unit testdata fuzz demo
	@echo "make test: all gates passed"

build:
	$(GO) build -trimpath -o limn ./cmd/limn

# Judges are installed when we may; otherwise one line says what to run. Their
# tests then skip with a reason, except in CI, where a missing judge is a failure.
tools:
	@missing=""; for j in $(JUDGES); do \
	  command -v $${j#*:} >/dev/null 2>&1 || missing="$$missing $${j%%:*}"; done; \
	if [ -n "$$missing" ]; then \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then \
	    echo "installing$$missing"; \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $$missing >/dev/null; \
	  else \
	    echo "to run every check, install:  sudo apt-get install$$missing"; \
	  fi; fi
	@if command -v npm >/dev/null 2>&1; then for p in $(PEERS); do \
	  test -d "$$(npm root -g)/$${p%%:*}" || { echo "installing $${p%%:*}"; \
	    npm install -g --silent --no-fund --no-audit "$${p%%:*}@$${p#*:}" >/dev/null || echo "to run every check:  npm install -g $${p%%:*}@$${p#*:}"; }; done; \
	else echo "to run every check, install Node.js and npm"; fi
	@if [ -n "$$CI" ]; then for j in $(JUDGES); do \
	  command -v $${j#*:} >/dev/null 2>&1 || { echo "missing in CI: $${j%%:*}"; exit 1; }; done; \
	  for p in $(PEERS); do test -d "$$(npm root -g)/$${p%%:*}" || { echo "missing in CI: npm package $${p%%:*}"; exit 1; }; done; fi

vet:
	$(GO) vet ./... ./testdata

lint:
	@out="$$($(TOOLS) gofumpt -l cmd cue dmx fixtures profiles testdata)"; \
	if [ -n "$$out" ]; then echo "not formatted (go tool -modfile=tools.mod gofumpt -w FILE):"; echo "$$out"; exit 1; fi
	$(TOOLS) staticcheck ./... ./testdata

unit:
	@GO="$(GO)" sh .ci/unit

# ./... passes over folders named testdata; this one is a package.
testdata:
	$(GO) test -race ./testdata

# Seeds already ran in unit. Here a few targets, another few each day, look for new trouble.
fuzz:
	@GO="$(GO)" FUZZTIME="$(FUZZTIME)" FUZZRUNS="$(FUZZRUNS)" sh .ci/fuzz

demo:
	$(GO) run ./cmd/limn demo --for 15s

bench:
	$(GO) test -run '^$$' -bench . -benchmem ./...

# Hours of simulated time and long fuzzing: not part of the gate.
soak:
	$(GO) test -tags soak -timeout 0 ./...
	@GO="$(GO)" FUZZTIME=3600s FUZZRUNS=1000 sh .ci/fuzz
