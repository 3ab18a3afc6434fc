# One place for every command of this project. Bare `make` says what there is.
.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.PHONY: help demo serve test lint check bench numbers example dev clean

VENV := .venv
BIN := $(VENV)/bin
TANK := examples/loft-tank
LENTIC := $(BIN)/lentic
# The pages of the example stand on the morning after its last line.
PORT ?= 8420
TODAY := 2026-04-06T09:00+02:00
PIP := $(BIN)/python -m pip install --disable-pip-version-check -c constraints.txt

# The first Python on the path that is new enough; `make PYTHON=/some/python` chooses another.
PYTHON ?= $(shell for p in python3 python3.14 python3.13 python3.12 python3.11; do \
	$$p -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && echo $$p && break; done)

# Asks one question aloud. Exit status 1 means "answered, but read the remarks": the answer is "cannot say", or the
# log has a slip; only a real failure stops the demo.
ask = @printf '\n== %s ==\n$$ lentic %s\n' $(1) '$(2)'; $(LENTIC) $(2) || [ $$? -eq 1 ]

help: ## Say what can be made
	@awk -F ':.*## ' '/^[a-z]+:.*## / {printf "  make %-9s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

demo: $(VENV)/.runs ## Answer four questions about the invented example tank
	$(call ask,'Where do nitrogen and phosphorus come from and where do they go?',balance --folder $(TANK))
	$(call ask,'How does it go on if the keeper keeps to the plan?',forecast --days 56 --plan $(TANK)/plan.csv --folder $(TANK))
	$(call ask,'What feeds the algae?',causes --folder $(TANK))
	$(call ask,'Which one change helps most?',plan --folder $(TANK))

serve: $(VENV)/.runs ## Show the example as pages on this machine; PORT=8420 unless given
	@LENTIC_HOME=out/serve $(LENTIC) import $(TANK) || [ $$? -eq 1 ]
	LENTIC_HOME=out/serve $(LENTIC) serve --port $(PORT) --now $(TODAY)

test: $(VENV)/.develops ## Run the tests
	$(BIN)/pytest

lint: $(VENV)/.develops ## Check style, types and layers
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

check: lint test ## Everything that decides whether a change is good: style, types, layers, tests

bench: $(VENV)/.develops ## Measure the engine against others, and causes on a bank of invented tanks
	$(BIN)/python benchmarks/engine.py
	test -d out/bank || $(BIN)/python examples/make_bank.py out/bank
	$(BIN)/python benchmarks/causes.py out/bank

numbers: $(VENV)/.develops ## Write docs/trust.md: each relation and how far it is from published values
	$(BIN)/python docs/make_trust.py

example: $(VENV)/.runs ## Write the invented example tank again, from its seed
	$(BIN)/python examples/make_example.py

dev: $(VENV)/.develops ## Set up .venv for development

clean: ## Remove .venv, caches and builds; keeps every log
	rm -rf $(VENV) .numba build dist out .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis .coverage
	find . -name __pycache__ -prune -exec rm -rf {} +
	rm -rf src/*.egg-info

# The stamps below are touched when a set-up has finished, so that it is done once and again only when the
# dependencies change.
$(VENV)/.made:
	@test -n "$(PYTHON)" || { echo "lentic needs Python 3.11 or newer, and none is on the path: install it, or name one with: make PYTHON=/path/to/python3"; exit 1; }
	@echo "Setting up $(VENV) with $$($(PYTHON) --version): once, about a minute"
	$(PYTHON) -m venv $(VENV) || { echo "This Python cannot make a virtual environment; on Debian and Ubuntu the package python3-venv is missing."; exit 1; }
	@touch $@

$(VENV)/.runs: pyproject.toml constraints.txt | $(VENV)/.made
	$(PIP) -e .
	@touch $@

$(VENV)/.develops: pyproject.toml constraints.txt | $(VENV)/.made
	$(PIP) -e '.[dev]'
	@touch $@ $(VENV)/.runs
