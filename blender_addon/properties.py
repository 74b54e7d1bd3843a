"""What a scene remembers of its deck: the site as read, the user's choices, and the figures as built."""

from __future__ import annotations

from math import radians

import bpy
from bpy.props import (
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    PointerProperty,
    StringProperty,
)

SIDES = (
    ("grain", "Wood grain", "Lay the boards with the embossed wood grain up"),
    ("grooved", "Grooves", "Lay the boards with the grooved face up"),
)
RUNS = (
    ("site", "As in the site file", "Boards run as the site file says"),
    (
        "along",
        "Along the house",
        "Boards run along the edge at which laying begins, as a rule the house wall",
    ),
    ("out", "Out from the house", "Boards run square to the edge at which laying begins, as a rule the house wall"),
    ("diagonal", "Diagonal", "Boards run at 45 degrees to the edge at which laying begins"),
    ("other", "Other angle", "Boards run at an angle of your own"),
)
JOINTS = (
    ("half", "Half bond", "Two joint lines in turn, as in brickwork"),
    ("third", "Third bond", "Three joint lines in turn"),
    ("scattered", "Scattered", "Joints fall freely, with no two neighbouring courses alike"),
    ("none", "Whole boards", "One board to a course, wherever a board reaches from end to end"),
)
VIEWS = (
    ("garden", "From the garden", "Stand in the garden and look back at the house"),
    ("doorway", "From the doorway", "Stand in the doorway and look out over the deck"),
    ("above", "From above", "Look down on the whole deck"),
    ("close", "Close up", "Look down at the nearest boards, to tell their faces apart"),
    ("own", "As in the site file", "The view that the site file gives"),
)
QUALITIES = (
    ("draft", "Draft", "A small picture for a first look"),
    ("client", "Client", "A full-size picture to show; takes some minutes"),
)


class Figure(bpy.types.PropertyGroup):
    """A figure of the deck as built, ready to be read; what it is stands in its name."""

    value: StringProperty()


class TakeoffRow(bpy.types.PropertyGroup):
    """A line of the order, ready to be read; what it is stands in its name."""

    order: StringProperty()
    price: StringProperty()


class FailedCheck(bpy.types.PropertyGroup):
    """A rule that the deck as built does not keep; the sentence stands in its name."""


class DeckSettings(bpy.types.PropertyGroup):
    """The whole state of the add-on in one scene."""

    site_name: StringProperty(name="Job", description="Name of the job, as the site file gives it")
    site_json: StringProperty(description="The site as read, so that this file no longer needs the site file")

    side: EnumProperty(name="Face up", description="Which face of the boards is seen", items=SIDES)
    run: EnumProperty(name="Boards run", description="Which way the boards run", items=RUNS)
    angle: FloatProperty(
        name="Angle",
        description="From the edge at which the first course is laid to the boards, anticlockwise",
        subtype="ANGLE",
        default=radians(30),
        step=500,
        precision=1,
    )
    joints: EnumProperty(name="Joints", description="Where the boards of a course meet", items=JOINTS)
    colour: FloatVectorProperty(
        name="Colour", description="Colour of the boards", subtype="COLOR_GAMMA", size=3, min=0.0, max=1.0
    )
    weathered: FloatProperty(
        name="Weathered",
        description="How far sun and rain have changed the boards: 0 as new, 1 after two summers",
        subtype="FACTOR",
        min=0.0,
        max=1.0,
        precision=2,
    )

    built_site_json: StringProperty(description="The site that the deck was built from")
    built_choices: StringProperty(description="The choices that the deck was built with")
    figures: CollectionProperty(type=Figure)
    takeoff: CollectionProperty(type=TakeoffRow)
    failed: CollectionProperty(type=FailedCheck)

    view: EnumProperty(name="View", description="Where the picture is taken from", items=VIEWS)
    quality: EnumProperty(name="Quality", description="How much time the picture may take", items=QUALITIES)
    world_before: PointerProperty(type=bpy.types.World, description="The scene's world before our sky took its place")


def of(context: bpy.types.Context) -> DeckSettings:
    """Return what the scene in hand remembers of its deck."""
    return context.scene.courseline
