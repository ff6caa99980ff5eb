# Everything here only starts Python: it works with make 3.81 and no GNU tools.
PYTHON ?= python3
PY = .venv/bin/python
HOST ?= 127.0.0.1
PORT ?= 8000
WORKERS ?= 2
# Python keeps what it compiled, whatever the surroundings say: tests start it hundreds of times.
export PYTHONDONTWRITEBYTECODE =

.DEFAULT_GOAL := help
.PHONY: help setup setup-dev run quick test long metrics archive bench screens faults stories lint types compiled vendor vendor-check clean

help: ## Show what can be made
	@$(PYTHON) -c "import re; [print('make %-13s %s' % m) for m in re.findall(r'^([a-z-]+):.*?## (.*)', open('Makefile').read(), re.M)]"

setup: ## Set up what running needs (.venv)
	@$(PYTHON) app/setup.py

setup-dev: ## Set up what testing needs (.venv)
	@$(PYTHON) app/setup.py --dev

run: setup ## Serve, with a demo company when the database is new (HOST= PORT=)
	@$(PY) -m app.cli serve --demo-when-new --host $(HOST) --port $(PORT)

quick: setup-dev ## Run the core's tests and those of what you changed, within a minute
	@$(PY) -m tests.quick

test: setup-dev ## Run every check and test but the long ones (WORKERS=)
	@$(PY) -m tests.browser.setup
	@$(PY) -m tests.store.postgres
	@$(MAKE) -j 2 types lint vendor-check compiled
	@$(PY) -m pytest -n $(WORKERS) --dist loadfile --no-loadscope-reorder

long: setup-dev ## Run what takes longer: long tests, schedules and stories of chance
	@$(PY) -m tests.browser.setup
	@$(PY) -m tests.firefox.setup
	@$(PY) -m tests.store.postgres
	@$(PY) -m tests.long

metrics: setup-dev ## Print the shape of the code: names, functions, files, comments, by folder
	@$(PY) -m tests.metrics

bench: setup-dev ## Print speed and size (measures, asserts nothing); make bench walk: one of them
	@$(PY) -m tests.bench $(BENCHES)

# What is named after "bench" is a bench, and nothing to be made.
BENCHES = $(filter-out bench,$(MAKECMDGOALS))
ifeq (bench,$(firstword $(MAKECMDGOALS)))
.PHONY: $(BENCHES)
$(BENCHES):
	@:
endif

screens: setup-dev ## Take pictures of every page: widths, themes, languages, into build/screens (PAGES=)
	@$(PY) -m tests.screens $(PAGES)

faults: setup-dev ## Run N schedules of chance on two phones and an office (N= SEED=)
	@$(PY) -m tests.faults.random $(or $(N),200) $(if $(SEED),--seed $(SEED))

stories: setup-dev ## Play N stories of chance, from issue to record (N= SEED=)
	@$(PY) -m tests.stories $(or $(N),40) $(if $(SEED),--seed $(SEED))

archive: setup-dev ## Make the archive's files anew (before the first release only)
	@$(PY) -m tests.archive.make

lint: setup-dev ## Check the style
	@$(PY) -m ruff check .
	@$(PY) -m ruff format --check app tests migrations

compiled: setup-dev ## Compile the tests' modules, for the workers of make test
	@$(PY) -m tests.compiled

types: setup-dev ## Check the types
	@$(PY) -m mypy

vendor: ## Make the vendored files anew from their packages (needs npm)
	@$(PYTHON) static/vendor/vendor.py

vendor-check: ## Compare the vendored files with their table of hashes
	@$(PYTHON) static/vendor/vendor.py --check --offline

clean: ## Remove what set-up and tests made (the data stay)
	@$(PYTHON) -c "import shutil; [shutil.rmtree(p, ignore_errors=True) for p in ('.venv', '.mypy_cache', '.ruff_cache', '.pytest_cache', '.hypothesis')]"
