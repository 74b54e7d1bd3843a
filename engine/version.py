"""The engine's version, written into every plan."""

VERSION = "0.1.0"
