"""From what is drawn or modelled to a site: plain functions on arrays in mm, whatever program they come from."""

from .gather import Found, take_in
from .model import Doorway, Drawing, Solid

__all__ = ["Doorway", "Drawing", "Found", "Solid", "take_in"]
