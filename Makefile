# make demo   set everything up, write the demo lifters' folder, refresh it, say where the pages are
# make test   set up what tests need and run them
# make recovery | bench | fuzz | corpus   long runs, each prints its bars
# make lock   renew the lock files

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
DEMO ?= demo
CAREERS ?= 200
UV_VERSION := 0.13.9
LOCK_FLAGS := --generate-hashes --no-emit-index-url --no-emit-find-links --no-header --universal --python-version 3.11

.PHONY: demo test lint recovery bench fuzz corpus lock clean

demo: $(VENV)/ready
	@$(BIN)/liftstrata demo $(DEMO)

test: $(VENV)/ready-dev
	@$(BIN)/ruff check . && $(BIN)/ruff format --check .
	@$(BIN)/python -m pytest -n 2 --dist loadfile --no-loadscope-reorder tests

lint: $(VENV)/ready-dev
	@$(BIN)/ruff check . && $(BIN)/ruff format --check . && $(BIN)/mypy

recovery: $(VENV)/ready-dev
	@OPENBLAS_NUM_THREADS=1 $(BIN)/python -m tests.recovery $(CAREERS)

bench: $(VENV)/ready-dev
	@$(BIN)/python -m tests.bench

fuzz: $(VENV)/ready-dev
	@$(BIN)/python -m tests.fuzz

corpus: $(VENV)/ready-dev
	@OPENBLAS_NUM_THREADS=1 $(BIN)/python -m tests.corpus

$(VENV)/uv:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Python 3.11 or newer is needed, this is " + sys.version.split()[0] + ": set PYTHON=python3.11")'
	@$(PYTHON) -m venv $(VENV)
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check uv==$(UV_VERSION)
	@touch $@

$(VENV)/ready: requirements.lock pyproject.toml | $(VENV)/uv
	@$(BIN)/uv pip install --quiet --python $(BIN)/python --require-hashes -r requirements.lock
	@$(BIN)/uv pip install --quiet --python $(BIN)/python --no-deps --no-build-isolation -e .
	@touch $@

$(VENV)/ready-dev: requirements-dev.lock $(VENV)/ready
	@$(BIN)/uv pip install --quiet --python $(BIN)/python --require-hashes -r requirements-dev.lock
	@sh .ci/browser
	@touch $@

lock: | $(VENV)/uv
	$(BIN)/uv pip compile $(LOCK_FLAGS) --group build --output-file requirements.lock pyproject.toml
	$(BIN)/uv pip compile $(LOCK_FLAGS) --group build --group dev --constraint requirements.lock --output-file requirements-dev.lock pyproject.toml

clean:
	rm -rf $(VENV) $(DEMO)
