"""Courseline: plan, show and order composite decking. Importing this package needs no Blender."""


def register() -> None:
    """Enable the add-on: called by Blender."""
    from . import registration

    registration.register()


def unregister() -> None:
    """Disable the add-on: called by Blender."""
    from . import registration

    registration.unregister()
