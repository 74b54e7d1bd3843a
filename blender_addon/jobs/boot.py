"""Runs in a Blender without a window: finds the add-on as its parent had it, and does one job."""

import importlib
import importlib.util
import json
import sys
from pathlib import Path


def main(request: str) -> None:
    """Do what a request file asks for."""
    told = json.loads(Path(request).read_text("utf-8"))
    sys.path += [path for path in told["paths"] if path not in sys.path]
    if told["package"]:
        root = Path(told["package"])
        spec = importlib.util.spec_from_file_location(
            "courseline", root / "__init__.py", submodule_search_locations=[str(root)]
        )
        package = importlib.util.module_from_spec(spec)
        sys.modules["courseline"] = package
        spec.loader.exec_module(package)
    importlib.import_module("courseline.jobs.work").do(told["kind"], told["asked"], Path(told["folder"]))


if __name__ == "__main__":
    main(sys.argv[-1])
