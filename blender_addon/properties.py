"""What a scene remembers of its deck: what was picked, the site, the user's choices, and the figures as built."""

from __future__ import annotations

from math import radians

import bpy
from bpy.props import (
    BoolProperty,
    CollectionProperty,
    EnumProperty,
    FloatProperty,
    FloatVectorProperty,
    IntProperty,
    PointerProperty,
    StringProperty,
)

from . import ids, live

ROLES = (
    ("outline", "Deck outline", "The edge of the boarding, as a face or a closed line at the height of the boards"),
    ("house", "House", "What is cut at the height of the boards for the walls that the deck stands against"),
    ("obstacle", "In the way", "Posts, downpipes, gullies, trees: boards are cut round them"),
    ("door", "Door or window", "Joints keep clear of where people step out, and a picture is taken from there"),
)
KINDS = (
    ("other", "Something", "Boards are cut round it"),
    ("post", "Post", "Boards are cut round it"),
    ("downpipe", "Downpipe", "Boards are cut round it"),
    ("tree", "Tree", "Boards are cut round its trunk"),
    ("gully", "Gully", "Boards are cut round it, at the ground under the deck too"),
    ("cover", "Inspection cover", "A panel that lifts out is made over it"),
)
DOORS = (
    ("auto", "Door", "Sliding or folding doors are told by their width"),
    ("door", "Hinged door", "One leaf"),
    ("sliding", "Sliding doors", "Leaves that slide"),
    ("folding", "Folding doors", "Leaves that fold to the side"),
    ("window", "Window", "Nobody steps out of it"),
)
SIDES = (
    ("grain", "Wood grain", "Lay the boards with the embossed wood grain up"),
    ("grooved", "Grooves", "Lay the boards with the grooved face up"),
)
RUNS = (
    ("site", "As in the site", "Boards run as the site file says"),
    (
        "along",
        "Along the house",
        "Boards run along the edge at which laying begins, as a rule the house wall",
    ),
    ("out", "Out from the house", "Boards run square to the edge at which laying begins, as a rule the house wall"),
    ("diagonal", "Diagonal", "Boards run at 45 degrees to the edge at which laying begins"),
    ("walls", "Round the house", "Boards follow each wall of the house in turn and meet at its corners"),
    ("other", "Other angle", "Boards run at an angle of your own"),
)
JOINTS = (
    ("half", "Half bond", "Two joint lines in turn, as in brickwork"),
    ("third", "Third bond", "Three joint lines in turn"),
    ("scattered", "Scattered", "Joints fall freely, with no two neighbouring courses alike"),
    ("none", "Whole boards", "One board to a course, wherever a board reaches from end to end"),
)
SEAMS = (
    ("mitre", "Mitred", "Boards are cut at a slant and meet end to end"),
    ("divider", "A single board", "Boards end at one board that is laid along the seam"),
)
CORNERS = (
    ("mitre", "Mitred", "Border boards are cut at a slant at corners"),
    ("butt", "Butted", "Border boards run past each other at corners"),
)
FINISHES = (
    ("flush", "Open", "Boards end at the edge"),
    ("trim", "Trimmed", "Boards are laid over the edge and cut off in one line"),
    ("fascia", "Fascia", "A board on edge closes what is under the boards"),
    ("step", "Step", "A nosing along the edge, and a fascia under it"),
)
VIEWS = (
    ("garden", "From the garden", "Stand in the garden and look back at the house"),
    ("doorway", "From the doorway", "Stand in the doorway and look out over the deck"),
    ("above", "From above", "Look down on the whole deck"),
    ("corner", "At a corner", "Stand before a corner of the house and see how the boards meet it"),
    ("close", "Close up", "Look down at the nearest boards, to tell their faces apart"),
    ("own", "As in the site file", "The view that the site file gives"),
)
QUALITIES = (
    ("draft", "Draft", "A small picture for a first look"),
    ("client", "Client", "A full-size picture to show; takes some minutes"),
)
AROUND = (
    ("all", "House and garden", "Show a house as the site describes it, and a garden round it"),
    ("deck", "My own model", "Show the deck alone, beside the house that is in the scene"),
)


