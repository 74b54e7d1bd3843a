# Everything a newcomer needs: `make demo`, `make test`. Works with Python 3.11 or 3.13 on the path.

PYTHON ?= $(shell for v in 3.11 3.13; do for p in python$$v python3 python; do \
	"$$p" -c "import sys; sys.exit('%d.%d' % sys.version_info[:2] != '$$v')" 2>/dev/null && echo $$p && break 2; done; done)
VENV ?= .venv
BIN := $(VENV)/bin
SCENE := demo_scenes/long_house.toml
OUT := out

.PHONY: demo test long fast lint extension bench clean

demo: $(VENV)/.ready
	$(BIN)/courseline plan $(SCENE) --out $(OUT)
	$(BIN)/courseline compare $(SCENE) --out $(OUT) --vary side
	@echo
	@echo "Plan:             $(OUT)/plan.json"
	@echo "Takeoff:          $(OUT)/takeoff.csv"
	@echo "Comparison sheet: $(OUT)/long_house-side.png"
	@echo "Each choice:      $(OUT)/side-grain/ and $(OUT)/side-grooved/ (picture, .blend, plan)"

test: lint
	$(BIN)/python -m pytest -q -n auto -m "not long" --ignore=tests/blender
	$(BIN)/python -m pytest -q -m "not long" tests/blender

long: $(VENV)/.ready
	$(BIN)/python -m pytest -q -m long

fast: $(VENV)/.ready
	$(BIN)/python -m pytest -q -n auto

lint: $(VENV)/.ready .typecheck/courseline/__init__.py
	$(BIN)/ruff check .
	MYPYPATH=.typecheck $(BIN)/mypy -p courseline.engine -p courseline.command_line

extension: $(VENV)/.ready
	$(BIN)/python .ci/make_extension.py

bench: $(VENV)/.ready
	$(BIN)/python -m tests.benchmarks

$(VENV)/.ready: pyproject.toml
	@test -n "$(PYTHON)" || { echo "courseline needs Python 3.11 or 3.13 on the path"; exit 2; }
	@echo "Setting up $(VENV) with $(PYTHON). Blender's Python module is fetched once: about 350 MB."
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install -q --upgrade pip
	$(BIN)/python -m pip install -q -e ".[render,test]"
	@touch $@

# The two source folders under the names that they are imported by, for the type checker.
.typecheck/courseline/__init__.py:
	@mkdir -p .typecheck/courseline
	@ln -sfn ../../engine .typecheck/courseline/engine
	@ln -sfn ../../blender_addon/command_line .typecheck/courseline/command_line
	@touch $@

clean:
	rm -rf $(VENV) .typecheck $(OUT) dist
