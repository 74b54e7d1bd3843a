"""A zone as laid, in board axes: what the stages hand on before the plan is written."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from .cutplan.modules import Module
from .frame.setout import SetOut
from .layout.courses import Field
from .layout.grid import Grid
from .layout.hatch import Hatch, NoHatch
from .layout.pieces import ButtJoint, LaidPiece
from .plan import Fixing, Joint
from .spec import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidZone:
    """One zone's boards, joints, frame and fixings; `area` alone is in site axes."""

    site: Site
    """The site as its deck alone has it."""
    deck: int = 0
    """Number of its deck."""
    area: BaseGeometry
    field: Field
    pieces: tuple[LaidPiece, ...] = ()
    """The field's boards and those of lift-out panels."""
    edging: tuple[LaidPiece, ...] = ()
    """Border, nosing and divider boards."""
    fascias: tuple[LaidPiece, ...] = ()
    butts: tuple[ButtJoint, ...] = ()
    frame: tuple[SetOut, ...] = ()
    joints: tuple[Joint, ...] = ()
    fixings: tuple[Fixing, ...] = ()
    hatches: tuple[Hatch, ...] = ()
    no_hatches: tuple[NoHatch, ...] = ()
    grid: Grid | None = None
    """The joist lines of a new frame."""
    modules: tuple[Module, ...] = ()
    """The grids that were weighed for it."""

    @property
    def boards(self) -> tuple[LaidPiece, ...]:
        """Everything cut from boards."""
        return (*self.pieces, *self.edging, *self.fascias)
