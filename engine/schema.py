"""JSON Schemas of the two files, made from the very records that read and write them."""

from __future__ import annotations

from typing import Any

import msgspec

from .plan import Plan
from .spec import Site


def site_schema() -> dict[str, Any]:
    """Schema of a site file's content; unknown keys are refused, as the reader does."""
    return _retyped(_closed(msgspec.json.schema(Site)), "length", ["number", "string"])


def plan_schema() -> dict[str, Any]:
    """Schema of a plan file."""
    return _retyped(msgspec.json.schema(Plan), "decimal", "number")


def _retyped(node: Any, form: str, written: str | list[str]) -> Any:
    """A schema in which values of one format have the type that the files write them in."""
    if isinstance(node, list):
        return [_retyped(item, form, written) for item in node]
    if not isinstance(node, dict):
        return node
    done = {key: _retyped(value, form, written) for key, value in node.items()}
    return done | {"type": written} if node.get("format") == form else done


def _closed(schema: dict[str, Any]) -> dict[str, Any]:
    for record in schema["$defs"].values():
        if "properties" in record:
            record["additionalProperties"] = False
    return schema
