# Every task of the project. `make help` lists them.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
RUN_STAMP := $(VENV)/.runtime
DEV_STAMP := $(VENV)/.dev
export PIP_DISABLE_PIP_VERSION_CHECK = 1

.DEFAULT_GOAL := help

help:  ## list the targets
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 14

$(BIN)/python:
	@sh scripts/make_venv.sh "$(PYTHON)" "$(VENV)"

$(RUN_STAMP): requirements/runtime.txt pyproject.toml | $(BIN)/python
	$(BIN)/pip install -q --require-hashes -r requirements/runtime.txt
	$(BIN)/pip install -q --no-deps --no-build-isolation -e .
	@touch $@

$(DEV_STAMP): requirements/dev.txt requirements/data.txt pyproject.toml | $(BIN)/python
	$(BIN)/pip install -q --require-hashes -r requirements/dev.txt
	$(BIN)/pip install -q --no-deps --require-hashes -r requirements/data.txt
	$(BIN)/pip install -q --no-deps --no-build-isolation -e .
	@touch $@ $(RUN_STAMP)

setup: $(DEV_STAMP)  ## set up everything for developing

demo: $(RUN_STAMP)  ## set up, then plan the demo workshop
	@$(BIN)/onceapart demo

# What `onceapart serve` is given besides, as in: make serve WITH="--lan --port 8080"
WITH ?=

serve: $(RUN_STAMP)  ## set up, then serve the site; make serve WITH=--lan lets the phone in
	@$(BIN)/onceapart serve $(WITH)

test: format-check lint types tests docs-check  ## set up, then format, lint, types, tests, doctests

check: test  ## the same as test

format-check: $(DEV_STAMP)  ## is the code formatted?
	$(BIN)/ruff format --check .

format: $(DEV_STAMP)  ## format the code
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

lint: $(DEV_STAMP)  ## lint the code
	$(BIN)/ruff check .

types: $(DEV_STAMP)  ## check the types
	$(BIN)/mypy

services:  ## get a browser and a PostgreSQL server for the tests, where that may be done
	@sh scripts/services.sh

tests: $(DEV_STAMP) services  ## run the tests and doctests; says what it had to skip
	$(BIN)/pytest

docs-check: $(DEV_STAMP)  ## is what the docs show what the program prints?
	$(BIN)/python scripts/shown.py --check

docs: $(DEV_STAMP)  ## write the shown results into the docs again
	$(BIN)/python scripts/shown.py --write

pictures: $(DEV_STAMP) services  ## take the pictures of the site that docs/site.md shows
	$(BIN)/python scripts/pictures.py

bench: $(DEV_STAMP)  ## measure the planner against plain models; writes docs/performance.md
	$(BIN)/pytest benchmarks/test_planning_speed.py --benchmark-only -q -p no:randomly

lock: $(DEV_STAMP)  ## make the hash-locked requirements again
	$(BIN)/uv pip compile -q --generate-hashes --no-header --no-emit-index-url --python-version 3.11 --extra build pyproject.toml -o requirements/runtime.txt
	$(BIN)/uv pip compile -q --generate-hashes --no-header --no-emit-index-url --python-version 3.11 --extra build --extra dev pyproject.toml -o requirements/dev.txt
	$(BIN)/uv pip compile -q --generate-hashes --no-header --no-emit-index-url --python-version 3.11 --no-deps requirements/data.in -o requirements/data.txt

clean:  ## remove the environment and all caches
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .hypothesis .benchmarks

.PHONY: help setup demo serve services test check format-check format lint types tests docs-check docs pictures bench lock clean
