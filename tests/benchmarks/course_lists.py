"""Joints and cutting together on four lists of courses, against what no plan goes below.

The lists are made to the words and the figures of a trial whose own data we do not have: (a) 28 courses of 10.0 m;
(b) an L round a corner, 52 courses; (c) an angled edge, 60 courses, nearly every length different; (d) 1,000 courses of
a boardwalk. Each has the trial's lower bound, and takes as many boards as the trial's where every course begins with a
full board and offcuts are thrown away; few shapes of round measures do, and (b) takes as many by habit as well. Boards
of 3660 mm, kerf 4, butt gap 10, and as in the trial room for any number of offcuts. Each is planned twice, since plans
are compared by price: with timber at its price, where a line of doubled joists costs more than the board that it saves,
and with timber so cheap that it costs a part of one, where boards count, which the trial counted.
"""

from __future__ import annotations

import math
import time
from collections import defaultdict
from collections.abc import Iterator

import numpy as np
from courseline.engine import design
from courseline.engine.effort import Effort
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site

STOCK, BUTT, PITCH = 3660.0, 10.0, 151.0
Ring = list[tuple[float, float]]

TARGETS = {
    "a": (77, 84, "77 on 5 lines"),
    "b": (110, 144, "110 on 7"),
    "c": (123, 151, "124 on 11, thorough 123"),
    "d": (4149, 4610, "4169"),
}
"""The trial's lower bound and its boards where no offcut is used, which these lists share; what is to be reached."""
EFFORTS: dict[str, tuple[Effort, ...]] = {
    "a": ("quick", "normal"),
    "b": ("quick", "normal", "thorough"),
    "c": ("quick", "normal", "thorough"),
    "d": ("normal",),
}
TIMBER: dict[str, dict[str, float | None]] = {
    "a": {"timber at its price": None, "timber cheap": 0.48},
    "b": {"timber at its price": None, "timber cheap": 0.48},
    "c": {"timber at its price": None, "timber cheap": 1.0},
    "d": {"timber at its price": None, "timber cheap": 0.1},
}
"""Price of a metre of timber; its own is 4.80, and a board costs 33.50, or 31.50 from 100 on."""


FREE = {"clip": 0.0, "starter_clip": 0.0, "edge_clip": 0.0, "screw": 0.0}
"""The trial knew nothing of clips, which come in whole packs and would decide between plans that are nearly alike."""


def _depth(courses: int) -> float:
    return courses * PITCH - 5.0


def _boardwalk() -> Ring:
    """14 m wide, and 16 m over three stretches, its sides swinging by a metre over 151 m."""
    swing = [0, 600, 200, 900, 0, 500, 1100, 300, 700, 100, 0]
    widths = [16_010.0, 16_010.0, 14_000.0, 14_000.0, 16_010.0, 16_010.0, 14_000.0, 14_000.0, 16_010.0, 16_010.0]
    changes = [0.0, 0.2, 0.21, 0.399, 0.409, 0.6, 0.61, 0.799, 0.809, 1.0]
    tenths = [k / 10 for k in range(11)]
    places = sorted({*tenths, *changes})
    along = [_depth(1000) * place for place in places]
    west = np.interp(places, tenths, swing)
    east = west + np.interp(places, changes, widths)
    right, left = zip(east.tolist(), along, strict=True), zip(west.tolist(), along, strict=True)
    return [(0.0, 0.0), *right, *reversed([*left][1:])]


OUTLINES: dict[str, Ring] = {
    "a": [(0, 0), (10_000, 0), (10_000, _depth(28)), (0, _depth(28))],
    "b": [(0, 0), (12_000, 0), (12_000, _depth(20) + 5), (5_000, _depth(20) + 5), (5_000, _depth(52)), (0, _depth(52))],
    "c": [(0, 0), (10_940, 0), (3_940, _depth(60)), (0, _depth(60))],
    "d": _boardwalk(),
}


def course_list(name: str, timber: float | None) -> Site:
    """A site of boards alone."""
    return site_from_table(
        {
            "schema": 1,
            "name": name,
            "deck": {"outline": OUTLINES[name], "direction": 0, "start_edge": 0},
            "boards": {"product": "broad-146", "lengths": [STOCK]},
            "gaps": {"butt": BUTT, "course": 5.0},
            "pattern": {"kerf": 4.0, "joints": "half", "kept_offcuts": 1000},
            "frame": {"max_centres": 350.0},
            "prices": FREE | ({} if timber is None else {"timber_metre": timber}),
        }
    )


def least_and_unplanned(plan: Plan) -> tuple[int, int]:
    """Net length of all courses, less the gaps that none can do without, over a board; and full boards for each."""
    courses: dict[int, list[float]] = defaultdict(list)
    for piece in plan.pieces:
        courses[piece.course].append(piece.length)
    net, full = 0.0, 0
    for lengths in courses.values():
        course = sum(lengths) + BUTT * (len(lengths) - 1)
        boards = math.ceil((course + BUTT) / (STOCK + BUTT))
        net += course - BUTT * (boards - 1)
        full += boards
    return math.ceil(net / STOCK), full


def course_lists() -> Iterator[str]:
    """One line for each list, price of timber and effort."""
    for name, (bound, full, target) in TARGETS.items():
        for words, timber in TIMBER[name].items():
            for effort in EFFORTS[name]:
                start = time.perf_counter()
                plan = design(course_list(name, timber), effort)
                taken = time.perf_counter() - start
                if least_and_unplanned(plan) != (bound, full):
                    raise ValueError(f"list {name} takes {least_and_unplanned(plan)} boards, not {bound} and {full}")
                lines = {round(joint.at[0], 1) for joint in plan.joints}
                doubled = sum(member.length for member in plan.members if member.role == "double") / 1000
                own = plan.bounds[0]
                over = 100 * (own.stock_used / bound - 1)
                yield (
                    f"courses ({name}), {words}, {effort}: {own.stock_used} boards on {len(lines)} doubled lines "
                    f"({doubled:.0f} m), {own.price + plan.bounds[1].price} with timber; bound {bound} ({over:.2f} % "
                    f"over), to reach {target}; cutting alone {own.lower_bound} "
                    f"({'proved' if own.proved else 'not proved'}); {taken:.1f} s"
                )
