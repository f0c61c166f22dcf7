# Everything runs in a virtual environment in .venv. `make help` lists the targets.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.ready

.DEFAULT_GOAL := help
.PHONY: help setup demo test lint bench docs lock clean tools

help: ## list the targets
	@grep -hE '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/^([a-z]+):.*## /  make \1\t/' | expand -t 16

setup: $(STAMP) ## make the virtual environment

$(STAMP): requirements/all.txt pyproject.toml
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV) || { \
	  echo "A virtual environment can't be made: install the package python3-venv, then run this again."; exit 1; }
	@$(BIN)/python -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed."; exit 1; }
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/all.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	@touch $@

demo: $(STAMP) ## run the main job on the invented demo, into demo/out
	@$(BIN)/python demo/run.py

test: $(STAMP) tools lint ## run all checks and tests
	$(BIN)/python -m pytest -n 2

lint: $(STAMP) ## format, lint, types, order of imports
	$(BIN)/ruff format --check --quiet .
	$(BIN)/ruff check --quiet .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

bench: $(STAMP) ## measure speed and memory, as ratios in one run
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/bench.txt
	$(BIN)/python benchmarks/run.py

docs: $(STAMP) ## make the pictures and outputs that the docs show, anew
	$(BIN)/python docs/remake.py

tools: ## system packages that tests use, when missing and permitted
	@sh .ci/tools

lock: $(STAMP) ## resolve the exact versions anew (needs uv)
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --all-extras --group dev --quiet pyproject.toml -o requirements/all.txt
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --all-extras --quiet pyproject.toml -o requirements/run.txt
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --group bench --constraints requirements/all.txt --quiet -o requirements/bench.txt

clean: ## remove what can be made again
	rm -rf $(VENV) demo/out dist build .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
