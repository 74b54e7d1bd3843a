"""Millimetres of the engine to metres of Blender: the one place where lengths change their unit on the way out."""

MM = 0.001
