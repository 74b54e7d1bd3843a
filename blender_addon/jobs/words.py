"""What a job and its Blender say to each other."""

MARK = "courseline-job: "
"""Begins every line that is meant for the parent; Blender writes others."""
SHARE, FAULT, ENDED = "share", "fault", "ended"
INPUT, FILE = "input", "scene.blend"
"""Folder of what a job is given, and the file in it that it works on."""
ORDER = "order.json"
"""What is written of an order."""
