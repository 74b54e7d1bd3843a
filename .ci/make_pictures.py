"""Makes the README's pictures: every demo scene, grain side left and grooved side right, from every view.

    .venv/bin/python .ci/make_pictures.py [SCENE ...]

Each becomes `demo_scenes/<scene>-views.jpg`; one takes some minutes.
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import get_args

from courseline import render, studio
from courseline.engine import design, read_site
from courseline.engine.effort import FOR_AN_ORDER
from courseline.engine.scene.choices import build_scenes
from courseline.engine.scene.shots import Shot
from courseline.engine.site import with_choices
from courseline.engine.spec import Side, ViewName
from PIL import Image

DEMO = Path(__file__).resolve().parent.parent / "demo_scenes"
WIDTH, HEIGHT, MARGIN = 720, 405, 8
"""Of a picture, and between two [pixels]."""


def main(names: list[str]) -> None:
    """Make the pictures of some scenes, or of all."""
    render.QUALITIES["views"] = render.Quality(WIDTH, HEIGHT, samples=10, noise=0.04)
    for scene in sorted(DEMO.glob("*.toml")):
        if not names or scene.stem in names:
            _views(scene)


def _views(scene: Path) -> None:
    site = read_site(scene)
    models = build_scenes([design(with_choices(site, side=side), FOR_AN_ORDER) for side in get_args(Side)])
    views = get_args(ViewName)
    sheet = Image.new("RGB", (2 * WIDTH + MARGIN, len(views) * (HEIGHT + MARGIN) - MARGIN), "white")
    with tempfile.TemporaryDirectory() as folder:
        shots = [
            Shot(replace(model, view=view), Path(folder) / f"{side} {view}.png")
            for side, model in zip(get_args(Side), models, strict=True)
            for view in views
        ]
        studio.pictures(shots, "views", lambda done, note: print(f"{scene.stem}: {done:4.0%} {note}", file=sys.stderr))
        for number, shot in enumerate(shots):
            place = (number // len(views) * (WIDTH + MARGIN), number % len(views) * (HEIGHT + MARGIN))
            sheet.paste(Image.open(shot.picture), place)
    sheet.save(DEMO / f"{scene.stem}-views.jpg", quality=82, optimize=True)


if __name__ == "__main__":
    main(sys.argv[1:])
