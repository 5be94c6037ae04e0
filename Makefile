# make check runs what CI runs; make speed compares whole processes with scipy's.
.PHONY: check test speed

check:
	.ci/run

test:
	go test ./...

speed:
	@dir=$$(mktemp -d) && trap 'rm -rf "$$dir"' EXIT && \
	go build -o "$$dir/hisspoint" ./cmd/hisspoint && \
	/usr/bin/python3 -B testdata/scipy/speed.py compare "$$dir/hisspoint" "$$dir"
