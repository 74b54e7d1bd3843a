"""A site as the text of a site file.

Our own few lines rather than a library: a library would put every coordinate on a line of its own, and this file is
one that people go on to edit by hand.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from .decode import encode
from .errors import CourselineError
from .spec import Site

WIDTH = 100
"""A list that would be longer is written a row of items at a time."""


def site_text(site: Site) -> str:
    """The text of a site file that reads as this very site, in mm."""
    return table_text(encode(site))


def write_site(site: Site, path: Path) -> Path:
    """Write a site file, which appears only once it is whole.

    Raises
    ------
    CourselineError
        If it cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile("wb", dir=path.parent, prefix=".site-", delete=False) as part:
            part.write(site_text(site).encode())
        Path(part.name).replace(path)
    except OSError as fault:
        raise CourselineError(f"{path}: cannot be written ({fault.strerror or fault})") from fault
    return path


def table_text(table: Mapping[str, Any]) -> str:
    """A table as TOML: plain values first, then each table and list of tables under a head of its own."""
    return "\n".join(_lines(table, ())).strip() + "\n"


def _lines(table: Mapping[str, Any], at: tuple[str, ...]) -> Iterator[str]:
    given = {key: value for key, value in table.items() if value is not None}
    for key, value in given.items():
        if not _is_table(value) and not _is_tables(value):
            yield f"{_key(key)} = {_value(value)}"
    for key, value in given.items():
        here = (*at, _key(key))
        for head, each in _headed(here, value):
            below = list(_lines(each, here))
            yield ""
            if not below or below[0] or head.startswith("[["):  # a table of mere tables needs no head of its own
                yield head
            else:
                below.pop(0)
            yield from below


def _headed(here: tuple[str, ...], value: Any) -> list[tuple[str, Mapping[str, Any]]]:
    name = ".".join(here)
    if _is_table(value):
        return [(f"[{name}]", value)]
    return [(f"[[{name}]]", each) for each in value] if _is_tables(value) else []


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list | tuple) and bool(value) and all(isinstance(each, Mapping) for each in value)


def _value(value: Any, indent: str = "") -> str:
    if not isinstance(value, list | tuple):
        return _plain(value)
    line = "[" + ", ".join(_value(each) for each in value) + "]"
    if len(line) <= WIDTH:
        return line
    rows, row = [], ""
    for each in value:
        text = _value(each)
        if row and len(row) + len(text) + 2 > WIDTH:
            rows.append(row)
            row = ""
        row += f"{text}, "
    return "[\n" + "\n".join(f"{indent}  {each.strip()}" for each in [*rows, row]) + "\n]"


def _plain(value: Any) -> str:
    """A number, truth or text: JSON and TOML write them alike, but for one control character."""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _key(key: str) -> str:
    return key if key and all(c.isascii() and (c.isalnum() or c in "-_") for c in key) else _plain(key)
