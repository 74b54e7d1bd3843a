"""The plan's ids on a mesh: each face carries the place of its part's id in a list that hangs on the object."""

from __future__ import annotations

from collections.abc import Sequence

import bpy
import numpy as np

from .meshes import read_attribute, set_attribute


def mark(thing: bpy.types.Object, kind: str, of_part: Sequence[str], faces: np.ndarray) -> None:
    """Mark the faces of an object with an id for each.

    Parameters
    ----------
    thing : Object
    kind : str
        What the ids are: the name of the face attribute and of the object's list.
    of_part : sequence of str
        The id, or any other word, of each part; parts may share one.
    faces : ndarray
        (faces,) which part each face belongs to.
    """
    words = list(dict.fromkeys(of_part))
    places = {word: place for place, word in enumerate(words)}
    numbers = np.array([places[word] for word in of_part], np.int32)
    set_attribute(thing.data, kind, "INT", "FACE", numbers[faces])
    # A custom property holds no list of texts.
    thing[kind] = "\n".join(words)


def marks(thing: bpy.types.Object, kind: str) -> list[str]:
    """Read back the ids of an object's faces, one for each face."""
    words = thing[kind].split("\n")
    return [words[number] for number in read_attribute(thing.data, kind)]


def marked_pairs(thing: bpy.types.Object, first: str, second: str) -> set[tuple[str, str]]:
    """Read back which two ids go together on the faces of an object."""
    numbers = np.stack([read_attribute(thing.data, first), read_attribute(thing.data, second)], axis=1)
    firsts, seconds = thing[first].split("\n"), thing[second].split("\n")
    return {(firsts[a], seconds[b]) for a, b in np.unique(numbers, axis=0)}
