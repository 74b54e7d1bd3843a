# Everything a newcomer needs: `make demo`, `make test`. Works with Python 3.11 or 3.13 on the path.

PYTHON ?= $(shell for v in 3.11 3.13; do for p in python$$v python3 python; do \
	"$$p" -c "import sys; sys.exit('%d.%d' % sys.version_info[:2] != '$$v')" 2>/dev/null && echo $$p && break 2; done; done)
VENV ?= .venv
BIN := $(VENV)/bin
SCENE := demo_scenes/long_house.toml
OUT := out
TYPES := .venv-types

.PHONY: demo test long fast lint types-addon extension bench clean

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
	$(BIN)/python -m pytest -q -n auto -m "not long" tests/blender

long: $(VENV)/.ready
	$(BIN)/python -m pytest -q -m long

fast: $(VENV)/.ready
	$(BIN)/python -m pytest -q -n auto

lint: $(VENV)/.ready .typecheck/courseline/__init__.py
	$(BIN)/ruff check .
	MYPYPATH=.typecheck $(BIN)/mypy -p courseline.engine -p courseline.command_line

# The add-on with the engine inside it, as the extension has them.
types-addon: $(TYPES)/.ready
	@mkdir -p $(TYPES)/path/courseline
	@for part in blender_addon/*.py blender_addon/*/; do ln -sfn "../../../$${part%/}" $(TYPES)/path/courseline/; done
	@ln -sfn ../../../engine $(TYPES)/path/courseline/engine
	MYPYPATH=$(TYPES)/path $(TYPES)/bin/mypy --config-file .ci/types_addon.ini -p courseline

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

# Stubs of Blender's API in place of Blender.
$(TYPES)/.ready: pyproject.toml
	$(PYTHON) -m venv $(TYPES)
	$(TYPES)/bin/python -m pip install -q "fake-bpy-module-4.5==20260730" "mypy>=1.11" numpy shapely msgspec astral rich
	@touch $@

# The two source folders under the names that they are imported by, for the type checker.
.typecheck/courseline/__init__.py:
	@mkdir -p .typecheck/courseline
	@ln -sfn ../../engine .typecheck/courseline/engine
	@ln -sfn ../../blender_addon/command_line .typecheck/courseline/command_line
	@touch $@

clean:
	rm -rf $(VENV) $(TYPES) .typecheck $(OUT) dist
