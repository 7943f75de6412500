.PHONY: all test fuzz bench queries

all:
	go build -o kg ./cmd/kg

test:
	./scripts/test

# Each fuzz target for a minute, beyond the corpus that every test run checks.
fuzz:
	go test ./internal/note -fuzz FuzzParse$$ -fuzztime 60s
	go test ./internal/note -fuzz FuzzParseLikelihood -fuzztime 60s
	go test ./internal/parts -fuzz FuzzCatalogue -fuzztime 60s
	go test ./internal/search -fuzz FuzzTokens -fuzztime 60s

# Whole-process figures, with ratios within one run. Needs sqlite3.
bench:
	go run ./bench/cold
	go run ./bench/build

queries:
	go run ./bench/queries testdata/queries/unseen.tsv
