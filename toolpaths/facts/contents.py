"""What goes into the finished part: panes and panels in recesses, screws in its wood, clips that turn over both.

Facts that the judge holds against the simulated part: a recess is only right when its contents go in.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from numbers import Real
from typing import Any

import shapely
from shapely import MultiPolygon, Polygon

from toolpaths.base.checks import (
    coordinate,
    distance,
    instance,
    label,
    length,
    let_in,
    one_of,
    places_in,
    point,
    sequence,
    shown,
)
from toolpaths.base.errors import InputError, Point
from toolpaths.base.values import Value
from toolpaths.facts import drawn
from toolpaths.facts.turning import SIDES, Side

# mm by which a thing may lie deeper than meant and nobody sees it (common practice, no source).
USUAL_PLAY = 0.5
# mm of wood that stay beyond the point of a screw (common practice, no source).
USUAL_LEFT = 2.0
# mm by which a clip reaches over what it holds (common practice, no source).
USUAL_HOLD = 3.0


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class GoesIn(Value):
    """Something flat that lies in a recess of the part, as made by goes_in()."""

    shape: Polygon | MultiPolygon
    thickness: float
    fit: float
    face: Side
    name: str
    below: float
    spread: float
    play: float

    def __post_init__(self) -> None:
        let_in(
            self, shape=drawn.area, thickness=length, fit=distance, face=partial(one_of, choices=SIDES), name=label,
            below=coordinate, spread=distance, play=distance,
        )  # fmt: skip
        if self.spread >= self.thickness:
            raise InputError(f"spread={self.spread:g} must be less than the thickness, {self.thickness:g}.")

    def __repr__(self) -> str:
        left, low, right, high = self.shape.bounds
        size = f"{right - left:g} x {high - low:g} x {self.thickness:g}"
        return f"<GoesIn: {self.name[:60]}, {size}, {self.fit:g} of room, {self.face}>"


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ScrewedIn(Value):
    """Screws driven into the part, as made by screwed_in()."""

    places: tuple[Point, ...]
    length: float
    above: float
    face: Side
    name: str
    least_left: float

    def __post_init__(self) -> None:
        let_in(
            self, places=places_in, length=length, above=distance, face=partial(one_of, choices=SIDES), name=label,
            least_left=distance,
        )  # fmt: skip
        if self.above >= self.length:
            raise InputError(f"above={self.above:g} leaves nothing of a screw {self.length:g} long for the wood.")

    def __repr__(self) -> str:
        return f"<ScrewedIn: {self.name[:60]}, {len(self.places)} of {self.length:g} mm, {self.face}>"


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class TurningClip(Value):
    """A clip that turns on a screw and holds a pane, as made by turning_clip()."""

    place: Point
    reach: float
    over: GoesIn
    hold: float
    name: str

    def __post_init__(self) -> None:
        let_in(self, place=point, reach=length, over=partial(instance, kind=GoesIn), hold=distance, name=label)
        if self.hold >= self.reach:
            raise InputError(f"hold={self.hold:g} must be less than the reach, {self.reach:g}.")

    def __repr__(self) -> str:
        return f"<TurningClip: {self.name[:60]}, reaches {self.reach:g} over {self.over.name[:40]}>"


PartContent = GoesIn | ScrewedIn | TurningClip


def contents_of_part(name: str, given: Any) -> tuple[PartContent, ...]:
    """The door for what goes into a part."""
    found = sequence(name, given, "a list of goes_in(...), screwed_in(...) and turning_clip(...)")
    for each in found:
        if not isinstance(each, (GoesIn, ScrewedIn, TurningClip)):
            raise InputError(
                f"{name} must list goes_in(...), screwed_in(...) and turning_clip(...), not {shown(each)}."
            )
    return tuple(found)


def goes_in(
    shape: Polygon | MultiPolygon,
    thickness: float | Sequence[float],
    *,
    fit: float,
    face: Side = "front",
    name: str = "what goes in",
    below: float = 0.0,
    spread: float = 0.0,
    play: float = USUAL_PLAY,
) -> GoesIn:
    """Something flat that must lie in the finished part: a pane, a panel, a dial, a hinge's leaf, a stack of cards.

    shape : its own outline, square corners and all, seen from the front, where it will lie
    thickness : mm; several for a stack, which are added up
    fit : mm of room all round it. Common practice, no source: glass in a rebate 1.5, a panel that moves with the
        weather by wood_movement(), a metal leaf 0.1
    face : from which it is put in
    below : mm by which its outer face lies below that face of the board before any work; < 0 stands proud
    spread : mm by which its thickness may be off, to either side
    play : mm by which it may lie deeper than that

    The judge of a job with it (Job.contents, Part.contents) looks at the simulated part: that no wood stands in its way
    within its fit, in corners least of all, that it lies as deep as meant, and that something carries it.

    >>> from toolpaths import goes_in, rectangle
    >>> goes_in(rectangle(84, 60, (100, 70)), thickness=2, fit=0.5, name="pane")
    <GoesIn: pane, 84 x 60 x 2, 0.5 of room, front>

    Raises InputError for lengths that cannot be used, and a shape that is no sound polygon.
    """
    layers: list[Any] = [thickness]
    if not isinstance(thickness, Real):
        layers = sequence("thickness", thickness, "mm, or several for a stack")
    if not layers:
        raise InputError("thickness lists nothing.")
    whole: float = sum(length("thickness", layer) for layer in layers)
    return GoesIn(shape, whole, fit, face, name, below, spread, play)


def screwed_in(
    places: Iterable[Any],
    length: float,
    *,
    above: float = 0.0,
    face: Side = "front",
    name: str = "screws",
    least_left: float = USUAL_LEFT,
) -> ScrewedIn:
    """Screws that are driven into the finished part: their points must stay in its wood.

    places : (x, y) seen from the front
    length : of a screw below its head, mm
    above : mm of it that are in what it holds, a hinge or a clip, and not in the wood
    least_left : mm of wood beyond its point; 2 is common practice, no source

    >>> from toolpaths import screwed_in
    >>> screwed_in([(30, 20), (30, 60)], 12, above=1.5, name="hinge screws")
    <ScrewedIn: hinge screws, 2 of 12 mm, front>

    Raises InputError for lengths that cannot be used.
    """
    return ScrewedIn(tuple(places_in("places", places)), length, above, face, name, least_left)


def turning_clip(
    place: Point, reach: float, over: GoesIn, *, hold: float = USUAL_HOLD, name: str = "clip"
) -> TurningClip:
    """A clip that turns on a screw beside a pane and holds it: it must be free to turn, and reach over the pane.

    place : of its screw (x, y), seen from the front
    reach : mm from the screw to the clip's far end
    over : what it holds, as made by goes_in(); the clip lies on that face
    hold : mm by which it must reach over that; 3 is common practice, no source

    >>> from toolpaths import goes_in, rectangle, turning_clip
    >>> pane = goes_in(rectangle(84, 60, (100, 70)), thickness=2, fit=0.5, name="pane")
    >>> turning_clip((100, 106), 14, pane)
    <TurningClip: clip, reaches 14 over pane>

    Raises InputError where it could not reach the pane at all, and for lengths that cannot be used.
    """
    made = TurningClip(place, reach, over, hold, name)
    far = float(shapely.distance(made.over.shape, shapely.Point(made.place)))
    if far + made.hold > made.reach:
        raise InputError(
            f"The clip {made.name} reaches {made.reach:g} mm, and {over.name} begins {far:.2f} mm from its screw; to "
            f"hold it by {made.hold:g} it must reach {far + made.hold:.2f}."
        )
    return made
