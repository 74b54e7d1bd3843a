"""What a client compares: the choices, planned and shown from one place, and the sheet that puts them side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from .design import design
from .effort import FOR_AN_ORDER
from .errors import SiteError
from .papers.sheet import LETTERS, Entry, compare_sheet
from .papers.split import Side, split_picture
from .papers.summary import Summary, difference, summarise
from .plan import Plan
from .planfile import write_plan
from .scene.choices import build_scenes
from .scene.model import SceneModel
from .scene.shots import Shot
from .scene.two_boards import NAME as TWO_BOARDS
from .spec import Site
from .variants import QUESTIONS, Variant, Varied, split_pair, variants
from .version import VERSION

SAME = "The same deck from the same place, in the same light."
FIRST = "The others are compared with this one."
PLACES = {"garden": "From the garden", "doorway": "From the doorway", "above": "From above", "corner": "At a corner"}
"""Where a view is taken from, by its name."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Choices of one site with the plan and the scene of each; two of them are to be shown in one picture."""

    site: Site
    vary: Varied
    choices: tuple[Variant, ...]
    pair: tuple[Variant, Variant]
    plans: tuple[Plan, ...]
    scenes: tuple[SceneModel, ...]

    @property
    def views(self) -> tuple[str, ...]:
        """Where all of them can be seen from."""
        return views_of(self.scenes[0])


def compare_choices(
    site: Site,
    vary: Varied,
    wanted: Sequence[str] = (),
    split: Sequence[str] = (),
    view: str | None = None,
    plan: Callable[[Site], Plan] = lambda site: design(site, FOR_AN_ORDER),
) -> Comparison:
    """Plan every choice and build its scene.

    Parameters
    ----------
    site : Site
    vary : str
        What differs.
    wanted, split : sequence of str
        Which choices, and which two to show in one picture; as a rule the usual ones, and the first two.
    view : str, optional
        From where; as a rule as the site says, a border from above, where one sees it.
    plan : callable
        Plans a site; as a rule with the effort that an order is worth.

    Raises
    ------
    SiteError
        If there is no such choice or view, or a choice cannot be planned.
    """
    choices = variants(site, vary, wanted)
    pair = split_pair(choices, split)
    plans = tuple(plan(choice.site) for choice in choices)
    view = view or ("above" if vary == "border" and site.look.view == "garden" else None)
    scenes = tuple(seen_from(scene, view) for scene in build_scenes(plans))
    return Comparison(site, vary, tuple(choices), (pair[0], pair[1]), plans, scenes)


def shots_of(made: Comparison, folder: Path, stem: str) -> list[Shot]:
    """Say which picture, .blend and close-up of each choice are to be made, each choice in a folder of its own."""
    shots = []
    for choice, scene in zip(made.choices, made.scenes, strict=True):
        place = folder / f"{made.vary}-{choice.key}"
        picture, near = place / f"{stem}.png", place / f"{stem}-close.png"
        shots.append(Shot(scene, picture, picture.with_suffix(".blend"), near, TWO_BOARDS))
    return shots


def write_comparison(
    made: Comparison, shots: Sequence[Shot], folder: Path, stem: str
) -> tuple[list[Entry], list[Path]]:
    """Write the sheet, two choices in one picture, and the plan of each, once the pictures are there.

    Returns
    -------
    entries : list of Entry
        What the sheet says of each choice.
    papers : list of Path
        The sheet and the picture of two.
    """
    title = f"{stem}-{made.vary}"
    for plan, shot in zip(made.plans, shots, strict=True):
        write_plan(plan, shot.picture.parent)
    sums = [summarise(plan) for plan in made.plans]
    entries = [
        Entry(shot.picture, choice.label, sum_.facts(), shot.close_up, _remark(sums[0], sum_))
        for shot, choice, sum_ in zip(shots, made.choices, sums, strict=True)
    ]
    sheet, both = folder / f"{title}.png", folder / f"{title}-split.png"
    compare_sheet(
        entries,
        made.site.name,
        sheet,
        question=f"{QUESTIONS[made.vary]} {SAME}",
        seen=_seen(made.site, made.scenes[0].view),
        source=f"the plan.json of each choice, Courseline {VERSION}",
    )
    first, second = (_side_of(entries, made.choices.index(choice)) for choice in made.pair)
    split_picture(first, second, both)
    return entries, [sheet, both]


def views_of(scene: SceneModel) -> tuple[str, ...]:
    """Name the views of a scene that show the deck as a whole."""
    return tuple(camera.name for camera in scene.cameras if camera.name != TWO_BOARDS)


def seen_from(scene: SceneModel, view: str | None) -> SceneModel:
    """The same scene from another of its views.

    Raises
    ------
    SiteError
        If it has no such view.
    """
    if view is None:
        return scene
    views = views_of(scene)
    if view not in views:
        raise SiteError("view", repr(view), f"this site has the views {', '.join(views)}")
    return replace(scene, view=view)


def _side_of(entries: Sequence[Entry], number: int) -> Side:
    return Side(entries[number].picture, f"{LETTERS[number]}  {entries[number].label}")


def _remark(first: Summary, one: Summary) -> str:
    return FIRST if one is first else difference(first, one, LETTERS[0])


def _seen(site: Site, view: str) -> str:
    """Say from where and when a deck is seen."""
    when = datetime.fromisoformat(site.look.when)
    return f"{PLACES.get(view, 'From a chosen place')}, {when.day} {when:%B %Y}, {when:%H:%M}"
