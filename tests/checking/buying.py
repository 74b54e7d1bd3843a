"""Rules 6 and 8: what is cut from what, and what is bought."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal

import shapely

from .model import NOISE, TOLERANCE, Fault, Reading, Record, Zone, area, turned

SAWN = frozenset({"joist", "double", "ledger", "rim", "nogging", "beam"})
"""Roles that are cut from timber stock; a post or a footing need not be."""


def stock_is_cut_once(reading: Reading) -> Iterator[Fault]:
    """Rule 6: each part is cut from one stock length, and the parts and kerfs of each fit in it."""
    plan, site = reading.plan, reading.ground.site
    uses = Counter(part for item in plan["stock"] for part in item["pieces"])
    parts = {**reading.pieces, **reading.members}
    sources = {part: item["id"] for item in plan["stock"] for part in item["pieces"]}
    cut = [*plan["pieces"], *(m for m in plan["members"] if m["role"] in SAWN and not _stands(reading, m))]
    for part in cut:
        if uses[part["id"]] != 1:
            yield Fault(6, (part["id"],), f"is cut from {uses[part['id']]} stock lengths")
        elif part["stock"] != sources[part["id"]]:
            message = f"says {part['stock']}, but {sources[part['id']]} holds it"
            yield Fault(6, (part["id"],), message)
    sold = {
        site["boards"]["product"]: site["boards"]["lengths"],
        _timber(site): site["frame"]["stock_lengths"],
    }
    edges = _edge_product(site)
    if edges:
        sold[edges["product"]] = edges["lengths"]
        kinds = {piece["id"]: piece["kind"] for piece in plan["pieces"]}
        for item in plan["stock"]:
            of_edges = {kinds[p] in ("border", "nosing", "fascia") for p in item["pieces"] if p in kinds}
            if of_edges and of_edges != {item["product"] == edges["product"]}:
                yield Fault(6, (item["id"],), f"edge boards are {edges['product']}, and no other pieces are")
    for item in plan["stock"]:
        unknown = [p for p in item["pieces"] if p not in parts]
        if unknown or not item["pieces"]:
            yield Fault(6, (item["id"], *unknown), "holds no part, or parts that are not there")
            continue
        if not item.get("on_hand") and not any(
            math.isclose(item["length"], length) for length in sold.get(item["product"], ())
        ):
            yield Fault(6, (item["id"],), f"no {item['product']} is sold {item['length']} mm long")
        square_up = 0.0 if item["product"] == _timber(site) else site["pattern"].get("square_up", 0.0)
        yield from _fits(item, parts, square_up)
        yield from _side_by_side(item, parts, site)
    yield from _on_hand(plan, site)
    yield from _kept(plan, site)


def _kept(plan: Record, site: Record) -> Iterator[Fault]:
    """Check how many boards are begun, and still wanted for a later piece, at one time, in the order of the pieces."""
    most = site["pattern"].get("kept_offcuts")
    laid = {piece["id"]: time for time, piece in enumerate(plan["pieces"])}
    times = [[laid[name] for name in item["pieces"] if name in laid] for item in plan["stock"]]
    begun = Counter(time for own in times if own for time in range(min(own), max(own)))
    if most is not None and max(begun.values(), default=0) > most:
        yield Fault(6, (), f"{max(begun.values())} offcuts are kept at once, where {most} may be")


def _fits(item: Record, parts: dict[str, Record], square_up: float) -> Iterator[Fault]:
    along = [p for p in item["pieces"] if p not in _beside(item)]
    needed = sum(parts[p]["length"] for p in along) + item["kerf"] * (len(along) - 1) + 2 * square_up
    if needed > item["length"] + NOISE:
        yield Fault(6, (item["id"],), f"parts and kerfs take {needed:.2f} mm of {item['length']}")
    # The last cut takes a kerf too, unless it falls at the stock's own end.
    left, least = item["length"] - needed, max(0.0, item["length"] - needed - item["kerf"])
    if not least - 0.1 <= item["offcut"] <= left + 0.1:
        yield Fault(6, (item["id"],), f"offcut {item['offcut']} mm, where {least:.1f} to {left:.1f} is left")


def _beside(item: Record) -> set[str]:
    """Pieces that take no length of their own, since they are sawn beside another."""
    return {p for strips in item.get("side_by_side", ()) for strip in strips[1:] for p in strip}


def _side_by_side(item: Record, parts: dict[str, Record], site: Record) -> Iterator[Fault]:
    """Check stretches that are sawn along: two strips of rips of a board that may be, in its width and their length."""
    named = [p for strips in item.get("side_by_side", ()) for strip in strips for p in strip]
    if len(named) != len(set(named)) or not set(named) <= set(item["pieces"]):
        yield Fault(6, (item["id"],), "names a piece twice side by side, or one that is not cut from it")
        return
    for strips in item.get("side_by_side", ()):
        ids, kerf = tuple(p for strip in strips for p in strip), item["kerf"]
        if not _may_be_ripped(item["product"], site):
            yield Fault(6, ids, "lie side by side in what is not sawn so")
        if len(strips) != 2 or len(strips[0]) != 1 or not strips[1]:
            yield Fault(6, ids, "are not two strips, the first of one piece")
            continue
        across = [max(parts[p]["width"] for p in strip) for strip in strips]
        if sum(across) + kerf > site["boards"]["width"] + NOISE:
            yield Fault(6, ids, f"{across[0]} and {across[1]} mm and a kerf are wider than the board")
        lengths = [sum(parts[p]["length"] for p in strip) + kerf * (len(strip) - 1) for strip in strips]
        if lengths[1] > lengths[0] + NOISE:
            yield Fault(6, ids, f"second strip takes {lengths[1]:.2f} mm of a stretch of {lengths[0]:.2f}")
        if any("rip" not in parts[p]["cuts"] for p in ids):
            yield Fault(6, ids, "lie side by side, and not all of them are rips")


def _edge_product(site: Record) -> Record | None:
    found: Record | None = site.get("edge_boards")
    return found


def _may_be_ripped(product: str, site: Record) -> bool:
    """Whether two rips of a product may be sawn side by side."""
    edges = _edge_product(site)
    if edges and product == edges["product"]:
        shared = edges["rip_shares"]
        return bool(edges["profile"] == "solid" if shared is None else shared)
    return bool(product == site["boards"]["product"] and site["boards"]["rip_shares"])


def _on_hand(plan: Record, site: Record) -> Iterator[Fault]:
    """Check that no more is taken from what is on hand than the site has."""
    there: Counter[tuple[str, float]] = Counter()
    for own in site.get("stock", ()):
        there[own["product"], round(own["length"], 3)] += own["count"]
    taken = Counter((i["product"], round(i["length"], 3)) for i in plan["stock"] if i.get("on_hand"))
    for (product, length), count in taken.items():
        if count > there[product, length]:
            message = f"{count} of {length} mm taken as on hand, where there are {there[product, length]}"
            yield Fault(6, (product,), message)


def _stands(reading: Reading, member: Record) -> bool:
    return reading.existing_frame and not member["stock"]


def _timber(site: Record) -> str:
    b, h = site["frame"]["section"]
    return f"timber-{b:g}x{h:g}"


def pieces_measure_true(zone: Zone) -> Iterator[Fault]:
    """Rule 6: `length` and `width` are those of the polygon; before a trim cut a piece is longer, never shorter."""
    for piece, shape in zip(zone.pieces, zone.shapes, strict=True):
        low_x, low_y, high_x, high_y = shapely.bounds(shape)
        longer = piece["length"] - (high_x - low_x)
        if longer < -NOISE or (longer > TOLERANCE and "trim" not in piece["cuts"]):
            message = f"length {piece['length']} mm, polygon {high_x - low_x:.2f} mm along the board"
            yield Fault(6, (piece["id"],), message, zone.place(shape))
        if abs(piece["width"] - (high_y - low_y)) > TOLERANCE:
            message = f"width {piece['width']} mm, polygon {high_y - low_y:.2f} mm across"
            yield Fault(6, (piece["id"],), message, zone.place(shape))


def fascias_measure_true(reading: Reading) -> Iterator[Fault]:
    """Rule 6, for boards on edge: in plan they show their length and their thickness."""
    thickness = reading.ground.site["boards"]["thickness"]
    for piece in reading.plan["pieces"]:
        if piece["kind"] != "fascia":
            continue
        low_x, low_y, high_x, high_y = shapely.bounds(turned(area(piece["polygon"]), -piece["direction"]))
        if abs(piece["length"] - (high_x - low_x)) > TOLERANCE:
            yield Fault(6, (piece["id"],), f"length {piece['length']} mm, polygon {high_x - low_x:.2f} mm along it")
        if abs(thickness - (high_y - low_y)) > TOLERANCE:
            yield Fault(6, (piece["id"],), f"{high_y - low_y:.2f} mm thick in plan, the board {thickness}")


def members_measure_true(reading: Reading) -> Iterator[Fault]:
    """Rule 6, for timber: a member's length is that of its centre line."""
    for member in reading.plan["members"]:
        length = math.dist(member["from"], member["to"])
        if member["role"] in SAWN and abs(length - member["length"]) > TOLERANCE:
            yield Fault(6, (member["id"],), f"length {member['length']} mm, centre line {length:.1f} mm")


