"""What holds for every test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from courseline.command_line import commands
from courseline.engine.cutplan import exact
from courseline.engine.papers import sheet as sheets
from courseline.engine.scene.shots import Shot

Progress = Callable[[float, str], None]


@pytest.fixture(autouse=True, scope="session")
def no_verdict_hangs_on_a_busy_machine() -> Iterator[None]:
    """Exact cutting ends where its rounds end, not where its clock does."""
    before = dict(exact.LIMITS)
    for effort, limits in before.items():
        exact.LIMITS[effort] = replace(limits, seconds=600.0)
    yield
    exact.LIMITS.update(before)


@pytest.fixture
def painted(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """Small flat pictures in place of renders; what each was asked for.

    `commands._studio` is the seam behind which Blender stands.
    """
    image = pytest.importorskip("PIL.Image")
    asked: list[dict[str, Any]] = []

    def picture(
        model: Any,
        out_png: Path,
        out_blend: Path | None = None,
        quality: str = "draft",
        progress: Progress | None = None,
    ) -> None:
        pictures([Shot(model, out_png, out_blend)], quality, progress)

    def pictures(shots: list[Shot], quality: str = "draft", progress: Progress | None = None) -> None:
        for number, shot in enumerate(shots, start=1):
            asked.append({"model": shot.model, "shot": shot, "quality": quality, "of": len(shots)})
            for path, size in ((shot.picture, (96, 54)), (shot.close_up, (60, 40))):
                if path is not None:
                    path.parent.mkdir(parents=True, exist_ok=True)
                    image.new("RGB", size, (40 * len(asked), 90, 60)).save(path)
            if shot.blend is not None:
                shot.blend.write_bytes(b"BLENDER")
            if progress is not None:
                progress(number / len(shots), "done")

    studio = SimpleNamespace(picture=picture, pictures=pictures)
    monkeypatch.setattr(sheets, "PICTURE_WIDTH", 192)
    monkeypatch.setattr(commands, "_studio", lambda: studio)
    monkeypatch.setattr(commands, "_need_blender", lambda: None)
    return asked
