"""Files that belong together: all of them arrive, or none."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from ..engine.errors import SiteError


@contextmanager
def staged(out: Path) -> Iterator[Path]:
    """Give a folder to write in, whose files move into `out` once all are there.

    A comparison that is stopped or fails half way leaves what was in `out` as it was: no new picture stands there
    beside an old sheet. Files of the same name are replaced, others stay.

    Raises
    ------
    SiteError
        If `out` cannot be written.
    """
    fresh = not out.exists()
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".comparing-", dir=out) as name:
            folder = Path(name)
            yield folder
            for file in sorted(path for path in folder.rglob("*") if path.is_file()):
                target = out / file.relative_to(folder)
                target.parent.mkdir(parents=True, exist_ok=True)
                file.replace(target)
    except OSError as fault:
        raise SiteError("output", out, f"cannot be written ({fault.strerror})") from fault
    finally:
        if fresh:
            with suppress(OSError):  # it holds what was made, or was not made itself
                out.rmdir()
