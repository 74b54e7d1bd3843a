"""Joints and cutting together on four lists of courses, against what no plan goes below.

The lists are ours, made to the words and the lower bounds of a trial whose own data we do not have: (a) 28 courses of
10.0 m; (b) an L round a corner, 52 courses; (c) an angled edge, 60 courses, nearly every length different; (d) 1,000
courses of a boardwalk. Boards of 3660 mm, kerf 4, butt gap 10, and as in the trial room for any number of offcuts. Each
is planned twice, since plans are compared by price: with timber at its price, where a line of doubled joists costs more
than the board that it saves, and with timber so cheap that a line costs a tenth of a board (d: half of one), where
boards count, which the trial counted.
"""

from __future__ import annotations

import math
import time
from collections import defaultdict
from collections.abc import Iterator

from courseline.engine import design
from courseline.engine.effort import Effort
from courseline.engine.plan import Plan
from courseline.engine.site import site_from_table
from courseline.engine.spec import Site

STOCK, BUTT, PITCH = 3660.0, 10.0, 151.0
Ring = list[tuple[float, float]]

TARGETS = {
    "a": (77, "77 on 5 lines"),
    "b": (110, "110 on 7"),
    "c": (123, "124 on 11, thorough 123"),
    "d": (4149, "4169"),
}
"""The trial's lower bound, which these lists share, and what is to be reached."""
EFFORTS: dict[str, tuple[Effort, ...]] = {
    "a": ("quick", "normal"),
    "b": ("quick", "normal", "thorough"),
    "c": ("quick", "normal", "thorough"),
    "d": ("normal",),
}
TIMBER: dict[str, dict[str, float | None]] = {
    "a": {"timber at its price": None, "timber cheap": 0.48},
    "b": {"timber at its price": None, "timber cheap": 0.48},
    "c": {"timber at its price": None, "timber cheap": 0.48},
    "d": {"timber at its price": None, "timber cheap": 0.1},
}
"""Price of a metre of timber; its own is 4.80, and a board costs 33.50, or 31.50 from 100 on."""


FREE = {"clip": 0.0, "starter_clip": 0.0, "edge_clip": 0.0, "screw": 0.0}
"""The trial knew nothing of clips, which come in whole packs and would decide between plans that are nearly alike."""


def _depth(courses: int) -> float:
    return courses * PITCH - 5.0


def _boardwalk() -> Ring:
    """Some 15 m of board, its sides swinging by a metre over 151 m."""
    left = [0, 600, 200, 900, 0, 500, 1100, 300, 700, 100, 0]
    wider = [0, 300, -400, 200, -150, 350, -300, 100, -250, 150, 0]
    along = [_depth(1000) * i / 10 for i in range(11)]
    west = [(float(x), y) for x, y in zip(left, along, strict=True)]
    east = [(x + 15_218.0 + more, y) for (x, y), more in zip(west, wider, strict=True)]
    return [west[0], *east, *west[:0:-1]]


OUTLINES: dict[str, Ring] = {
    "a": [(0, 0), (10_000, 0), (10_000, _depth(28)), (0, _depth(28))],
    "b": [(0, 0), (10_000, 0), (10_000, _depth(20) + 5), (6_300, _depth(20) + 5), (6_300, _depth(52)), (0, _depth(52))],
    "c": [(0, 0), (10_000, 0), (4_950, _depth(60)), (0, _depth(60))],
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


def least(plan: Plan) -> int:
    """Net length of all courses, less the gaps that none can do without, over a board."""
    courses: dict[int, list[float]] = defaultdict(list)
    for piece in plan.pieces:
        courses[piece.course].append(piece.length)
    net = 0.0
    for lengths in courses.values():
        course = sum(lengths) + BUTT * (len(lengths) - 1)
        net += course - BUTT * (math.ceil((course + BUTT) / (STOCK + BUTT)) - 1)
    return math.ceil(net / STOCK)


def course_lists() -> Iterator[str]:
    """One line for each list, price of timber and effort."""
    for name, (bound, target) in TARGETS.items():
        for words, timber in TIMBER[name].items():
            for effort in EFFORTS[name]:
                start = time.perf_counter()
                plan = design(course_list(name, timber), effort)
                taken = time.perf_counter() - start
                if least(plan) != bound:
                    raise ValueError(f"list {name} has the bound {least(plan)}, not {bound}")
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
