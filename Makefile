# Two commands on a fresh machine: `make demo` and `make test`.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
PIP    := $(BIN)/pip install --quiet --disable-pip-version-check --only-binary :all: --constraint constraints.txt
DEMO   := examples/two-triads-one-chord.yaml

.PHONY: demo test tests lint coverage docs studio listen bench mutants soak licences lock sbom sdist clean

demo: $(VENV)/.ready
	$(BIN)/lickwright build $(DEMO) -o out

# One run of the tests and the linters beside it; the browser and the demo have one process each.
test: $(VENV)/.ready-test
	@$(MAKE) --no-print-directory --jobs 2 --output-sync=target tests lint

tests: $(VENV)/.ready-test
	$(BIN)/pytest -n 2 --dist loadgroup

lint: $(VENV)/.ready-test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

coverage: $(VENV)/.ready-test # lines and branches; shown by floor, and line by line in coverage/
	$(BIN)/pytest -n 2 --dist loadgroup --cov --cov-report=html --cov-report=
	$(BIN)/python tools/coverage_of_floors.py

docs: $(VENV)/.ready-test # pages of the API, made from the docstrings, into api/
	$(BIN)/python tools/api_pages.py api

studio: $(VENV)/.ready
	$(BIN)/lickwright studio examples

# A page with examples before and after: make listen BEFORE=v1.0 (a commit, a tag or a branch)
listen: $(VENV)/.ready
	if [ -n "$(BEFORE)" ]; then rm -rf listen/.before && mkdir -p listen/.before && \
	  git archive $(BEFORE) src | tar -x -C listen/.before; fi
	$(BIN)/python tools/listen.py $(if $(BEFORE),--before listen/.before/src)

bench: $(VENV)/.ready-bench
	for name in build harmony hands changes media; do $(BIN)/python bench/$$name.py || exit 1; done
	LICKWRIGHT_WHOLE=1 $(BIN)/pytest tests/theory/test_outside_words.py tests/sound/test_demo_lesson.py

mutants: $(VENV)/.ready-test # docs/mutants.md: small breaks of what carries promises; an hour and more
	$(PIP) --no-build-isolation --no-binary yattag --editable '.[mutants]' # which has no wheel
	nice -n 15 $(BIN)/python tools/mutants.py
	$(BIN)/python tools/mutants.py --page

licences: $(VENV)/.ready-test # docs/licences.md, from the installed packages
	$(BIN)/python tools/licences.py

lock: $(VENV)/.ready-test # every part with the hashes of its wheels, for pip install --require-hashes -r
	$(BIN)/uv pip compile pyproject.toml --extra cluster --extra postgres \
	  --constraint constraints.txt --generate-hashes --universal --only-binary :all: \
	  --no-header --no-annotate --quiet --output-file requirements.lock

sbom: $(VENV)/.ready-test # dist/lickwright.cdx.json (CycloneDX)
	$(BIN)/python tools/sbom.py

sdist: $(VENV)/.ready-test
	$(BIN)/python -m build --sdist --no-isolation

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

$(VENV)/.ready-bench: $(VENV)/.ready-test
	$(PIP) --no-build-isolation --editable '.[test,bench]'
	touch $@

clean:
	rm -rf $(VENV) out listen api coverage .coverage*
