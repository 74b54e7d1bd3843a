"""What a long search is at, told to whoever listens: a line of words, and nothing where no one does."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_listener: ContextVar[Callable[[str], None] | None] = ContextVar("listener", default=None)


@contextmanager
def listening(to: Callable[[str], None]) -> Iterator[None]:
    """Have all that is told within the block passed on."""
    token = _listener.set(to)
    try:
        yield
    finally:
        _listener.reset(token)


def tell(text: str) -> None:
    """Tell what is being done."""
    to = _listener.get()
    if to is not None:
        to(text)
