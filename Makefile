# Two targets do everything on a fresh machine: make demo, make test.
.PHONY: build page demo test lint nofma tidy golden validator fuzz kill same bench bench-map bench-preview bench-reduce bench-weight

build: page
	go build -o planfold ./cmd/planfold

# The page of planfold preview, embedded in the program. Without Node the program is
# built all the same, and preview says what is missing.
PAGE = convert/view/page
page:
	@if command -v npm >/dev/null; then $(MAKE) -s convert/view/site/page.js; else echo "npm is not installed: the program is built without the page of planfold preview"; fi
convert/view/site/page.js: $(PAGE)/node_modules convert/view/words.json $(shell find $(PAGE)/src -type f)
	cd $(PAGE) && npm run --silent build
$(PAGE)/node_modules: $(PAGE)/package-lock.json
	cd $(PAGE) && npm ci --silent && touch node_modules

demo: build
	./planfold demo demo
	./planfold convert -r demo/rules.yaml -o demo/out demo/plan.xml
	@echo "The editions are below demo/out/plans; what became of each plan: demo/out/run.html"

# The gate, here and in CI.
test: page lint nofma tidy
	go test ./...
	go test -race ./convert ./convert/store ./convert/view
	go test -race -run "AtTheSameTime|AreShared" ./rules ./rules/selector

lint:
	@test -z "$$(go tool gofumpt -l cmd convert rules schema testdata)" || { go tool gofumpt -l cmd convert rules schema testdata; echo "run: go tool gofumpt -w ."; false; }
	go vet ./... ./testdata/open
	go tool staticcheck ./...

# Geometry must give the same bytes on every machine, so no multiply and add may
# be fused; arm64 is where the compiler would.
nofma:
	@GOARCH=arm64 go build -gcflags='planfold/convert/...=-S' ./convert/... 2>&1 | grep -E 'F(N)?M(ADD|SUB)[DS]' | sed 's/^.*(\(.*\)).*$$/\1/' | sort | uniq -c | grep . && { echo "fused multiply-add: write float64(a*b) + c"; false; } || true

tidy:
	go mod tidy -diff

golden:
	@for p in $$(grep -lr 'flag.Bool("update"' --include='*_test.go' . | xargs -n1 dirname | sort -u); do \
	  echo go test $$p -update; go test $$p -update || exit 1; done

# What the tests need beyond Go: the Khronos glTF validator, pinned.
validator: testdata/validator/node_modules
testdata/validator/node_modules: testdata/validator/package-lock.json
	cd testdata/validator && npm ci --silent

# Long campaigns, outside the gate.
FUZZTIME ?= 5m
fuzz:
	@for p in $$(grep -lr '^func Fuzz' --include='*_test.go' . | xargs -n1 dirname | sort -u); do \
	  for f in $$(grep -ho '^func Fuzz[A-Za-z]*' $$p/*_test.go | sed 's/func //'); do \
	    echo "$$p $$f"; go test $$p -run '^$$' -fuzz "^$$f\$$" -fuzztime $(FUZZTIME) || exit 1; done; done

# A run killed at 50 random instants and put right by the next.
kill:
	PLANFOLD_KILLS=50 go test ./cmd/planfold -run TestKilledRunIsPutRight -count 1 -timeout 60m

# The demo converted by a program for any amd64 and by one for newer ones: the same bytes.
same:
	@d=$$(mktemp -d); trap 'rm -rf '$$d EXIT; \
	for v in v1 v3; do GOAMD64=$$v go build -o $$d/$$v ./cmd/planfold || exit 1; done; \
	$$d/v3 help >$$d/log 2>&1 || { echo "this machine cannot run GOAMD64=v3: skipped"; exit 0; }; \
	$$d/v1 demo $$d/demo >>$$d/log || exit 1; \
	for v in v1 v3; do $$d/$$v convert -r $$d/demo/rules.yaml -o $$d/out-$$v $$d/demo/plan.xml >>$$d/log || { cat $$d/log; exit 1; }; done; \
	diff -r $$d/out-v1/plans $$d/out-v3/plans && diff -rq $$d/out-v1/blobs $$d/out-v3/blobs && echo "the same bytes: $$(find $$d/out-v1/blobs -type f | wc -l) blobs"

bench:
	go test ./... -run '^$$' -bench . -benchmem

# Maps a plan of 200 MB on one core: seconds, those of xmllint's streaming parse of
# the same file, their ratio, and the largest resident memory.
bench-map:
	go test ./cmd/planfold -run '^$$' -bench '^BenchmarkMapLargePlan$$' -benchtime 1x

# Opens an edition of 500 steps in five fresh browsers, and walks through it.
bench-preview: page
	go test ./cmd/planfold -run '^$$' -bench '^BenchmarkPreview$$' -benchtime 5x

# The reducer beside other tools, where their bench is: MESH_BENCH is the folder of its
# compare.py, BENCH_FLAGS say how much of it runs. A line a version, in reduce.tsv.
bench-reduce: build
	@test -x "$(MESH_BENCH)/compare.py" || { echo "MESH_BENCH must name the folder of the bench's compare.py"; false; }
	testdata/bench/reduce.sh "$(MESH_BENCH)" $(BENCH_FLAGS)

# The bytes of the demo's levels beside those of gltfpack (npm), of the same triangles.
bench-weight: build
	@d=$$(mktemp -d); trap 'rm -rf '$$d EXIT; ./planfold demo $$d/demo >/dev/null && npm install --silent --prefix $$d gltfpack@1.3 && \
	MESHES=$$d/demo/geometry GLTFPACK=$$d/node_modules/.bin/gltfpack go test ./convert/glb -run '^$$' -bench '^BenchmarkWeight$$' -benchtime 1x
