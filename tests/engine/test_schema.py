"""The JSON Schemas say what the reader and the writer do."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from courseline.engine import design, plan_json, read_site
from courseline.engine.schema import plan_schema, site_schema
from jsonschema import Draft202012Validator
from rectangles import rectangle

DEMO_SCENES = sorted((Path(__file__).parents[2] / "demo_scenes").glob("*.toml"))
ONE_WALL = next(path for path in DEMO_SCENES if path.stem == "one_wall")


def faults(schema: dict[str, Any], content: Any) -> list[str]:
    Draft202012Validator.check_schema(schema)
    return [f"{fault.json_path}: {fault.message}" for fault in Draft202012Validator(schema).iter_errors(content)]


def one_wall() -> dict[str, Any]:
    return tomllib.loads(ONE_WALL.read_text(encoding="utf-8"))


@pytest.mark.slow
@pytest.mark.parametrize("scene", DEMO_SCENES, ids=lambda path: path.stem)
def test_demo_scene_and_its_plan_meet_their_schemas(scene: Path) -> None:
    assert faults(site_schema(), tomllib.loads(scene.read_text(encoding="utf-8"))) == []
    assert faults(plan_schema(), json.loads(plan_json(design(read_site(scene))))) == []


@pytest.mark.slow
@pytest.mark.parametrize("table", ["boards", "deck", "gaps", "frame", "look"])
def test_typo_in_a_key_does_not_meet_the_schema(table: str) -> None:
    site = one_wall()
    site[table]["widht"] = 140
    (fault,) = faults(site_schema(), site)
    assert fault.startswith(f"$.{table}")
    assert "'widht' was unexpected" in fault


@pytest.mark.slow
def test_length_may_be_text_with_its_unit() -> None:
    site = one_wall() | {"boards": {"width": "5 1/2 in"}}
    assert faults(site_schema(), site) == []


@pytest.mark.slow
@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("boards", "width", -140),
        ("boards", "side", "grian"),
        ("boards", "colour", "red"),
        ("boards", "lengths", []),
        ("deck", "outline", [[0, 0], [1, 1]]),
        ("deck", "start_edge", -1),
        ("pattern", "joints", "quarter"),
        ("prices", "currency", "pounds"),
    ],
)
def test_value_that_the_reader_refuses_does_not_meet_the_schema(table: str, key: str, value: Any) -> None:
    site = one_wall()
    site.setdefault(table, {})[key] = value
    assert len(faults(site_schema(), site)) == 1


@pytest.mark.slow
@pytest.mark.parametrize("key", ["schema", "name", "deck"])
def test_required_key_is_required(key: str) -> None:
    site = one_wall()
    del site[key]
    assert faults(site_schema(), site) == [f"$: '{key}' is a required property"]


@pytest.mark.slow
def test_plan_with_a_spoilt_piece_does_not_meet_the_schema() -> None:
    plan = json.loads(plan_json(rectangle(4000, 1445)))
    plan["pieces"][0]["kind"] = "plank"
    assert len(faults(plan_schema(), plan)) == 1


@pytest.mark.slow
def test_price_is_a_number_in_the_plan() -> None:
    plan = json.loads(plan_json(rectangle(4000, 1445)))
    plan["takeoff"][0]["price"] = "300.00"
    assert len(faults(plan_schema(), plan)) == 1
