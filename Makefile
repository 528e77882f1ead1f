# Everything lives in .venv; `make clean` removes it.
PYTHON ?= python3
BIN := .venv/bin
PORT ?= 8000
#: `make mutants` tries the mutants whose number ends in this digit: one in ten, the same ones every time
SAMPLE ?= 7
#: `make soak` runs for so long
SECONDS ?= 120

.DEFAULT_GOAL := help
.PHONY: help run dev test install check format hooks bench shots mutants soak clean

help:                       ## show this list
	@sed -n 's/^\([a-z]*\):[^#]*## /\1\t/p' $(MAKEFILE_LIST) | expand -t 10

run: .venv/programs         ## install, play a day in the field, print its report, then serve it
	$(BIN)/rowend demo --data data --port $(PORT)

dev: .venv/installed        ## serve data/, and start again at each change of the code
	$(BIN)/watchfiles --sigint-timeout 15 "$(BIN)/rowend serve --data data --port $(PORT)" server shared_models

test: check .venv/android   ## install, then lint, types, import rules and every test, with branch coverage
	$(BIN)/pytest -n 2 --cov --cov-report=term

check: .venv/installed      ## lint, types and import rules
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

format: .venv/installed     ## put the code in its form, and fix what ruff can fix
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

hooks: .venv/installed      ## run the format and lint checks at each git commit
	$(BIN)/pre-commit install

bench: .venv/installed      ## speed, as ratios to the leanest code measured in the same run
	$(BIN)/python -m tests.bench

shots: .venv/installed      ## pictures of every screen and page, into build/shots
	$(BIN)/python -m tests.shots

mutants: .venv/installed    ## break the pure core on purpose, a sample at a time; list what no test noticed
	timeout 900 $(BIN)/mutmut run '*__mutmut_*$(SAMPLE)'
	$(BIN)/mutmut results | grep -v 'not checked'

soak: .venv/installed       ## run random histories of phones, office and service; write the figures into docs/promises.md
	timeout $$(( $(SECONDS) + 300 )) $(BIN)/python -m tests.journeys.proof.soak $(SECONDS)

install: .venv/installed    ## install everything but the Android tools

clean:                      ## remove .venv, build/, mutants/ and data/
	rm -rf .venv build mutants data

PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt

.venv/programs: pyproject.toml constraints.txt setup.py $(wildcard */*/locale/*/LC_MESSAGES/*.po)
	$(PYTHON) -m venv .venv
	$(PIP) -e ".[phone,server]"
	touch $@

.venv/installed: .venv/programs .ci/system
	bash .ci/system
	$(PIP) -e ".[phone,server,dev]"
	touch $@

# what the phone's build files are checked against
.venv/android: .venv/installed
	$(PIP) -e ".[android]"
	touch $@
