"""Everything under 'What always holds' is true of every demo scene, of hard sites and of generated ones."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from checker import check_plan
from courseline.engine import design, plan_json, read_site
from courseline.engine.site import site_from_table
from generated_sites import HARD_SITES, generated_site, to_toml
from shares import shares

DEMO_SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))
"""Generated sites in a quick run, and in the full one that `make test` makes."""


def faults(site_file: Path) -> list[str]:
    plan = json.loads(plan_json(design(read_site(site_file))))
    return [str(fault) for fault in check_plan(plan)]


def written(site: dict[str, Any], folder: Path) -> Path:
    file = folder / "site.toml"
    file.write_text(to_toml(site), encoding="utf-8")
    return file


def test_generated_sites_are_written_as_they_are() -> None:
    for number in range(20):
        site = generated_site(number)
        assert tomllib.loads(to_toml(site)) == json.loads(json.dumps(site))


@pytest.mark.slow
def test_pieces_without_support_are_rare() -> None:
    # The checker excuses a piece that `checks` names as lacking support; that must stay the odd corner, not a habit.
    named = pieces = 0
    for number in range(0, 60, 3):
        plan = design(site_from_table(generated_site(number)))
        pieces += len(plan.pieces)
        named += sum(check.id.startswith("support ") for check in plan.checks)
    assert named <= 0.005 * pieces


@pytest.mark.slow
@pytest.mark.parametrize("scene", DEMO_SCENES, ids=lambda path: path.stem)
def test_demo_scene_holds(scene: Path) -> None:
    assert faults(scene) == []


@pytest.mark.slow
@pytest.mark.parametrize("make", HARD_SITES, ids=lambda make: make.__name__)
def test_hard_site_holds(make: Callable[[], dict[str, Any]], tmp_path: Path) -> None:
    assert faults(written(make(), tmp_path)) == []


@pytest.mark.slow
@pytest.mark.parametrize("number", shares(500, fast=8, tested=50))
def test_generated_site_holds(number: int, tmp_path: Path) -> None:
    assert faults(written(generated_site(number), tmp_path)) == []
