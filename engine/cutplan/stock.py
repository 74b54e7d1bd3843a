"""The cut plan: every piece and every member assigned to the stock it is cut from, in the order in which it is cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_DOWN, Decimal

from ..edge_boards import EDGES, of_edges
from ..effort import Effort
from ..errors import SiteError
from ..frame.setout import SetOut
from ..layout.pieces import LaidPiece
from ..plan import Bound, StockItem
from ..progress import tell
from ..spec import Site
from .costs import CENT, PARTS, board_price, timber_price, whole_costs
from .exact import cut_up
from .job import STEP, Cut, Job, Stock, in_steps, left_over, room_of
from .limited import within_limit
from .naming import timber_name
from .nearer import open_at
from .rips import Stretch, Wanted, areas, stretches
from .simple import least_by_length

TIMBER_KERF = 3.0
"""What a hand-held circular saw takes of a timber [mm]; common practice, no source."""
OF_EDGES = 4
"""Of so many offcuts that may be kept, one may be of an edge board, where that is another product (ours)."""
TIGHT = 1e-6
"""Lengths nearer than this are equal [mm]."""
BY_ALL_LENGTH = (
    "joints and cutting: all that is laid, each piece with the kerf or the gap beside it, over the longest stock "
    "length; holds wherever the joints lie, for as many of them or fewer"
)


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Stock to cut, and the stock that each piece or member is cut from.

    Bounds are those of boards, of timber and of edge boards, if they are another product; `kept` counts offcuts of
    boards that wait at once, at the most.
    """

    stock: tuple[StockItem, ...]
    source: dict[str, str]
    bounds: tuple[Bound, ...]
    kept: int


@dataclass(frozen=True, slots=True)
class _Product:
    """What one product is cut with: `width` is that of a board whose rips may lie side by side, else nothing."""

    prefix: str
    name: str
    lengths: tuple[float, ...]
    price: Callable[[Site, float], Decimal]
    kerf: float
    square_up: float = 0.0
    width: float | None = None
    butt: float = 0.0


def as_squared(site: Site) -> Site:
    """A site with boards as long as they are once their ends are squared up."""
    squared = 2 * site.pattern.square_up
    if not squared:
        return site
    edges = site.edge_boards
    if edges is not None:
        edges = replace(edges, lengths=tuple(length - squared for length in edges.lengths or ()))
    lengths = tuple(length - squared for length in site.boards.lengths)
    return replace(site, boards=replace(site.boards, lengths=lengths), edge_boards=edges)


