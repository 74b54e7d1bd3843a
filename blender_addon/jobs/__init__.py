"""Long work in a Blender of its own, without a window, while the user's goes on."""

from .job import Job, start

__all__ = ["Job", "start"]