def takeoff_counts(reading: Reading) -> Iterator[Fault]:
    """Rule 8: what is ordered is what the plan holds, and waste is what its lengths leave over."""
    plan = reading.plan
    lines: dict[str, Record] = {line["item"]: line for line in plan["takeoff"]}
    held = _stock(reading)
    counts = {item: len(stock) for item, stock in held.items()}
    counts |= dict(Counter(_bought_as(fixing, reading) for fixing in plan["fixings"]))
    fixed = {"clip", "starter-clip", "edge-clip", "screw", "edge-screw"}
    for item in sorted(
        counts.keys() | {i for i in lines if i in fixed or i.startswith(("board-", "edge-board-", "timber-"))}
    ):
        line = lines.get(item, {"order": 0})
        count = counts.get(item, 0)
        if line["order"] != math.ceil(count / line.get("pack", 1)):
            yield Fault(8, (item,), f"{line['order']} to order, {count} in the plan")
        elif item in fixed and "pack" in line and (line["net"], line["over"]) != (count, -count % line["pack"]):
            yield Fault(8, (item,), f"{line['net']} needed and {line['over']} over, {count} in the plan")
        elif item in held:
            yield from _waste(lines[item], held[item], {**reading.pieces, **reading.members})
    for line in plan["takeoff"]:
        if "unit_price" in line and line["price"] != _cents(line["unit_price"], line["order"]):
            yield Fault(8, (line["item"],), f"{line['order']} at {line['unit_price']} are not {line['price']}")
    for bound in plan["bounds"]:
        used = sum(i["product"] == bound["product"] and not i.get("on_hand") for i in plan["stock"])
        if bound["stock_used"] != used or bound["lower_bound"] > used:
            yield Fault(8, (bound["product"],), f"bounds say {bound['stock_used']} used, stock holds {used}")


