# Two commands do everything on a fresh machine: `make site` and `make test`.
PYTHON ?= python3
BOOK   ?= methods
SITE   ?= site
ADDRESS ?= localhost:8000
VENV   := .venv
BIN    := $(VENV)/bin
RUN    := $(VENV)/.run-installed
TEST   := $(VENV)/.test-installed

.PHONY: site serve test bench check clean

site: $(RUN)
	$(BIN)/slowfolio build $(BOOK) --out $(SITE)

serve: $(RUN)
	$(BIN)/slowfolio serve $(BOOK) --address $(ADDRESS)

check: $(TEST)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy -p slowfolio
	$(BIN)/slowfolio check $(BOOK) --strict

# Two runs side by side that take about equally long: the browser with the long computing, and the rest.
test: $(TEST) check
	@$(BIN)/python -m pytest -m "browser or slow" & browser=$$!; \
	$(BIN)/python -m pytest -m "not (browser or slow)"; rest=$$?; \
	wait $$browser && exit $$rest

bench: $(TEST)
	$(BIN)/python -m benchmarks

clean:
	rm -rf $(VENV) $(SITE) .slowfolio-cache build dist screenshots

$(RUN): pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	@touch $@

$(TEST): $(RUN)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[test]'
	@touch $@
