"""Room for boards that grow in the sun.

A board lengthens by ``expansion * length * warming``. It is held near its middle and slides in its clips, so half
of that shows at either end: a butt joint must take half of what each of its two boards grows, a wall half of one.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..layout.pieces import ButtJoint, LaidPiece
from ..plan import Check
from ..spec import Site

SOURCE = "free length change, alpha L dT"


def growth(length: float, expansion: float, warming: float) -> float:
    """How much a free board lengthens [mm].

    Parameters
    ----------
    length : float
        Its length when laid [mm].
    expansion : float
        Coefficient of linear expansion [1/K].
    warming : float
        Hottest surface less the temperature at laying [K].
    """
    return length * expansion * warming


def heat_checks(site: Site, pieces: Sequence[LaidPiece], joints: Sequence[ButtJoint]) -> list[Check]:
    """Whether butt gaps, and the gap at walls, stay open on the hottest day."""
    lengths = {piece.id: piece.length for piece in pieces}
    pairs = [(lengths[joint.left] + lengths[joint.right]) / 2 for joint in joints]
    longest = max(lengths.values(), default=0.0)
    checks = []
    if pairs:
        checks.append(_open_gap(site, "butt gap", "at butt joints", max(pairs), site.gaps.butt))
    if site.deck.house_edges:
        checks.append(_open_gap(site, "wall gap", "at the wall", longest / 2, site.gaps.wall))
    return checks


def _open_gap(site: Site, name: str, where: str, length: float, gap: float) -> Check:
    gaps = site.gaps
    need = round(growth(length, site.boards.expansion, max(0.0, gaps.hottest - gaps.laid_at)), 2)
    text = (
        f"laid at {gaps.laid_at:g} °C and heated to {gaps.hottest:g} °C, boards close {need:.1f} mm of the gap {where}"
    )
    if need > gap:
        text += f", which is {gap:g} mm: leave {need:.1f} mm, or lay shorter boards"
    return Check(name, SOURCE, need, gap, "mm", need <= gap, text)
