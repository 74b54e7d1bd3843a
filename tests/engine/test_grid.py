"""How far apart joists stand: the module, even bays, or as the file says."""

from __future__ import annotations

import math

import pytest
from courseline.engine import SiteError, design
from courseline.engine.plan import Check, Plan
from courseline.engine.spec import Site
from rectangles import rectangle_site

LENGTH, DEPTH = 9_500.0, 2_000.0


def site(centres: object, **frame: object) -> Site:
    return rectangle_site(LENGTH, DEPTH, frame={"centres": centres, **frame})


def lines(plan: Plan) -> list[float]:
    """Where plain and doubled joists stand, pairs told as one place between them."""
    at = sorted({round(m.start[0], 1) for m in plan.members if m.role in ("joist", "double")})
    breadth = plan.site.frame.section[0]
    joined = [at[0]]
    for place in at[1:]:
        if place - joined[-1] > breadth + 1.0:
            joined.append(place)
        else:
            joined[-1] = (joined[-1] + place) / 2
    return joined


def module_check(plan: Plan) -> Check:
    (check,) = (check for check in plan.checks if check.id.startswith("joist module"))
    return check


def test_a_bay_of_the_module_is_a_whole_part_of_board_and_gap() -> None:
    plan = design(site("module"))
    board = max(plan.site.boards.lengths) + plan.site.gaps.butt
    bays = math.ceil(board / plan.site.frame.max_centres)
    spacing = [b - a for a, b in zip(lines(plan), lines(plan)[1:], strict=False)]
    assert sorted(spacing)[len(spacing) // 2] == pytest.approx(board / bays, abs=0.2)
    assert f"a full board in {bays} bays" in module_check(plan).message


def test_even_bays_are_all_alike() -> None:
    plan = design(site("even"))
    breadth, limit = plan.site.frame.section[0], plan.site.frame.max_centres
    even = (LENGTH - breadth) / math.ceil((LENGTH - breadth) / limit)
    spacing = [b - a for a, b in zip(lines(plan), lines(plan)[1:], strict=False)]
    assert len([s for s in spacing if abs(s - even) < 1.0]) >= len(spacing) - 2


def test_a_spacing_that_is_given_is_kept() -> None:
    plan = design(site(312.5))
    spacing = [b - a for a, b in zip(lines(plan), lines(plan)[1:], strict=False)]
    assert sorted(spacing)[len(spacing) // 2] == pytest.approx(312.5, abs=0.2)
    assert "full boards do not end on a joist" in module_check(plan).message


@pytest.mark.slow
def test_what_other_modules_come_to_is_told_when_there_is_time() -> None:
    said = module_check(design(site("module"), "normal")).message
    assert "at a first look" in said
    assert "of joist" in said


@pytest.mark.parametrize(
    ("centres", "message"),
    [
        (900, r"frame.centres: 900 mm; from 94 mm to frame.max_centres, 400 mm, or 'module' or 'even'"),
        (50, r"frame.centres: 50 mm; from 94 mm"),
        ("modul", "frame.centres: 'modul'; did you mean 'module'"),
        ("close", "frame.centres: 'close'; write 'even' or 'module'"),
    ],
)
def test_what_is_no_spacing_is_refused(centres: object, message: str) -> None:
    with pytest.raises(SiteError, match=message):
        site(centres, max_centres=400)


@pytest.mark.slow
def test_28_courses_of_10_m_waste_less_on_the_module_than_on_joists_at_350() -> None:
    # An independent trial on these courses (boards of 3660 mm, butt gap 10, kerf 4): 77 boards on the module of
    # 333.6 mm and 82 on the best grid of 350 mm, which lies where it may there; it cuts in one way, and we in the best.
    depth = 28 * 151.0 - 5.0

    def boards(centres: object) -> int:
        tables = {
            "boards": {"product": "broad-146", "lengths": [3660.0]},
            "gaps": {"butt": 10.0, "course": 5.0},
            "pattern": {"kerf": 4.0},
            "frame": {"max_centres": 350.0, "centres": centres},
        }
        return design(rectangle_site(10_000.0, depth, **tables), "normal").bounds[0].stock_used

    assert boards("module") == 77
    assert 77 < boards(350.0) <= 82
