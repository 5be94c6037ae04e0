# make check runs what CI runs; make speed compares whole processes with scipy's;
# make pictures makes those of README anew.
# make dist makes what is given away.
.PHONY: check test speed dist pictures

check:
	.ci/run

test:
	go test ./...

speed:
	@dir=$$(mktemp -d) && trap 'rm -rf "$$dir"' EXIT && \
	go build -o "$$dir/hisspoint" ./cmd/hisspoint && \
	/usr/bin/python3 -B testdata/scipy/speed.py compare "$$dir/hisspoint" "$$dir"

# Programs, archives, packages, list of parts and checksums, the same from the same
# commit; make dist out=FOLDER puts them elsewhere. What it needs: .ci/dist/make.py.
out = dist

dist:
	/usr/bin/python3 -B .ci/dist/make.py $(out)

# The pictures of the report in README, from the demo's job.
pictures:
	@dir=$$(mktemp -d) && trap 'rm -rf "$$dir"' EXIT && \
	go run ./cmd/hisspoint demo --quiet --dir "$$dir/demo" && \
	cp -r .ci/browser "$$dir/browser" && npm ci --silent --prefix "$$dir/browser" && \
	mkdir -p reports/testdata && node "$$dir/browser/pictures.mjs" "$$dir/demo" reports/testdata
