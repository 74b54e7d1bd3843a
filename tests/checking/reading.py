"""Reading a plan file: its parts by deck, zone and line, and the faults of the file itself (rule 0)."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from .model import (
    FIELD,
    FLAT,
    NOISE,
    RINGS,
    SAME_WAY,
    SUPPORTS,
    TOLERANCE,
    Fault,
    Ground,
    Reading,
    Record,
    Zone,
    angle_between,
    area,
    placed,
)
from .outline import Rim


def read(plan: Record) -> Reading:
    """Read a plan; what is not as the file's contract says becomes a fault of rule 0."""
    site = plan["site"]
    deck_of = {z["id"]: z.get("deck", 0) for z in plan["zones"]}
    flat: dict[int, list[Record]] = defaultdict(list)
    lines: dict[int, set[int]] = defaultdict(set)
    for piece in plan["pieces"]:
        if piece["kind"] in FLAT:
            flat[deck_of.get(piece["zone"], 0)].append(piece)
        if placed(piece)[0][:1] in ("E", "F"):
            lines[deck_of.get(piece["zone"], 0)].add(int(placed(piece)[0][1:]))
    grounds = [Ground(site, n, tuple(flat[n]), frozenset(lines[n])) for n in range(1 + len(site.get("decks", ())))]
    supports = [_supports(plan, ground) for ground in grounds]
    zones = []
    for zone in plan["zones"]:
        deck = min(deck_of[zone["id"]], len(grounds) - 1)
        field = [p for p in plan["pieces"] if p["zone"] == zone["id"] and p["kind"] in FIELD]
        zones.append(Zone(zone, grounds[deck], field, supports[deck]))
    strips = [strip for ground, under in zip(grounds, supports, strict=True) for strip in _strips(ground, under)]
    reading = Reading(plan, grounds, zones, strips)
    reading.faults.extend(_faults_of_form(reading))
    return reading


def _supports(plan: Record, ground: Ground) -> list[Record]:
    """Members that boards may rest on, at the underside of this deck's boards."""
    members = [m for m in plan["members"] if m["role"] in SUPPORTS]
    if ground.surface is None:
        return members
    level = ground.surface - ground.site["boards"]["thickness"]
    return [m for m in members if abs(m["from"][2] + m["section"][1] / 2 - level) <= TOLERANCE]


def _strips(ground: Ground, supports: list[Record]) -> Iterator[Zone]:
    """Find the rings along each edge, and each seam's divider: an edge may lie in several zones."""
    lines: dict[str, list[Record]] = defaultdict(list)
    for piece in ground.laid:
        line, _ = placed(piece)
        if piece["kind"] in RINGS and line:
            lines[line if line[0] == "E" else f"{piece['zone']}-{line}"].append(piece)
    rim = Rim(ground)
    for line, pieces in lines.items():
        direction = pieces[0]["direction"]
        if line[0] == "E":
            direction = rim.direction(int(line[1:]))
        courses = max(p["course"] for p in pieces)
        yield Zone({"id": line, "direction": direction, "courses": courses}, ground, pieces, supports)


def _faults_of_form(reading: Reading) -> list[Fault]:
    plan, faults = reading.plan, []
    for kind in ("pieces", "members", "stock", "zones"):
        times = Counter(record["id"] for record in plan[kind])
        faults += [Fault(0, (i,), f"{n} {kind} have this id") for i, n in times.items() if n > 1]
    zones = {z["id"]: z for z in plan["zones"]}
    faults += [Fault(0, (z["id"],), "no such deck") for z in zones.values() if z.get("deck", 0) >= len(reading.grounds)]
    if faults:
        return faults
    for piece in plan["pieces"]:
        if not area(piece["polygon"]).is_valid:
            faults.append(Fault(0, (piece["id"],), "its polygon crosses itself"))
        if piece["zone"] not in zones:
            faults.append(Fault(0, (piece["id"],), f"no zone {piece['zone']}"))
            continue
        if not 0 < piece["width"] <= reading.ground.site["boards"]["width"] + NOISE:
            faults.append(Fault(0, (piece["id"],), f"width {piece['width']} mm is none that the board can give"))
        message = _misplaced(piece, reading.grounds[zones[piece["zone"]].get("deck", 0)], zones[piece["zone"]])
        if message:
            faults.append(Fault(0, (piece["id"],), message))
    return faults


def _misplaced(piece: Record, ground: Ground, zone: Record) -> str:
    """Say what in a piece's own words about its place does not agree."""
    line, ring = placed(piece)
    kinds = {"board": "", "hatch": "H", "fascia": "F", "border": "ES", "nosing": "E"}
    if line[:1] not in kinds[piece["kind"]] or (piece["kind"] != "board") is not bool(line):
        return f"a {piece['kind']} has no such id"
    if line[:1] in ("E", "F", "S") and ring != piece["course"]:
        return f"its id says ring {ring}, its course {piece['course']}"
    if piece["kind"] == "nosing" and ring != 1:
        return "a nosing that is not the outermost ring"
    along = float(zone["direction"])
    if line[:1] in ("E", "F"):
        number = int(line[1:])
        if number >= len(ground.deck["outline"]):
            return f"the deck has no edge {number}"
        along = Rim(ground).direction(number)
    if line[:1] != "S" and angle_between(piece.get("direction", along), along) > SAME_WAY:
        return f"runs at {piece['direction']} degrees, not at {along:.2f}"
    top = piece.get("top", ground.surface)
    if ground.surface is not None and piece["kind"] in FLAT and abs(top - ground.surface) > TOLERANCE:
        return f"its top lies at {top} mm, not at {ground.surface}"
    return ""
