# make demo   the main job on the example, into build/stair-tread/
# make test   lint, types and the whole suite
# make bench  the measurements (on demand)
# make sweep  the slow sweeps (on demand)
# make sheet  the browser's view of the sheets (needs Debian's chromium)

PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin

.PHONY: demo test lint bench sweep sheet

demo: $(VENV)/.ready
	$(BIN)/stockwright make examples/stair-tread/job.yaml --out build/stair-tread --force

test: lint
	$(BIN)/python -m pytest -n 2 -q

lint: $(VENV)/.ready-dev
	$(BIN)/ruff check pipeline posts tests
	$(BIN)/ruff format --check pipeline posts tests
	$(BIN)/mypy

bench: $(VENV)/.ready-dev
	$(BIN)/python -m pytest -q -s tests/bench/bench_*.py

sweep: $(VENV)/.ready-dev
	$(BIN)/python -m pytest -n 2 -q -m sweep

sheet: $(VENV)/.ready-dev
	$(BIN)/python -m pytest -q tests/browser

$(VENV)/.ready: pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo 'stockwright needs Python 3.11 or newer'; exit 1; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	@touch $@

$(VENV)/.ready-dev: $(VENV)/.ready
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	@touch $@
