"""Plans as files: written whole or not at all, and read back."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import msgspec

from .errors import SiteError
from .papers.takeoff_csv import takeoff_csv
from .plan import Plan

_ENCODER = msgspec.json.Encoder(decimal_format="number", order="deterministic")


def plan_json(plan: Plan) -> bytes:
    """The plan file's bytes; the same plan gives the same bytes."""
    return _ENCODER.encode(plan) + b"\n"


def read_plan(path: str | Path) -> Plan:
    """Read a plan file.

    Raises
    ------
    SiteError
        If the file cannot be read or is no plan of schema 1.
    """
    try:
        return msgspec.json.decode(Path(path).read_bytes(), type=Plan)
    except OSError as fault:
        raise SiteError("plan file", path, f"cannot be read ({fault.strerror})") from fault
    except msgspec.DecodeError as fault:
        raise SiteError("plan file", path, f"is no plan of schema 1 ({fault})") from fault


def write_plan(plan: Plan, folder: str | Path) -> tuple[Path, Path]:
    """Write ``plan.json`` and ``takeoff.csv`` into a folder, made if need be, and return their paths."""
    folder = Path(folder)
    return (
        write_whole(folder / "plan.json", plan_json(plan)),
        write_whole(folder / "takeoff.csv", takeoff_csv(plan).encode("utf-8")),
    )


def write_whole(path: Path, data: bytes) -> Path:
    """Write a file under a temporary name beside its own, then move it into place.

    Raises
    ------
    SiteError
        If the folder cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(name).chmod(0o644)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as fault:
        raise SiteError("output", path, f"cannot be written ({fault.strerror})") from fault
    return path
