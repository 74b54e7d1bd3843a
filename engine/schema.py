"""JSON Schemas of the two files, made from the very records that read and write them."""

from __future__ import annotations

from typing import Any

import msgspec

from .plan import Plan
from .spec import Site


def site_schema() -> dict[str, Any]:
    """Schema of a site file's content; unknown keys are refused, as the reader does."""
    return _closed(msgspec.json.schema(Site))


def plan_schema() -> dict[str, Any]:
    """Schema of a plan file."""
    return msgspec.json.schema(Plan)


def _closed(schema: dict[str, Any]) -> dict[str, Any]:
    for record in schema["$defs"].values():
        if "properties" in record:
            record["additionalProperties"] = False
    return schema
