#!/usr/bin/env bash
# Passes every test on a fresh machine that has Go (and, for the parts that need
# them, apt and node). Safe to run twice. What it installs: a browser for the
# report's tests, the node packages the oracles need, staticcheck.
#
#   ./test.sh            everything
#   ./test.sh --quick    the Go tests alone, with what is already here
set -euo pipefail
cd "$(dirname "$0")"
export GOFLAGS="${GOFLAGS:-} -buildvcs=false"

quick=false
[ "${1:-}" = "--quick" ] && quick=true

say() { printf '\n== %s\n' "$*"; }

# need NAME PACKAGE: installs a Debian package when its program is missing.
need() {
	command -v "$1" >/dev/null 2>&1 && return 0
	if ! command -v apt-get >/dev/null 2>&1; then
		echo "test.sh: $1 is missing and there is no apt-get; the tests that need it will say so and skip"
		return 0
	fi
	local sudo=""
	[ "$(id -u)" = 0 ] || sudo="sudo"
	if [ -z "${apt_fresh:-}" ]; then
		$sudo apt-get update -qq || true
		apt_fresh=yes
	fi
	$sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$2" >/dev/null
}

if ! $quick; then
	say "what the tests need"
	need chromium chromium
	need node nodejs
	need npm npm
	need avr-gcc gcc-avr
	[ -e /usr/lib/avr/include/avr/io.h ] || need avr-libc-headers avr-libc
	for folder in oracle oracle/*; do
		if [ -f "$folder/package-lock.json" ] && command -v npm >/dev/null 2>&1; then
			# A fresh stamp means the lock file has not changed since the last install.
			if [ ! "$folder/node_modules/.stamp" -nt "$folder/package-lock.json" ]; then
				(cd "$folder" && npm ci --no-audit --no-fund --silent && touch node_modules/.stamp)
			fi
		fi
	done
	# With everything installed, a test that would skip for want of a tool must fail instead.
	export FIRSTFIX_ALL_TOOLS=1
fi

say "format and vet"
unformatted=$(gofmt -l cmd internal)
if [ -n "$unformatted" ]; then
	echo "not formatted with gofmt:" $unformatted
	exit 1
fi
go vet ./...
if ! $quick; then
	go run honnef.co/go/tools/cmd/staticcheck@v0.8.2 ./...
fi

say "tests"
if $quick; then
	go test ./...
else
	go test -timeout 20m ./...
	# Goroutines live in cmd and edge alone (internal/tidy bans them elsewhere), and
	# the stand-in is what they drive: these also run under the race detector.
	if command -v gcc >/dev/null 2>&1; then
		say "tests under the race detector"
		CGO_ENABLED=1 go test -race -timeout 20m ./cmd/... ./internal/edge/... ./internal/virtual/module ./internal/virtual/world
	fi
	say "every benchmark runs once"
	go test -run XXX -bench . -benchtime 1x ./... >/dev/null
fi

say "the main job, as README gives it"
go run ./cmd/firstfix check >/dev/null
status=0
go run ./cmd/firstfix check --world antennas-swapped >/dev/null 2>&1 || status=$?
[ "$status" = 1 ] || { echo "check --world antennas-swapped ended with $status; 1 was expected"; exit 1; }
echo "all good"