def _changed(group: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    """Bring the deck up to date, soon."""
    scene = group.id_data
    if isinstance(scene, bpy.types.Scene):
        live.request(scene)


def _redrawn(group: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    live.redraw()


class Picked(bpy.types.PropertyGroup):
    """An object that was picked; it may since have been renamed or deleted."""

    thing: PointerProperty(type=bpy.types.Object)
    role: EnumProperty(items=ROLES)
    kind: EnumProperty(name="Kind", description="What it is: says how boards deal with it", items=KINDS)
    door: EnumProperty(name="Kind", description="What kind of door or window it is", items=DOORS)


class Edge(bpy.types.PropertyGroup):
    """An edge of the first deck's outline, by its number; its length stands in its name."""

    number: IntProperty()
    finish: EnumProperty(
        name="Finish",
        description="How the boards end at this edge",
        items=FINISHES,
        update=_changed,
    )
    at_wall: BoolProperty(name="At the house", description="A wall stands at this edge")
    at_house: BoolProperty(
        name="House here",
        description="Put a plain brick house behind this edge when the site is taken in again",
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

    places: StringProperty(description="Where it is to be seen")


class DeckSettings(bpy.types.PropertyGroup):
    """The whole state of the add-on in one scene."""

    picked: CollectionProperty(type=Picked)
    job: StringProperty(name="Job", description="Name of the job, which stands on every paper", default="Deck")
    height: FloatProperty(
        name="Height (mm)",
        description="From the ground to the top of the boards, where the outline is drawn on the ground",
        default=150.0,
        min=25.0,
        max=5000.0,
        step=500,
        precision=0,
    )

    site_name: StringProperty(name="Job", description="Name of the job, as the site file gives it")
    site_json: StringProperty(description="The site as read, so that this file no longer needs the site file")

    side: EnumProperty(name="Face up", description="Which face of the boards is seen", items=SIDES, update=_changed)
    run: EnumProperty(name="Boards run", description="Which way the boards run", items=RUNS, update=_changed)
    angle: FloatProperty(
        name="Angle",
        description="From the edge at which the first course is laid to the boards, anticlockwise",
        subtype="ANGLE",
        default=radians(30),
        step=500,
        precision=1,
        update=_changed,
    )
    joints: EnumProperty(name="Joints", description="Where the boards of a course meet", items=JOINTS, update=_changed)
    seam: EnumProperty(
        name="House corners",
        description="How boards meet where they turn with the house",
        items=SEAMS,
        update=_changed,
    )
    border: IntProperty(
        name="Border boards",
        description="How many boards are laid along the free edges as a border",
        min=0,
        max=4,
        update=_changed,
    )
    corners: EnumProperty(
        name="Border corners", description="How border boards meet at corners", items=CORNERS, update=_changed
    )
    colour: FloatVectorProperty(
        name="Colour",
        description="Colour of the boards",
        subtype="COLOR_GAMMA",
        size=3,
        min=0.0,
        max=1.0,
        update=_changed,
    )
    weathered: FloatProperty(
        name="Weathered",
        description="How far sun and rain have changed the boards: 0 as new, 1 after two summers",
        subtype="FACTOR",
        min=0.0,
        max=1.0,
        precision=2,
        update=_changed,
    )
    course_gap: FloatProperty(
        name="Boards",
        description="Gap between neighbouring boards in mm, as the clips keep it",
        min=0.0,
        max=20.0,
        step=50,
        precision=1,
        update=_changed,
    )
    butt_gap: FloatProperty(
        name="Joints",
        description="Gap between board ends in mm, which lets them grow in the sun",
        min=0.0,
        max=30.0,
        step=50,
        precision=1,
        update=_changed,
    )
    wall_gap: FloatProperty(
        name="House",
        description="Gap between the boards and the wall in mm",
        min=0.0,
        max=50.0,
        step=50,
        precision=1,
        update=_changed,
    )
    centres: FloatProperty(
        name="Joists (mm)",
        description="The furthest that joists may lie apart, from middle to middle",
        min=150.0,
        max=800.0,
        step=1000,
        precision=0,
        update=_changed,
    )
    spare: FloatProperty(
        name="Spare boards",
        description="Boards to order beyond what the plan uses: below 1 a share of all, from 1 on so many",
        min=0.0,
        max=1000.0,
        step=10,
        precision=2,
        update=_changed,
    )
    edges: CollectionProperty(type=Edge)
    product_table: StringProperty(
        name="My products",
        description="Your own table of boards, timber and fixings with your prices; none: an invented one",
        subtype="FILE_PATH",
    )

    around: EnumProperty(name="Beside it", description="What is shown beside the deck", items=AROUND, update=_changed)
    built_site_json: StringProperty(description="The site that the deck was built from")
    built_from: StringProperty(description="The site as read, and the choices that the deck was built with")
    built_ground: StringProperty(description="What house and garden were built from")
    is_draft: BoolProperty(description="Whether boards are shown as they were being chosen, and not yet as planned")
    is_estimate: BoolProperty(
        description="Whether the figures are an estimate, which the order may better", default=True
    )
    fault: StringProperty(description="Why the deck could not be brought up to date")
    figures: CollectionProperty(type=Figure)
    takeoff: CollectionProperty(type=TakeoffRow)
    failed: CollectionProperty(type=FailedCheck)
    joint_places: StringProperty(description="Where boards are butted")

    show_joints: BoolProperty(name="Joints", description="Mark where boards are butted", default=True, update=_redrawn)
    show_failed: BoolProperty(
        name="To see to", description="Mark what is to be seen to, with the reason", default=True, update=_redrawn
    )
    show_edges: BoolProperty(
        name="Edge numbers", description="Write the number of each edge beside it", default=False, update=_redrawn
    )

    view: EnumProperty(name="View", description="Where the picture is taken from", items=VIEWS)
    quality: EnumProperty(name="Quality", description="How much time the picture may take", items=QUALITIES)
    world_before: PointerProperty(type=bpy.types.World, description="The scene's world before our sky took its place")


def of(context: bpy.types.Context) -> DeckSettings:
    """Return what the scene in hand remembers of its deck."""
    return of_scene(context.scene)


def of_scene(scene: bpy.types.Scene) -> DeckSettings:
    """Return what a scene remembers of its deck."""
    settings: DeckSettings = getattr(scene, ids.SETTINGS)
    return settings
