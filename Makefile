# Two commands matter: `make demo` and `make test`. Each sets up everything that it needs
# on a machine that has Python 3.11 and make; reruns are quick.

PYTHON ?= $(shell command -v python3.11 || command -v python3)
VENV := .venv
BIN := $(VENV)/bin
JOBS ?= 2
PIP := $(BIN)/python -m pip --disable-pip-version-check
SOURCES := $(shell find src -name '*.py' -o -name '*.typ' -o -name '*.lark' -o -name '*.json' -o -name '*.yaml')

.DEFAULT_GOAL := help
.PHONY: help setup demo test lint format quick bench pictures docs pins clean

help: ## say what can be made
	@grep -E '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

# --- set-up ---------------------------------------------------------------------------
$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
	  || { echo "Millimark needs Python 3.11 or later; set PYTHON=/path/to/python3.11"; exit 1; }
	$(PYTHON) -m venv $(VENV)

$(VENV)/.run-ready: requirements/run.txt pyproject.toml | $(BIN)/python
	$(PIP) install --quiet -r requirements/run.txt
	$(PIP) install --quiet --no-deps -e .
	@touch $@

$(VENV)/.dev-ready: requirements/dev.txt $(VENV)/.run-ready
	$(PIP) install --quiet -r requirements/dev.txt
	@touch $@

setup: $(VENV)/.dev-ready ## install everything, for contributors

# --- the two commands -----------------------------------------------------------------
demo: $(VENV)/.run-ready ## print, rehearse and mark a paper for an invented class of 12
	@$(BIN)/millimark demo --out out/demo

test: lint ## style, types, layers, then all tests with coverage
	$(BIN)/python -m pytest -n $(JOBS) -rs --cov --cov-report=term:skip-covered

# --- for contributors -----------------------------------------------------------------
lint: $(VENV)/.dev-ready ## style, types and the one-way imports
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports

format: $(VENV)/.dev-ready ## tidy the style
	$(BIN)/ruff format
	$(BIN)/ruff check --fix

quick: $(VENV)/.dev-ready ## the tests that need no other program, one process
	$(BIN)/python -m pytest -q -m "not wheel and not chromium and not axe and not qpdf"

bench: $(VENV)/.dev-ready ## the benchmarks, and the ratios of docs/benchmarks.md
	@mkdir -p out
	$(BIN)/python -m pytest tests/benchmarks -p no:xdist --benchmark-only \
	  --benchmark-json=out/benchmarks.json --benchmark-columns=min,median,rounds
	$(BIN)/python tools/benchmark_ratios.py out/benchmarks.json

pictures: $(VENV)/.dev-ready ## draw the pictures of the README again
	$(BIN)/python tools/pictures.py docs/pictures

docs: $(VENV)/.run-ready ## write docs/commands.md and the outputs in README.md again
	$(BIN)/python tools/commands_page.py docs/commands.md
	$(BIN)/python tools/readme_sessions.py

pins: $(VENV)/.dev-ready ## write requirements/*.txt again from what is installed
	$(BIN)/python tools/pins.py

clean: ## remove what was made
	rm -rf out build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis .benchmarks .import_linter_cache
