# Two commands on a fresh machine: `make demo` and `make test`.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
PIP    := $(BIN)/pip install --quiet --disable-pip-version-check --only-binary :all: --constraint constraints.txt
DEMO   := examples/two-triads-one-chord.yaml

.PHONY: demo test lint studio bench soak clean

demo: $(VENV)/.ready
	$(BIN)/lickwright build $(DEMO) -o out

test: $(VENV)/.ready-test lint
	$(BIN)/pytest -n 2 --ignore tests/studio
	$(BIN)/pytest -n 2 tests/studio # apart, so that a browser and its server have the cores

lint: $(VENV)/.ready-test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

studio: $(VENV)/.ready
	$(BIN)/lickwright studio examples

bench: $(VENV)/.ready-test
	for name in build harmony hands changes media; do $(BIN)/python bench/$$name.py || exit 1; done

soak: $(VENV)/.ready-test # 24,000 inputs for every parser: hours
	$(BIN)/python bench/odd_inputs.py

$(VENV)/.ready: pyproject.toml constraints.txt
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(PIP) setuptools
	$(PIP) --no-build-isolation --editable .
	touch $@

$(VENV)/.ready-test: $(VENV)/.ready
	$(PIP) --no-build-isolation --editable '.[test]'
	touch $@

clean:
	rm -rf $(VENV) out