def plan_cuts(site: Site, pieces: Sequence[LaidPiece], frame: Sequence[SetOut], effort: Effort = "quick") -> CutPlan:
    """Cut all boards and all timber from the cheapest stock that the effort finds.

    Raises
    ------
    SiteError
        If a piece is longer than any board, since the pattern left its course no line to be butted on.
    """
    if effort != "quick":
        tell("the saw list")
    edges = [piece for piece in pieces if piece.kind in EDGES] if site.edge_boards else []
    boards = [piece for piece in pieces if not edges or piece.kind not in EDGES]
    timber = _Product("timber", timber_name(site), site.frame.stock_lengths, timber_price, TIMBER_KERF)
    done = []
    most = site.pattern.kept_offcuts
    if edges:
        done.append(_cut_boards(of_edges(site), "edge", edges, effort, most // OF_EDGES))
        most -= done[0][2]
    done.insert(0, _cut_boards(site, "board", boards, effort, most))
    done.append(_cut(site, timber, [Wanted(m.id, m.length) for m in frame], effort, site.pattern.kept_offcuts))
    items = [item for cut, _, _ in done for item in cut]
    source = {piece: item.id for item in items for piece in item.pieces}
    bounds = tuple(bound for _, bound, _ in (done[0], done[-1], *done[1:-1]))
    return CutPlan(tuple(items), source, bounds, sum(kept for _, _, kept in done[:-1]))


def _cut_boards(
    site: Site, prefix: str, pieces: Sequence[LaidPiece], effort: Effort, most: int
) -> tuple[list[StockItem], Bound, int]:
    """Stock, bound and offcuts kept of one product of boards."""
    _check_lengths(site, pieces)
    width = site.boards.width if site.boards.rip_shares else None
    product = _Product(
        prefix,
        site.boards.product,
        site.boards.lengths,
        board_price,
        site.pattern.kerf,
        site.pattern.square_up,
        width,
        site.gaps.butt,
    )
    wanted = [Wanted(p.id, p.length, p.width, width is not None and "rip" in p.cuts) for p in pieces]
    return _cut(site, product, wanted, effort, most)


def _check_lengths(site: Site, pieces: Sequence[LaidPiece]) -> None:
    longest = max(site.boards.lengths) - 2 * site.pattern.square_up
    for piece in pieces:
        if piece.length > longest + TIGHT:
            found = f"no board gives {piece.id}, {piece.length:.0f} mm with its oversail"
            raise SiteError("boards.lengths", found, "no joint line is free for it: closer joists or longer boards")


def _stock(site: Site, product: _Product) -> tuple[Stock, ...]:
    """What can be bought, and after it what is on hand, one entry for each length."""
    lengths = sorted(set(product.lengths))
    costs = whole_costs([product.price(site, length) for length in lengths], lengths)
    there: Counter[float] = Counter()
    for own in site.stock:
        if (own.product or site.boards.product) == product.name:
            there[own.length] += own.count

    def room(length: float) -> int:
        return room_of(length, product.kerf, product.square_up)

    bought = [Stock(length, room(length), cost) for length, cost in zip(lengths, costs, strict=True)]
    return (*bought, *(Stock(length, room(length), 0, there[length]) for length in sorted(there)))


def _cut(
    site: Site, product: _Product, wanted: list[Wanted], effort: Effort, most: int
) -> tuple[list[StockItem], Bound, int]:
    """Stock, bound, and offcuts kept at once; rips lie side by side unless too many would wait for their places."""
    done = _cut_along(site, product, wanted, effort, most)
    if done[2] > most:
        done = _cut_along(site, replace(product, width=None), wanted, effort, most)
    return done


def _cut_along(
    site: Site, product: _Product, wanted: list[Wanted], effort: Effort, most: int
) -> tuple[list[StockItem], Bound, int]:
    kerf = in_steps(product.kerf)
    along: list[Stretch] = [((i,),) for i in range(len(wanted))]
    relaxed = None
    stock = _stock(site, product)
    if product.width is not None:
        along = stretches(wanted, product.width, product.kerf)
        if len(along) < len(wanted):
            relaxed = Job(tuple(areas(wanted, product.width, product.kerf)), stock)
    job = Job(tuple(in_steps(wanted[stretch[0][0]].length) + kerf for stretch in along), stock)
    solution = cut_up(job, effort, relaxed)
    first_laid = [min(i for strip in stretch for i in strip) for stretch in along]
    order = sorted(range(len(along)), key=lambda k: first_laid[k])
    listed = within_limit(job, solution.packing, order, most, effort)
    items = [_item(job, product, wanted, along, number, cut) for number, cut in enumerate(listed.cuts, start=1)]
    bound = Bound(
        product=product.name,
        stock_used=sum(not item.on_hand for item in items),
        lower_bound=solution.count_bound,
        method=solution.method,
        proved=solution.proved,
        price=sum((product.price(site, i.length) for i in items if not i.on_hand), Decimal(0)).quantize(CENT),
        least_price=_least_price(site, product, stock, solution.cost_bound),
        joints_bound=least_by_length(relaxed or job, max(0, kerf - in_steps(product.butt))),
        joints_method=BY_ALL_LENGTH,
        joints_proved=True,
    )
    laid = {own.id: at for at, own in enumerate(wanted)}
    boards = [sorted(laid[name] for name in item.pieces) for item in items]
    return items, bound, max(open_at(boards, len(wanted)), default=0)


def _least_price(site: Site, product: _Product, stock: Sequence[Stock], cost: int) -> Decimal:
    """Price of a cost, where costs are prices and not lengths in their place."""
    priced = all(product.price(site, own.length) > 0 for own in stock if own.count is None)
    return (Decimal(cost) / PARTS).quantize(CENT, ROUND_DOWN) if priced else Decimal("0.00")


def _item(job: Job, product: _Product, wanted: list[Wanted], along: list[Stretch], number: int, cut: Cut) -> StockItem:
    stock = job.stock[cut.stock]
    names = [tuple(tuple(wanted[i].id for i in strip) for strip in along[k]) for k in cut.pieces]
    return StockItem(
        id=f"{product.prefix}-{number}",
        product=product.name,
        length=stock.length,
        pieces=tuple(name for strips in names for strip in strips for name in strip),
        kerf=product.kerf,
        offcut=max(0, left_over(job, cut) - in_steps(product.kerf)) / STEP,
        on_hand=stock.count is not None,
        side_by_side=tuple(strips for strips in names if len(strips) > 1),
    )
