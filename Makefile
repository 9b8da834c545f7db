# make demo   the main job on the example, into build/stair-tread/
# make test   lint, types and the whole suite
# make bench  the measurements (on demand)
# make sweep  the slow sweeps (on demand)
# make sheet  the sheets and playback in a browser (needs Debian's chromium and poppler-utils)
# make matrix every recipe in every shop through every post, and what else make test has no time for
# make docs   the pages and pictures that the tool writes itself

PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin

.PHONY: demo test lint style types suite bench sweep sheet matrix docs

demo: $(VENV)/.ready
	$(BIN)/stockwright make examples/stair-tread/job.yaml --out build/stair-tread --force

# Types and suite side by side: two processors do both in less time, and what is wrong with types comes at once.
test: style
	@$(MAKE) --no-print-directory --jobs=2 types suite

lint: style types

style: $(VENV)/.ready-dev
	$(BIN)/ruff check pipeline posts tests
	$(BIN)/ruff format --check pipeline posts tests

types: $(VENV)/.ready-dev
	$(BIN)/mypy

suite: $(VENV)/.ready-dev
	$(BIN)/python -m pytest -n 2 --dist worksteal -q

bench: $(VENV)/.ready-dev
	$(BIN)/python -m pytest -q -s tests/bench/bench_*.py

sweep: $(VENV)/.ready-dev
	$(BIN)/python -m pytest -n 2 --dist worksteal -q -m sweep

sheet: $(VENV)/.ready-dev
	$(BIN)/python -m pytest -q tests/browser

matrix: $(VENV)/.ready-dev
	STOCKWRIGHT_WIDE=1 $(BIN)/python -m pytest -n 2 --dist worksteal -q -m 'wide or drawn'

docs: $(VENV)/.ready-dev
	$(BIN)/python tests/docs/accept.py

$(VENV)/.ready: pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo 'stockwright needs Python 3.11 or newer'; exit 1; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	@touch $@

$(VENV)/.ready-dev: $(VENV)/.ready
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	@touch $@
