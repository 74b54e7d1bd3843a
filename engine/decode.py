"""Raw tables into the records of `spec`, with errors that name the key, the value and the remedy."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from typing import Any, TypeVar, cast

import msgspec
from msgspec import inspect as types

from .errors import SiteError
from .units import length_in_mm

T = TypeVar("T")

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
        For an unknown key, a length that is none, a value of the wrong type or out of its limits.
    """
    in_mm = _walk(raw, types.type_info(record), unit, "")
    try:
        return msgspec.convert(in_mm, record)
    except msgspec.ValidationError as fault:
        raise _explain(str(fault), in_mm) from None


def _walk(value: Any, kind: types.Type, unit: str, path: str) -> Any:
    """Copy `value` with lengths in mm; refuse keys that `kind` does not know."""
    if isinstance(kind, types.Metadata):
        if (kind.extra or {}).get("length"):
            return _length(value, unit, path)
        kind = kind.type
    if isinstance(kind, types.UnionType):
        kind = _chosen(value, kind)
        if isinstance(kind, types.Metadata):
            return _walk(value, kind, unit, path)
    if isinstance(kind, types.DataclassType | types.StructType) and isinstance(value, Mapping):
        return _walk_table(value, kind, unit, path)
    if isinstance(kind, types.VarTupleType) and isinstance(value, list):
        return [_walk(item, kind.item_type, unit, f"{path}[{i}]") for i, item in enumerate(value)]
    if isinstance(kind, types.TupleType) and isinstance(value, list) and len(value) == len(kind.item_types):
        return [_walk(v, k, unit, f"{path}[{i}]") for i, (v, k) in enumerate(zip(value, kind.item_types, strict=True))]
    return value


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


def _nearest(key: str, known: list[str], path: str) -> str:
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
    if near:
        return f"did you mean '{near[0]}'?"
    return f"{'[' + path + ']' if path else 'the file'} knows {', '.join(known)}"


def _chosen(value: Any, union: types.UnionType) -> types.Type:
    """The member of a union that fits the shape of `value`: a table, a list, or anything else."""
    for kind in union.types:
        bare = kind.type if isinstance(kind, types.Metadata) else kind
        fits_table = isinstance(value, Mapping) and isinstance(bare, types.DataclassType | types.StructType)
        fits_list = isinstance(value, list) and isinstance(bare, types.VarTupleType | types.TupleType)
        fits_number = isinstance(value, int | float | str) and isinstance(bare, types.FloatType)
        if fits_table or fits_list or fits_number:
            return kind
    return union


def _length(value: Any, unit: str, path: str) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return value  # the type check that follows names the fault
    try:
        return length_in_mm(value, unit)
    except ValueError as fault:
        raise SiteError(path, repr(value), "write a number, or text such as '2.4 m' or '5 1/2 in'") from fault


def _explain(fault: str, raw: Any) -> SiteError:
    """Turn the decoder's sentence into ours: field, value found, what is wanted."""
    match = _AT.match(fault)
    what, path = (match["what"], match["path"] or "$") if match else (fault, "$")
    field = path.removeprefix("$").removeprefix(".")
    missing = re.match(r"Object missing required field `(?P<name>\w+)`", what)
    if missing:
        where = f"{field}.{missing['name']}" if field else missing["name"]
        return SiteError(where, "missing", "it has no default and must be given")
    return SiteError(field or "the file", _found(raw, field), what[0].lower() + what[1:].replace("`", ""))


def _found(raw: Any, field: str) -> str:
    at = raw
    for key, index in re.findall(r"([^.\[\]]+)|\[(\d+)\]", field):
        try:
            at = at[int(index)] if index else at[key]
        except (KeyError, IndexError, TypeError):
            return "a value"
    text = repr(at)
    return text if len(text) <= 60 else text[:57] + "..."


def encode(record: object) -> dict[str, Any]:
    """A record as plain tables, under the names that the file uses."""
    return cast(dict[str, Any], msgspec.to_builtins(record))
