"""JSON Schemas of the files, made from the very records that read and write them."""

from __future__ import annotations

from typing import Any

import msgspec

from .colours import HEX_SHAPE, WRITTEN_SHAPE
from .plan import Plan
from .products import Products
from .spec import Site


def site_schema() -> dict[str, Any]:
    """Schema of a site file's content; unknown keys are refused, as the reader does."""
    return _strict(Site)


def products_schema() -> dict[str, Any]:
    """Schema of a product table's content, as strict."""
    return _strict(Products)


def _strict(content: type) -> dict[str, Any]:
    schema = msgspec.json.schema(content)
    for record in schema["$defs"].values():
        if "properties" in record:
            record["additionalProperties"] = False
    _retype(schema, "length", ["number", "string"])
    _as_written(schema)
    return schema


def plan_schema() -> dict[str, Any]:
    """Schema of a plan file."""
    schema = msgspec.json.schema(Plan)
    _retype(schema, "decimal", "number")
    return schema


def _retype(node: Any, form: str, written: str | list[str]) -> None:
    """Give every value of one format the type that the files write it in."""
    if isinstance(node, dict):
        if node.get("format") == form:
            node["type"] = written
        node = list(node.values())
    if isinstance(node, list):
        for child in node:
            _retype(child, form, written)


def _as_written(node: Any) -> None:
    """Let every colour be written in all ways that the reader takes: the records know but the one it makes of them."""
    if isinstance(node, dict):
        if node.get("pattern") == HEX_SHAPE:
            node["pattern"] = WRITTEN_SHAPE
        node = list(node.values())
    if isinstance(node, list):
        for child in node:
            _as_written(child)
