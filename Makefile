# Needs git, make and Python 3.11 or newer with venv and pip; never root, never a compiler.
# Two environments, each from its hashed lock: .venv is what a user has, .venv-test adds the tools; and a
# small third, for the oldest OpenCV that photographs are read with; and a fourth, for what samples the learning
# model in `make nuts`.

PYTHON ?= python3
WORKERS ?= 2
UV ?= uv

MAKEFLAGS += --no-print-directory
.DEFAULT_GOAL := help

# Bytecode is always written: without it every start costs twice as much.
unexport PYTHONDONTWRITEBYTECODE
export PIP_DISABLE_PIP_VERSION_CHECK := 1
export PIP_ROOT_USER_ACTION := ignore

USE := .venv/.installed
TEST := .venv-test/.installed
OLDEST := .venv-opencv410/.installed
SAMPLER := .venv-nuts/.installed
RUN := .venv/bin/python
TOOLS := .venv-test/bin

CODE := src tests $(wildcard benchmarks evaluation)

.PHONY: demo test opencv410 nuts slow bench evaluate picture docs lint style contracts types dependencies tracked bare-help \
	lock clean help

## demo         build .venv and run the main job on the demo bench
demo: $(USE)
	@PATH="$(CURDIR)/.venv/bin:$$PATH" sh demo/run.sh || { code=$$?; [ $$code -eq 1 ] || exit $$code; }

## test         build .venv-test and pass the whole suite, warnings as errors
test: $(TEST)
	@$(TOOLS)/python -m pytest -n $(WORKERS) --dist worksteal $(PYTEST)

## opencv410    the tests of photographs on the oldest OpenCV allowed
opencv410: $(OLDEST)
	@.venv-opencv410/bin/python -m pytest -n $(WORKERS) --dist worksteal tests/sheet $(PYTEST)

## nuts         learning beside NUTS: sample three problems anew, keep the figures, print both times
nuts: $(SAMPLER)
	@.venv-nuts/bin/python -m tests.oracle_nuts $(NAMES)

## slow         the long counts that `make test` leaves out
slow: $(TEST)
	@$(TOOLS)/python -m pytest -n $(WORKERS) -m slow $(PYTEST)

## bench        each benchmark beside its plain reference, one JSON line each
bench: $(TEST)
	@for file in benchmarks/bench_*.py; do PYTHONPATH="$(CURDIR)" $(TOOLS)/python "$$file" || exit 1; done

## evaluate     what the model gives on simulated boots and surveyed feet, with standard errors
evaluate: $(USE)
	@$(RUN) -m evaluation

## picture      the README's picture, drawn by the program
picture: $(USE)
	@$(RUN) docs/pictures.py

## docs         the documentation, warnings as errors, into docs/_build/html
docs: $(TEST)
	@$(TOOLS)/python -m sphinx -q -W --keep-going -b html docs docs/_build/html
	@echo "docs: docs/_build/html/index.html"

## lint         every check that runs no test
lint: style contracts types dependencies tracked

style: $(TEST)
	@$(TOOLS)/ruff check .
	@$(TOOLS)/ruff format --check .

contracts: $(TEST)
	@$(TOOLS)/lint-imports --no-logo

types: $(TEST)
	@$(TOOLS)/mypy $(CODE)

dependencies: $(TEST)
	@$(TOOLS)/deptry src

tracked:
	@.ci/tracked-text

# The command starts where none of the tools is installed.
bare-help: $(USE)
	@.venv/bin/heelball --help

## lock         lock requirements/*.in again (needs uv; UPGRADE=--upgrade takes newer versions)
LOCK := $(UV) pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-annotate \
	--no-emit-index-url --no-emit-find-links --only-binary :all: $(UPGRADE)
lock:
	@$(LOCK) requirements/runtime.in -o requirements/runtime.lock
	@$(LOCK) -c requirements/runtime.lock requirements/test.in -o requirements/test.lock
	@sed -n '/^opencv/d; s/ \\$$//; /^[a-z].*==/p' requirements/test.lock \
		| $(LOCK) -c - requirements/opencv410.in -o requirements/opencv410.lock
	@$(LOCK) -c requirements/runtime.lock requirements/nuts.in -o requirements/nuts.lock

## clean        remove the environments and everything built
clean:
	@rm -rf .venv .venv-test .venv-opencv410 .venv-nuts docs/_build docs/_api .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache

## help         this list
help:
	@sed -n 's/^## /make /p' Makefile

# ---- environments: a changed lock builds anew, a changed pyproject.toml installs Heelball anew

.venv/.locked: requirements/runtime.lock
.venv-test/.locked: requirements/test.lock
.venv-opencv410/.locked: requirements/opencv410.lock
.venv-nuts/.locked: requirements/nuts.lock

.venv/.locked .venv-test/.locked .venv-opencv410/.locked .venv-nuts/.locked:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
		|| { echo "Heelball needs Python 3.11 or newer; name one: make PYTHON=python3.12 ..." >&2; exit 1; }
	@echo "Building $(@D) from $<" >&2
	@rm -rf $(@D)
	@$(PYTHON) -m venv $(@D)
	@$(@D)/bin/python -m pip install -qq --require-hashes --only-binary :all: -r $<
	@touch $@

.venv/.installed: .venv/.locked pyproject.toml
.venv-test/.installed: .venv-test/.locked pyproject.toml
.venv-opencv410/.installed: .venv-opencv410/.locked pyproject.toml
.venv-nuts/.installed: .venv-nuts/.locked pyproject.toml

.venv/.installed .venv-test/.installed .venv-opencv410/.installed .venv-nuts/.installed:
	@$(@D)/bin/python -m pip install -qq --no-deps --no-build-isolation -e .
	@touch $@
