"""Colours of pictures, and how far apart two are: CIEDE2000 by a library."""

from __future__ import annotations

import numpy as np
from coloraide import Color


def to_linear(shown: np.ndarray) -> np.ndarray:
    """Turn sRGB [0 to 1], as a picture shows it, into linear light (IEC 61966-2-1)."""
    return np.where(shown <= 0.04045, shown / 12.92, ((shown + 0.055) / 1.055) ** 2.4)


def parts(colour: str) -> np.ndarray:
    """Give the linear red, green and blue of `#rrggbb`."""
    return to_linear(np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255)


def lab(linear: np.ndarray) -> tuple[float, float, float]:
    """Give CIE L*, a*, b* under D65 of linear sRGB."""
    lightness, red_green, blue_yellow = Color("srgb-linear", [float(part) for part in linear]).convert("lab-d65")[:3]
    return float(lightness), float(red_green), float(blue_yellow)


def difference(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    """Give dE2000 between two colours in CIE Lab."""
    return float(Color("lab-d65", one).delta_e(Color("lab-d65", other), method="2000"))


def apart(linear: np.ndarray, colour: str) -> float:
    """Give dE2000 between linear sRGB and the colour `#rrggbb` that was asked for."""
    return difference(lab(linear), lab(parts(colour)))
