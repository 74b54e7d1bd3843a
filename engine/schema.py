"""JSON Schemas of the two files, made from the very records that read and write them."""

from __future__ import annotations

from typing import Any

import msgspec

from .plan import Plan
from .spec import Site


def site_schema() -> dict[str, Any]:
    """Schema of a site file's content; unknown keys are refused, as the reader does."""
    schema = msgspec.json.schema(Site)
    for record in schema["$defs"].values():
        if "properties" in record:
            record["additionalProperties"] = False
    _retype(schema, "length", ["number", "string"])
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
