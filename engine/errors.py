"""The one way in which the engine refuses its input."""

from __future__ import annotations


class CourselineError(Exception):
    """Base of every error that a user can mend; its text is one line."""


class SiteError(CourselineError):
    """A site that cannot be planned.

    Parameters
    ----------
    field : str
        Where it stands, as in the file: ``deck.outline[3]``.
    value : object
        What was found there, as short text.
    wanted : str
        What would be right.
    """

    def __init__(self, field: str, value: object, wanted: str) -> None:
        self.field = field
        self.value = value
        self.wanted = wanted
        super().__init__(" ".join(f"{field}: {value}; {wanted}".split()))
