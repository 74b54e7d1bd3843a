"""The order worked out in the background: what the panel shows is what is then written."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest
from courseline.engine import design
from courseline.engine.effort import FOR_AN_ORDER
from courseline.engine.papers.summary import summarise

bpy = pytest.importorskip("bpy")
from courseline import bridge, order, properties  # noqa: E402

pytestmark = pytest.mark.slow

CORNER = Path(__file__).parents[2] / "demo_scenes" / "house_corner.toml"


@pytest.fixture(autouse=True)
def deck(addon: None) -> Iterator[properties.DeckSettings]:
    order._state.found.clear()  # of a session in which others may have written this very order
    bpy.ops.courseline.open_site(filepath=str(CORNER))
    settings = bpy.context.scene.courseline
    settings.around = "deck"
    bpy.ops.courseline.build_deck()
    yield settings
    order._state.found.clear()


def shown(settings: properties.DeckSettings) -> list[tuple[str, str]]:
    return [(figure.name, figure.value) for figure in settings.figures]


def test_the_order_found_is_the_one_that_is_written(deck: properties.DeckSettings, tmp_path: Path) -> None:
    estimate = shown(deck)
    plan = design(bridge.built_site(deck), FOR_AN_ORDER)
    assert estimate != list(summarise(plan).facts())  # else this says nothing
    assert deck.is_estimate
    assert order.found(deck) is None

    job = order.begin(deck.built_site_json)
    job.wait()
    assert job.note == "planning, the saw list"  # the last that it told of its search
    order.take_in()
    known = order.found(deck)
    assert known.figures == list(summarise(plan).facts())
    assert shown(deck) == estimate  # the scene is as it was
    assert not list(Path(bpy.app.tempdir).glob("courseline-order/*"))

    bpy.ops.courseline.write_plan(directory=str(tmp_path))
    assert not deck.is_estimate
    assert shown(deck) == known.figures
    with (tmp_path / "takeoff.csv").open(newline="", encoding="utf-8") as file:
        written = [line for line in csv.reader(file) if line]
    texts = " ".join(cell for line in written for cell in line)
    assert known.rows
    assert all(what in texts for what, _, _ in known.rows)
    assert [(row.name, row.order, row.price) for row in deck.takeoff] == known.rows


def test_another_choice_is_an_estimate_again_and_an_order_begun_is_left_off(deck: properties.DeckSettings) -> None:
    job = order.begin(deck.built_site_json)
    folder = job.folder
    deck.joints = "none"
    order.leave_off()
    assert not folder.exists()
    assert job._process.poll() is not None
    bpy.ops.courseline.build_deck()
    assert deck.is_estimate
    assert order.found(deck) is None
    assert not bpy.app.timers.is_registered(order._tick)


def test_what_cannot_be_worked_out_stays_an_estimate(deck: properties.DeckSettings) -> None:
    key = deck.built_site_json.replace('"schema": 1', '"schema": 99')
    assert key != deck.built_site_json
    order.begin(key).wait()
    order.take_in()
    assert order._state.found == {key: None}
