"""From a plan to a scene that any renderer can show."""

from .assemble import build_scene

__all__ = ["build_scene"]
