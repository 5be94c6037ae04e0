# make check runs what CI runs; make speed compares whole processes with scipy's;
# make pictures makes those of README anew.
# make dist builds the programs that are given away.
.PHONY: check test speed dist pictures

check:
	.ci/run

test:
	go test ./...

speed:
	@dir=$$(mktemp -d) && trap 'rm -rf "$$dir"' EXIT && \
	go build -o "$$dir/hisspoint" ./cmd/hisspoint && \
	/usr/bin/python3 -B testdata/scipy/speed.py compare "$$dir/hisspoint" "$$dir"

# The Windows program needs a C compiler for its sound (Debian: gcc-mingw-w64-x86-64),
# the one for ALSA that of the system. The others speak to PulseAudio and PipeWire.
# make dist out=FOLDER puts them elsewhere.
out = dist
build = go build -trimpath -ldflags "-s -w" -o $(out)

dist:
	mkdir -p $(out)
	CGO_ENABLED=0 GOOS=linux GOARCH=amd64 $(build)/hisspoint-linux-amd64 ./cmd/hisspoint
	CGO_ENABLED=0 GOOS=linux GOARCH=arm64 $(build)/hisspoint-linux-arm64 ./cmd/hisspoint
	CGO_ENABLED=1 GOOS=windows GOARCH=amd64 CC=x86_64-w64-mingw32-gcc $(build)/hisspoint-windows-amd64.exe -tags malgo ./cmd/hisspoint
	CGO_ENABLED=1 GOOS=linux GOARCH=amd64 $(build)/hisspoint-linux-amd64-alsa -tags malgo ./cmd/hisspoint

# The pictures of the report in README, from the demo's job.
pictures:
	@dir=$$(mktemp -d) && trap 'rm -rf "$$dir"' EXIT && \
	go run ./cmd/hisspoint demo --quiet --dir "$$dir/demo" && \
	cp -r .ci/browser "$$dir/browser" && npm ci --silent --prefix "$$dir/browser" && \
	mkdir -p reports/testdata && node "$$dir/browser/pictures.mjs" "$$dir/demo" reports/testdata