def _bought_as(fixing: Record, reading: Reading) -> str:
    """The item of a clip or screw; screws of edge boards are another where the site has a product for them."""
    own = reading.ground.site.get("fixings", {}).get("edge_screw") is not None
    if own and fixing["kind"] == "screw":
        piece = reading.pieces.get(fixing["piece"], {"kind": ""})
        return "edge-screw" if piece["kind"] in ("border", "nosing", "fascia") else "screw"
    return str(fixing["kind"].replace(" ", "-"))


def _cents(unit_price: float, count: int) -> float:
    """A line's price; JSON numbers are decimals as they are written."""
    return float((Decimal(str(unit_price)) * count).quantize(Decimal("0.01"), ROUND_HALF_UP))


def _stock(reading: Reading) -> dict[str, list[Record]]:
    """What is to be bought, by the item of the takeoff that it is."""
    site = reading.ground.site
    called = {site["boards"]["product"]: "board"}
    edges = _edge_product(site)
    if edges:
        called[edges["product"]] = "edge-board"
    groups: dict[str, list[Record]] = defaultdict(list)
    for item in reading.plan["stock"]:
        if not item.get("on_hand"):
            groups[f"{called.get(item['product'], item['product'])}-{item['length']:g}"].append(item)
    return groups


def _waste(line: Record, stock: list[Record], parts: dict[str, Record]) -> Iterator[Fault]:
    used = sum(parts[p]["length"] for item in stock for p in item["pieces"] if p in parts and p not in _beside(item))
    waste = 1.0 - used / sum(item["length"] for item in stock)
    if abs(line["waste"] - waste) > 0.002:
        yield Fault(8, (line["item"],), f"waste given as {line['waste']:.3f}, lengths leave {waste:.3f}")
