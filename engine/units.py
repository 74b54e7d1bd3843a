"""Lengths as people write them, turned into millimetres."""

from __future__ import annotations

import re

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""Exact by definition; the inch is 25.4 mm (international yard and pound agreement, 1959)."""

_NUMBER = r"\d+(?:\.\d+)?"
_TERM = re.compile(
    rf"\s*(?:(?P<whole>{_NUMBER})\s+)?(?P<top>{_NUMBER})(?:/(?P<bottom>\d+))?\s*(?P<unit>mm|cm|m|in|ft)\b"
)


def length_in_mm(value: float | str, unit: str = "mm") -> float:
    """Turn one length into millimetres.

    Parameters
    ----------
    value : float or str
        A bare number in `unit`, or text with its own units: ``"2.4 m"``, ``"12 ft 6 in"``, ``"5 1/2 in"``.
    unit : str
        Unit of a bare number, a key of `MM_PER_UNIT`.

    Returns
    -------
    float
        The length [mm].

    Raises
    ------
    ValueError
        If the text is not a length.
    """
    if not isinstance(value, str):
        return float(value) * MM_PER_UNIT[unit]
    text = value.strip()
    sign = -1.0 if text.startswith("-") else 1.0
    text = text[1:] if text[:1] in ("+", "-") else text
    total, at = 0.0, 0
    while at < len(text):
        term = _TERM.match(text, at)
        if term is None or (term["whole"] and not term["bottom"]) or term["bottom"] == "0":
            raise ValueError(f"{value!r} is not a length")
        number = float(term["top"]) / float(term["bottom"] or 1) + float(term["whole"] or 0)
        total += number * MM_PER_UNIT[term["unit"]]
        at = term.end()
    if not text:
        raise ValueError(f"{value!r} is not a length")
    return sign * total
