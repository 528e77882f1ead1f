# The two commands of the README, and their parts. Everything lives in .venv; `make clean` forgets it.
PYTHON ?= python3
BIN := .venv/bin
PORT ?= 8000

.PHONY: run test install check bench shots clean

run: .venv/programs         ## install, play a day in the field, print its report, go on serving it
	$(BIN)/rowend demo --data data --port $(PORT)

test: check                 ## install, then lint, types, import rules and every test
	$(BIN)/pytest -n 2

check: .venv/installed
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: .venv/installed      ## speed, as ratios to the leanest code measured in the same run
	$(BIN)/python -m tests.bench

shots: .venv/installed      ## pictures of every screen and page, into build/shots
	$(BIN)/python -m tests.shots

install: .venv/installed

PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt

.venv/programs: pyproject.toml constraints.txt
	$(PYTHON) -m venv .venv
	$(PIP) -e ".[phone,server]"
	touch $@

.venv/installed: .venv/programs .ci/system
	bash .ci/system
	$(PIP) -e ".[phone,server,dev]"
	touch $@

clean:
	rm -rf .venv build data
