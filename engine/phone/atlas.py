"""One picture for all boards: strips of several boards, their edges, the walls of their gaps, and a sawn end.

No viewer on a phone knows our grain, and a picture for every board would weigh too much. So a few boards are pictured
in their whole length, one above the other, and each board of the deck takes the part of one of them that its own place
along its stock board gives: pieces of one stock board show one grain, as they do in the scene.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ..plan import Area
from ..scene.board_mesh import JoinedBoards, join_boards, randoms
from ..scene.model import BoardShape
from ..spec import Side

Array = npt.NDArray[np.float64]

SKIN = "boards"
"""Key of the skin that shows the atlas."""
PIXELS = (2048, 1024)
"""Of the atlas: about a millimetre across a board, two or three along it (ours)."""
STRIPS = 6
"""Boards pictured (ours: fewer, and the eye finds the same board twice)."""
INSET = 1.0
"""Pixels left out along a band, so that none of the next one bleeds in (ours)."""
EDGE, GAP, END = "edge", "gap", "end"


@dataclass(frozen=True, slots=True)
class Atlas:
    """Where on the picture what lies; bands run along u, each above the one before.

    `reach` is the length of board that the picture's width shows, `width` and `thickness` are the boards' own [mm].
    """

    faces: tuple[Side, ...]
    reach: float
    width: float
    thickness: float

    @property
    def height(self) -> float:
        """What the picture's height shows [mm]."""
        return STRIPS * self.width + 3 * self.thickness

    def strips_of(self, face: Side) -> list[int]:
        """Give the numbers of the strips that show a face."""
        return [number for number in range(STRIPS) if self.faces[number % len(self.faces)] == face]

    def band(self, name: str | int) -> tuple[float, float]:
        """Give where a strip, or the band of an edge, a gap or an end, lies in the picture's height [mm]."""
        if isinstance(name, int):
            return name * self.width, (name + 1) * self.width
        low = STRIPS * self.width + (EDGE, GAP, END).index(name) * self.thickness
        return low, low + self.thickness


@dataclass(frozen=True, slots=True, eq=False)
class Swatches:
    """Boards to be pictured from above (+z), over a rectangle `reach` by `height` from the origin.

    Arrays as in `JoinedBoards`, but `randoms` and `across` for each face, with the key of its material: `board grain`,
    `board grooved` or `board end`.
    """

    vertices: Array
    board_co: Array
    corners: npt.NDArray[np.int32]
    is_open: npt.NDArray[np.bool_]
    randoms: Array
    across: Array
    keys: tuple[str, ...]


def atlas_for(boards: Sequence[BoardShape], joined: JoinedBoards) -> Atlas:
    """Lay out the atlas of some boards, of which there is at least one."""
    return Atlas(
        faces=tuple(sorted({board.face for board in boards})),
        reach=float(joined.board_co[:, 0].max()),
        width=boards[0].width,
        thickness=boards[0].thickness,
    )


def board_uv(atlas: Atlas, boards: Sequence[BoardShape], joined: JoinedBoards) -> Array:
    """Say where on the atlas each corner of some boards lies, (corners, 2).

    Parameters
    ----------
    atlas : Atlas
    boards : sequence of BoardShape
    joined : JoinedBoards
        The same boards, under a flat top.
    """
    of_corner = np.repeat(np.arange(len(joined.corners)), joined.corners)
    starts = np.cumsum(joined.corners) - joined.corners
    up = joined.board_co[:, 2]
    is_top = np.maximum.reduceat(-up, starts) < 1e-6 if len(starts) else np.zeros(0, np.bool_)
    strips = np.array([_strip_of(atlas, board) for board in boards])[joined.piece]
    bands = np.array([atlas.band(number) for number in range(STRIPS)] + [atlas.band(each) for each in (EDGE, GAP, END)])
    side = np.where(joined.is_end, STRIPS + 2, np.where(joined.is_open, STRIPS, STRIPS + 1))
    low, high = bands[np.where(is_top, strips, side)[of_corner]].T
    share = np.where(
        is_top[of_corner], joined.board_co[:, 1] / atlas.width + 0.5, np.clip(up / atlas.thickness + 1.0, 0.0, 1.0)
    )
    inset = INSET * atlas.height / PIXELS[1]
    # A cut end runs across: its few centimetres are taken from the beginning of its band.
    along = np.where(joined.is_end[of_corner], joined.board_co[:, 1] + atlas.width / 2, joined.board_co[:, 0])
    v = low + inset + (high - low - 2 * inset) * np.clip(share, 0.0, 1.0)
    return np.column_stack([np.clip(along / atlas.reach, 0.0, 1.0), v / atlas.height])


def swatches(atlas: Atlas) -> Swatches:
    """Lay out what the atlas is a picture of."""
    half, reach = atlas.width / 2, atlas.reach
    outline = Area(((0.0, -half), (reach, -half), (reach, half), (0.0, half)))
    shapes = [
        BoardShape(
            id=f"strip {number}", stock=f"strip {number}", product="", face=atlas.faces[number % len(atlas.faces)],
            origin=(0.0, sum(atlas.band(number)) / 2, 0.0), angle=0.0, polygon=outline, width=atlas.width,
            thickness=atlas.thickness, from_end=0.0,
        )
        for number in range(STRIPS)
    ]  # fmt: skip
    strips = join_boards(shapes)
    bands = [_flat_band(atlas, name) for name in (EDGE, GAP, END)]
    face = f"board {atlas.faces[0]}"
    return Swatches(
        vertices=np.concatenate([strips.vertices, *(vertices for vertices, _ in bands)]),
        board_co=np.concatenate([strips.board_co, *(coordinates for _, coordinates in bands)]),
        corners=np.concatenate([strips.corners, np.full(3, 4, np.int32)]),
        is_open=np.concatenate([strips.is_open, [True, False, False]]),
        randoms=np.concatenate([_even_tones()[strips.piece], np.full((3, 3), 0.5)]),
        across=np.concatenate([strips.across[strips.piece], np.tile([0.0, 1.0, 0.0], (3, 1))]),
        keys=(*(f"board {shapes[number].face}" for number in strips.piece), face, face, "board end"),
    )


def _strip_of(atlas: Atlas, board: BoardShape) -> int:
    strips = atlas.strips_of(board.face)
    return strips[int(randoms(board.stock or board.id)[0] * len(strips))]


def _even_tones() -> Array:
    """Give each strip its randoms: spread evenly about the middle, since their mean is the colour that is asked for."""
    steps = (np.arange(STRIPS) + 0.5) / STRIPS
    return np.column_stack([steps, steps[(5 * np.arange(STRIPS) + 2) % STRIPS], np.full(STRIPS, 0.5)])


def _flat_band(atlas: Atlas, name: str) -> tuple[Array, Array]:
    """Lay the side of a board flat, seen from above; a board's own coordinates on it are those of its side."""
    low, high = atlas.band(name)
    corners = np.array([(0.0, low, 0.0), (atlas.reach, low, 0.0), (atlas.reach, high, 0.0), (0.0, high, 0.0)])
    middle = np.full(4, atlas.width / 2)
    return corners, np.column_stack([corners[:, 0], middle, corners[:, 1] - high])
