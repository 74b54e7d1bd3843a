"""Price against waste as a drawing: read back from its own marks, and no two labels over each other."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal
from xml.etree import ElementTree

import pytest
from courseline.engine.options import Figures, Options, Outcome, choices, weigh
from courseline.engine.papers.labels import place
from courseline.engine.papers.options_svg import BOTTOM, HEIGHT, LEFT, LISTED, RADIUS, RIGHT, TOP, WIDTH, options_svg
from courseline.engine.site import site_from_table
from shapely import box

SVG = "{http://www.w3.org/2000/svg}"
SITE = site_from_table(
    {
        "schema": 1,
        "name": 'Fern & Co <"Deck">',
        "deck": {"outline": [[0, 0], [5200, 0], [5200, 1500], [0, 1500]]},
        "prices": {"currency": "EUR", "tax": 0.1},
    }
)
ROOM = (LEFT, TOP, RIGHT, BOTTOM)


def weighed(outcomes: list[Outcome]) -> Options:
    return weigh(SITE, "quick", lambda _, jobs: [outcomes[i % len(outcomes)] for i in range(len(jobs))])


def at_random(seed: int) -> Options:
    chance = random.Random(seed)
    made = []
    for _ in choices(SITE):
        price = Decimal(chance.randint(100_000, 160_000)) / 100
        counts = chance.randint(40, 60), chance.randint(0, 20), chance.randint(0, 300) / 10
        own = Figures(counts[0], chance.randint(20, 200) / 1000, counts[1], counts[2], 100, 700, price)
        made.append(Outcome(own, (("tongue A-1", "A-1 keeps 9 mm"),) if chance.random() < 0.2 else ()))
    return weighed(made)


def drawing(options: Options) -> ElementTree.Element:
    return ElementTree.fromstring(options_svg(options))


def middle(mark: ElementTree.Element) -> tuple[float, float]:
    if mark.tag == f"{SVG}circle":
        return float(mark.attrib["cx"]), float(mark.attrib["cy"])
    x, y, side = (float(mark.attrib[key]) for key in ("x", "y", "width"))
    return x + side / 2, y + side / 2


def points(root: ElementTree.Element) -> list[tuple[float, float]]:
    """Middles of the marks in the frame; those of the key lie beside it."""
    marks = [mark for mark in root if mark.tag in (f"{SVG}circle", f"{SVG}rect") and "stroke" in mark.attrib]
    return [at for at in map(middle, marks) if LEFT <= at[0] <= RIGHT]


@pytest.mark.parametrize("seed", range(4))
def test_every_way_of_its_own_is_a_point_in_its_place(seed: int) -> None:
    options = at_random(seed)
    shown = [row.figures for row in options.different if row.figures]
    found = points(drawing(options))
    assert len(found) == len(shown) > 20
    # Two figures fix each axis, and all others follow.
    shown.sort(key=lambda own: (own.waste, -own.price))
    found.sort(key=lambda at: (at[0], at[1]))
    low, high = shown[0].waste, shown[-1].waste
    for own, (x, _) in zip(shown, found, strict=True):
        share = (own.waste - low) / (high - low)
        assert x == pytest.approx(found[0][0] + share * (found[-1][0] - found[0][0]), abs=0.2)
    shown.sort(key=lambda own: own.price)
    found.sort(key=lambda at: -at[1])
    least, most = shown[0].price, shown[-1].price
    for own, (_, y) in zip(shown, found, strict=True):
        share = float((own.price - least) / (most - least))
        assert y == pytest.approx(found[0][1] + share * (found[-1][1] - found[0][1]), abs=0.2)
    assert all(LEFT < x < RIGHT and TOP < y < BOTTOM for x, y in found)


def test_ways_that_no_other_beats_are_written_out_cheapest_first() -> None:
    options = at_random(1)
    texts = [text.text or "" for text in drawing(options).iter(f"{SVG}text")]
    best = [row for row in options.different if row.unbeaten][:LISTED]
    prices = [f"{row.figures.price:,.2f}" for row in best if row.figures]
    assert (
        [text for text in texts if text in prices] == prices == sorted(prices, key=lambda p: float(p.replace(",", "")))
    )
    assert "price of the whole order with tax, EUR" in texts
    assert f"{len(options.rows)} ways to lay it, each searched with effort quick." in texts


def test_name_with_signs_of_markup_is_text() -> None:
    texts = [text.text for text in drawing(at_random(2)).iter(f"{SVG}text")]
    assert 'Price against waste: Fern & Co <"Deck">' in texts


def test_all_writing_is_on_the_sheet() -> None:
    # No letter of a plain typeface is wider than its height, and on average six tenths of it.
    for text in drawing(at_random(3)).iter(f"{SVG}text"):
        x, y, size = (float(text.attrib[key]) for key in ("x", "y", "font-size"))
        length = 0.6 * size * len(text.text or "")
        start = x - {"start": 0.0, "middle": length / 2, "end": length}[text.attrib["text-anchor"]]
        assert start >= 0
        assert start + length <= WIDTH
        assert size <= y <= HEIGHT


def test_longest_key_is_on_the_sheet() -> None:
    # Every way cheaper than the one before it and more wasteful, so that none beats another; some with faults, some
    # beaten by the first; boards three ways.
    site = replace(SITE, deck=replace(SITE.deck, direction=30.0))
    made = []
    for i in range(len(choices(site))):
        own = Figures(50, 0.05 + i / 1000, 0, 0.0, 100, 700, Decimal(2000 - i))
        worse = replace(own, boards=51, waste=0.9, price=Decimal(3000))
        made.append(Outcome(worse if i % 3 == 1 else own, (("tongue A-1", "a"),) if i % 3 == 2 else ()))
    options = weigh(site, "quick", lambda *_: made)
    assert sum(row.unbeaten for row in options.rows) > LISTED
    root = drawing(options)
    texts = [text.text or "" for text in root.iter(f"{SVG}text")]
    assert [text for text in texts if text.endswith("more, in the table")]
    assert {"hollow: another beats it", "small and grey: a check fails", "boards run at 30°"} <= set(texts)
    assert all(float(text.attrib["y"]) <= HEIGHT - 10 for text in root.iter(f"{SVG}text"))


def test_ways_in_one_place_share_a_label() -> None:
    # The same price and waste; one has fewer joints, the other less doubled joist. A third lies far off.
    one = Figures(50, 0.05, 4, 9.0, 100, 700, Decimal(2000))
    far = replace(one, waste=0.1, price=Decimal(1500))
    root = drawing(weighed([Outcome(one), Outcome(replace(one, joints=5, doubled=8.0)), Outcome(far)]))
    texts = [text.text for text in root.iter(f"{SVG}text") if LEFT <= float(text.attrib["x"]) <= RIGHT]
    assert {"1, 2", "3"} <= set(texts)
    assert not {"1", "2"} & set(texts)


def test_one_way_alone_still_has_two_axes() -> None:
    root = drawing(weighed([Outcome(Figures(10, 0.05, 0, 0.0, 100, 800, Decimal("499.99")))]))
    assert len(points(root)) == 1
    texts = [text.text or "" for text in root.iter(f"{SVG}text")]
    assert len([text for text in texts if text.endswith(" %")]) >= 2


def test_nothing_that_can_be_laid_is_said_in_words() -> None:
    root = drawing(weighed([Outcome(None, (("refused", "no"),))]))
    assert points(root) == []
    assert "None of these ways can be laid." in [text.text for text in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("seed", range(30))
def test_labels_lie_over_no_point_and_no_other_label(seed: int) -> None:
    chance = random.Random(seed)
    # Half of the points lie close together, as those of alike ways do.
    near = chance.uniform(LEFT + 60, RIGHT - 60), chance.uniform(TOP + 60, BOTTOM - 60)
    found = [(chance.uniform(LEFT + 20, RIGHT - 20), chance.uniform(TOP + 20, BOTTOM - 20)) for _ in range(10)]
    found += [(near[0] + chance.uniform(-50, 50), near[1] + chance.uniform(-50, 50)) for _ in range(10)]
    named = [(at, chance.choice(["1", "17", "3 to 5", "1, 3 to 5"])) for at in found[::2]]
    labels = place(named, found[1::2], 13, RADIUS + 2, ROOM)
    assert [label.text for label in labels] == [text for _, text in named]
    taken = [box(x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS) for x, y in found]
    for label in labels:
        own = box(*label.box)
        assert box(*ROOM).buffer(1e-6).contains(own)
        assert all(own.intersection(other).area < 1e-6 for other in taken)
        assert own.area >= 13 * 0.6 * 13 * len(label.text)
        taken.append(own)


def test_label_stands_beside_its_point_where_there_is_room() -> None:
    (label,) = place([((300.0, 300.0), "17")], [], 13, 8, ROOM)
    assert box(*label.box).distance(box(300, 300, 300, 300)) <= 8


@pytest.mark.slow
def test_same_options_are_the_same_drawing() -> None:
    assert options_svg(at_random(0)) == options_svg(at_random(0))
    assert options_svg(at_random(0)) != options_svg(replace(at_random(0), effort="normal"))
