# Two commands for a fresh machine (Python 3.11+ and make): `make demo` and `make test`.
# Everything lives in .venv beside this file; nothing outside it is touched.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
SHELL := /bin/sh

.PHONY: demo test check corpus bench fuzz faults knowledge guide pictures clean

$(VENV)/.installed: pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Stopwright needs Python 3.11 or newer; say which with  make PYTHON=python3.12 $(MAKECMDGOALS)"; exit 1; }
	@$(PYTHON) -m venv $(VENV) || { echo "Python's venv is missing; on Debian the package python3-venv brings it"; exit 1; }
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -e .
	@touch $@

$(VENV)/.test-installed: $(VENV)/.installed
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[test]'
	@touch $@

## demo: set everything up and run the main job on the built-in piece
demo: $(VENV)/.installed
	@$(BIN)/python -m app demo

## test: set everything up and run all that must pass
test: $(VENV)/.test-installed
	$(BIN)/ruff check core app tests
	$(BIN)/ruff format --check core app tests
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache
	QT_QPA_PLATFORM=offscreen $(BIN)/python -m pytest

## corpus: the outside check over every MusicXML file of the music21 package
corpus: $(VENV)/.test-installed
	$(BIN)/python -m pytest -m corpus -o addopts=

## bench: speeds against music21's parse of the same file
bench: $(VENV)/.test-installed
	$(BIN)/python tests/bench/run.py
	$(BIN)/python tests/bench/window.py
	PYTHONPATH=tests/support $(BIN)/python tests/bench/catalogue.py

## fuzz: damaged input of every kind through the whole program: make fuzz SECONDS=600 SEED=7
fuzz: $(VENV)/.test-installed
	$(BIN)/python tests/fuzz/run.py --seconds $(or $(SECONDS),60) --seed $(or $(SEED),1)

## faults: a thousand faults and more while files are saved, and kills at random moments
faults: $(VENV)/.test-installed
	QT_QPA_PLATFORM=offscreen $(BIN)/python -m pytest -m faults -o addopts= tests/hardening

## knowledge: write the JSON that is read at start from the YAML
knowledge: $(VENV)/.installed
	$(BIN)/python -m core.knowledge.loader
	$(BIN)/python -m core.organ.claims
	$(BIN)/python -m core.markings.kept_lexicon

## translations: what the window shows and has no translation, or one that is stale
translations: $(VENV)/.test-installed
	@QT_QPA_PLATFORM=offscreen $(BIN)/python tests/translations/translated.py

## guide: the pages of the guide that are made from the program
guide: $(VENV)/.installed
	$(BIN)/python -m core.export.rules > docs/rules.md

## pictures: those of the user guide, from the real window
pictures: $(VENV)/.installed
	QT_QPA_PLATFORM=offscreen $(BIN)/python -m app.guide_pictures docs/pictures

clean:
	rm -rf $(VENV) build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis
