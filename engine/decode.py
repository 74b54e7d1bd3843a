"""Raw tables into the records of `spec`, with errors that name the key, the value and the remedy."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar, cast

import msgspec
from msgspec import inspect as types

from .colours import HEX_SHAPE, screen_colour
from .errors import SiteError
from .spec import CURRENCY_SHAPE
from .units import length_in_mm

T = TypeVar("T")

LARGEST = 1e12
"""No number of a site is larger: a length of a million kilometres, or a typing slip."""
_WORDS = {
    "object": "a table",
    "array": "a list",
    "str": "text",
    "int": "a whole number",
    "float": "a number",
    "|": "or",
}
"""The decoder's names for what may be written, in words of a site file."""

_SHAPES = {HEX_SHAPE: "like '#7a6a5c' or 'RAL 7016'", CURRENCY_SHAPE: "of three capitals, like 'GBP'"}
"""What texts of a fixed shape look like, in the user's words."""
_STEP = re.compile(r"\.([^.\[\]]+)|\[(\d+|\.\.\.)\]")
"""A step of the decoder's path: a key, a place in a list, or a key of the user's own, which it does not tell."""
_AT = re.compile(r"^(?P<what>.*?)(?: - at `(?P<path>.*)`)?$", re.DOTALL)


def decode(raw: Mapping[str, Any], record: type[T], unit: str = "mm") -> T:
    """Turn a table as parsed into a record, lengths into millimetres.

    Parameters
    ----------
    raw : mapping
        The table, as a TOML or JSON reader gives it.
    record : type
        A dataclass or Struct of `spec`.
    unit : str
        Unit of bare numbers that are lengths.

    Raises
    ------
    SiteError
        For an unknown key, a length that is none, a value of the wrong type, out of its limits or not finite.
    """
    in_mm = _walk(raw, types.type_info(record), unit, "")
    try:
        return msgspec.convert(in_mm, record)
    except msgspec.ValidationError as fault:
        raise _explain(str(fault), in_mm, record) from None


def _walk(value: Any, kind: types.Type, unit: str, path: str) -> Any:
    """Copy `value` with lengths in mm and colours as #rrggbb; refuse keys that `kind` does not know."""
    if isinstance(kind, types.Metadata):
        if (kind.extra or {}).get("length"):
            return _length(value, unit, path)
        if (kind.extra or {}).get("colour") and isinstance(value, str):
            return _colour(value, path)
        kind = kind.type
    if isinstance(kind, types.UnionType):
        kind = _chosen(value, kind)
        if isinstance(kind, types.Metadata):
            return _walk(value, kind, unit, path)
    if isinstance(kind, types.LiteralType):
        return _choice(value, kind.values, path)
    if isinstance(kind, types.DictType) and isinstance(value, Mapping):
        return {key: _walk(item, kind.value_type, unit, f"{path}.{key}") for key, item in value.items()}
    if isinstance(kind, types.DataclassType | types.StructType) and isinstance(value, Mapping):
        return _walk_table(value, kind, unit, path)
    if isinstance(kind, types.VarTupleType) and isinstance(value, list):
        return [_walk(item, kind.item_type, unit, f"{path}[{i}]") for i, item in enumerate(value)]
    if isinstance(kind, types.TupleType) and isinstance(value, list) and len(value) == len(kind.item_types):
        return [_walk(v, k, unit, f"{path}[{i}]") for i, (v, k) in enumerate(zip(value, kind.item_types, strict=True))]
    return _finite(value, value, path) if isinstance(value, int | float) else value


def _walk_table(
    table: Mapping[str, Any], kind: types.DataclassType | types.StructType, unit: str, path: str
) -> dict[str, Any]:
    known = {item.encode_name: item.type for item in kind.fields}
    done = {}
    for key, value in table.items():
        where = f"{path}.{key}" if path else key
        if key not in known:
            raise SiteError(where, "unknown key", _nearest(key, list(known), path))
        done[key] = _walk(value, known[key], unit, where)
    return done


def _choice(value: Any, choices: Sequence[Any], path: str) -> Any:
    if any(type(value) is type(choice) and value == choice for choice in choices):
        return value
    words = [choice for choice in choices if isinstance(choice, str)]
    near = difflib.get_close_matches(value, words, n=1) if isinstance(value, str) else []
    wanted = f"did you mean '{near[0]}'?" if near else f"write {' or '.join(repr(choice) for choice in choices)}"
    raise SiteError(path, _short(value), wanted)


def _finite(number: float, written: Any, path: str) -> float:
    if abs(number) <= LARGEST:  # which no nan is
        return number
    raise SiteError(path, _short(written), f"write a number no larger than {LARGEST:g}")


def _nearest(key: str, known: list[str], path: str) -> str:
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    if near:
        return f"did you mean '{near[0]}'?"
    return f"{'[' + path + ']' if path else 'the file'} knows {', '.join(known)}"


def _chosen(value: Any, union: types.UnionType) -> types.Type:
    """The member of a union that fits the shape of `value`: a table, a list, or anything else."""
    choices = [word for kind in union.types if isinstance(kind, types.LiteralType) for word in kind.values]
    words = [word for word in choices if isinstance(word, str)]
    if isinstance(value, str) and difflib.get_close_matches(value, words, n=1):
        return next(kind for kind in union.types if isinstance(kind, types.LiteralType))
    bares = [kind.type if isinstance(kind, types.Metadata) else kind for kind in union.types]
    # Text that begins with a digit is a length with a unit of its own, where one may be written.
    measured = isinstance(value, str) and value[:1].isdigit() and any(isinstance(b, types.FloatType) for b in bares)
    for kind in union.types:
        bare = kind.type if isinstance(kind, types.Metadata) else kind
        fits_table = isinstance(value, Mapping) and isinstance(bare, types.DataclassType | types.StructType)
        fits_list = isinstance(value, list) and isinstance(bare, types.VarTupleType | types.TupleType)
        fits_number = isinstance(value, int | float | str) and isinstance(bare, types.FloatType)
        fits_choice = isinstance(value, str) and isinstance(bare, types.LiteralType) and not measured
        if fits_table or fits_list or fits_number or fits_choice:
            return kind
    return union


def _colour(written: str, path: str) -> str:
    try:
        return screen_colour(written)
    except ValueError as fault:
        raise SiteError(path, repr(written), str(fault)) from None


def _length(value: Any, unit: str, path: str) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return value  # the type check that follows names the fault
    try:
        return _finite(length_in_mm(value, unit), value, path)
    except ValueError as fault:
        raise SiteError(path, _short(value), "write a number, or text such as '2.4 m' or '5 1/2 in'") from fault
    except OverflowError:
        return _finite(math.inf, value, path)


def _explain(fault: str, raw: Any, record: type) -> SiteError:
    """Turn the decoder's sentence into ours: field, value found, what is wanted."""
    match = _AT.match(fault)
    what, path = (match["what"], match["path"] or "$") if match else (fault, "$")
    steps = _steps(path, fault, raw, record)
    field = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps).removeprefix(".")
    missing = re.match(r"Object missing required field `(?P<name>\w+)`", what)
    if missing:
        where = f"{field}.{missing['name']}" if field else missing["name"]
        return SiteError(where, "missing", "it has no default and must be given")
    what = re.sub(r"matching regex '(?P<shape>.*)'", lambda regex: _SHAPES[regex["shape"]], what)
    wanted = re.sub(r"\b(object|array|str|int|float)\b|\|", lambda word: _WORDS[word[0]], what.replace(" | null", ""))
    found = _short(_at(raw, steps))
    return SiteError(field or "the file", found, wanted[0].lower() + wanted[1:].replace("`", ""))


def _steps(path: str, fault: str, raw: Any, record: type) -> list[str | int]:
    """The decoder's path, with the names that a user gives, such as a board's, in place of its `[...]`."""
    steps: list[str | int] = []
    for key, index in _STEP.findall(path):
        if index == "...":
            raw, name = _entry_at_fault(steps, fault, raw, record)
            steps.append(name)
        else:
            steps.append(int(index) if index else key)
    return steps


def _entry_at_fault(steps: Sequence[str | int], fault: str, raw: Any, record: type) -> tuple[Any, str]:
    """The entry of a table with which, alone in it, the same fault is found; and all else with that entry alone."""
    table: Mapping[str, Any] = _at(raw, steps)
    for name, value in table.items():
        alone = _replaced(raw, steps, {name: value})
        try:
            msgspec.convert(alone, record)
        except msgspec.ValidationError as same:
            if str(same) == fault:
                return alone, name
    return raw, "..."


def _at(raw: Any, steps: Sequence[str | int]) -> Any:
    for step in steps:
        try:
            raw = raw[step]
        except (KeyError, IndexError, TypeError):
            return "a value"
    return raw


def _replaced(raw: Any, steps: Sequence[str | int], value: Any) -> Any:
    """A copy with another value in one place."""
    if not steps:
        return value
    copy: Any = list(raw) if isinstance(raw, list) else dict(raw)
    copy[steps[0]] = _replaced(raw[steps[0]], steps[1:], value)
    return copy


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def encode(record: object) -> dict[str, Any]:
    """A record as plain tables, under the names that the file uses."""
    return cast(dict[str, Any], msgspec.to_builtins(record))
