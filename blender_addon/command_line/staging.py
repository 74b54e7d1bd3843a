"""Files that belong together: all of them arrive, or none."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from ..engine.errors import SiteError
from .stopping import stoppable


@contextmanager
def staged(out: Path, stopped: Callable[[], None]) -> Iterator[Path]:
    """Give a folder to write in, whose files move into `out` once all are there.

    What is stopped or fails half way leaves `out` as it was: no new picture stands there beside an old plan. Files of
    the same name are replaced, others stay. Ctrl-C stops it even while Blender renders; `stopped` is called then.

    Raises
    ------
    SiteError
        If `out` cannot be written.
    """
    fresh = not out.exists()
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".making-", dir=out) as name:
            folder = Path(name)

            def clean() -> None:
                shutil.rmtree(folder, ignore_errors=True)
                _remove_empty(out, fresh)
                stopped()

            with stoppable(clean):
                yield folder
            for file in sorted(path for path in folder.rglob("*") if path.is_file()):
                target = out / file.relative_to(folder)
                target.parent.mkdir(parents=True, exist_ok=True)
                file.replace(target)
    except OSError as fault:
        raise SiteError("output", out, f"cannot be written ({fault.strerror})") from fault
    finally:
        _remove_empty(out, fresh)


def _remove_empty(folder: Path, fresh: bool) -> None:
    if fresh:
        with suppress(OSError):  # it holds what was made, or was not made itself
            folder.rmdir()
