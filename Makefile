# Two doors: `make demo` and `make check`. Each does its own set-up in a fresh clone.
.DEFAULT_GOAL := help
.PHONY: help demo check lint test bench docs soak constraints clean run dev system both

# Compiled modules are kept, whatever the machine says: without them every process of the tests compiles all anew.
unexport PYTHONDONTWRITEBYTECODE

BIN := .venv/bin

help:
	@echo "make demo         the whole job on an invented engine; leaves ringtrue-demo/"
	@echo "make check        everything a change must pass: lint, types, floors, tests"
	@echo "make lint         ruff, mypy and the import floors alone"
	@echo "make test         the tests alone"
	@echo "make bench        times against their budgets, how closely the physics is solved, how often a fault is named right, how soon a reading is on another screen"
	@echo "make docs         builds docs/ into site/, warnings are errors"
	@echo "make soak         the long tests, under an hour"
	@echo "make constraints  writes constraints.txt from the newest versions that fit pyproject.toml"
	@echo "make clean        removes what was made, .venv included"

run dev system both:
	@sh tools/setup.sh $@

demo: run
	@$(BIN)/ringtrue demo

lint: dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

test: dev
	$(BIN)/pytest -n 2 --dist worksteal -q

# One after the other, whatever -j says, so that pytest's closing lines are the last.
check: both
	@$(BIN)/python -m tools.warm & $(MAKE) --no-print-directory lint; found=$$?; wait; exit $$found
	@$(MAKE) --no-print-directory test

bench: dev
	@$(BIN)/python -m benchmarks.whole_process
	@$(BIN)/python -m benchmarks.physics
	@$(BIN)/python -m benchmarks.diagnosis
	@$(BIN)/python -m benchmarks.pages

docs: dev
	$(BIN)/mkdocs build --strict --quiet

soak: both
	$(BIN)/pytest -n 2 --dist worksteal -q --soak

constraints:
	rm -rf .venv/fresh
	python3 -m venv .venv/fresh
	.venv/fresh/bin/python -m pip install --quiet '.[dev]'
	{ head -n 1 constraints.txt; .venv/fresh/bin/python -m pip freeze --exclude ringtrue; } > constraints.new
	mv constraints.new constraints.txt
	rm -rf .venv/fresh

clean:
	rm -rf .venv build dist site ringtrue-demo .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
