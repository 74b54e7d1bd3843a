"""What tests of the add-on start from."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture
def addon() -> Iterator[None]:
    """An empty file, and the add-on enabled."""
    import courseline
    import session  # it imports bpy

    session.start()
    courseline.register()
    yield
    courseline.unregister()
