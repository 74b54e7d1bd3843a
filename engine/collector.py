"""Python's search for unreachable cycles, put off while records are made."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """Keep the collector from running.

    Plans and scenes are many records, none of which can reach itself: searching them for cycles again and again finds
    nothing and takes a fifth of the time of a live edit, more beside a large file in Blender.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()
