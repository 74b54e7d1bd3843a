"""The command line: the same functions as the buttons, for people who like to type."""

from .main import main

__all__ = ["main"]
