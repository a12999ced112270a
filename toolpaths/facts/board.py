"""The board and what stands on it or beneath it: screws, clamps, dowels. Lengths in mm.

All places are seen from the front, from the lower-left corner of the board.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

from shapely import Polygon, box

from toolpaths.base import checks
from toolpaths.base.checks import (
    coordinate,
    distance,
    finite,
    label,
    label_or_empty,
    let_in,
    optional,
    points,
    positive,
)
from toolpaths.base.errors import InputError, UnitsError
from toolpaths.base.values import fields_in_a_line
from toolpaths.facts import drawn
from toolpaths.facts.woods import kind_of, wood_name

# Below these a board is more likely one in inches entered as mm (common practice, no source).
_SMALLEST = 50.0
THINNEST_BOARD = 1.5
# And above these one in mm turned into inches a second time: no panel on sale is so long or so thick.
_LARGEST = 5000.0
_THICKEST = 300.0
# mm that a dowel's hole may be off its place, or short of its depth.
_HOLE_OFF = 0.05
# mm that a dowel's hole may be narrower than its pin: what a path may be off, and no more, since no pin goes into a
# hole that is narrower than itself.
_HOLE_TIGHT = 0.01
# mm that a hole may be wider than its pin: a slip fit is 0.02 to 0.10 by trial (common practice, no
# source), and a flip is off by half of what is beyond.
_HOLE_SLACK = 0.25
# Sheets that are alike in every direction, or in two.
_NO_GRAIN = ("plywood", "MDF")


def _grain(name: str, value: Any) -> Any:
    """Degrees from X, 0 up to 180; "none", or None where it is not said."""
    if value is None or (isinstance(value, str) and value == "none"):
        return value
    return finite(name, value) % 180.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The blank: width along X, height along Y, and its thickness as measured, not as sold.

    wood : "softwood", "hardwood", "plywood", "MDF", a species such as "red oak", or what several are called together,
        such as "oak"; "" if it is not said. Chip loads are judged by its kind
    grain_deg : direction of the grain, anticlockwise from X seen from the front, or "none" where there is none
        to speak of; unless given along the longer side, as boards are sold (common practice, no source), and
        none in plywood and MDF
    """

    width: float
    height: float
    thickness: float
    name: str = "board"
    wood: str = ""
    grain_deg: float | Literal["none"] | None = None

    __repr__ = fields_in_a_line

    def __post_init__(self) -> None:
        let_in(self, width=positive, height=positive, thickness=positive, name=label, wood=wood_name, grain_deg=_grain)
        if max(self.width, self.height) < _SMALLEST or self.thickness < THINNEST_BOARD:
            raise UnitsError(
                f"Is the board really {self.width:g} x {self.height:g} x {self.thickness:g} mm? If these are inches, "
                "write inch(...) around each. A piece that small is held on a larger carrier: enter the carrier."
            )

        if max(self.width, self.height) > _LARGEST or self.thickness > _THICKEST:
            raise UnitsError(
                f"Is the board really {self.width:g} x {self.height:g} x {self.thickness:g} mm? If its sizes were in "
                "mm already, write them without inch(...)."
            )

    @property
    def grain_direction_deg(self) -> float | None:
        """Direction of the grain, 0 up to 180 degrees from X seen from the front; None where there is none."""
        if self.grain_deg is None:
            return None if kind_of(self.wood) in _NO_GRAIN else 0.0 if self.width >= self.height else 90.0
        return None if self.grain_deg == "none" else float(self.grain_deg)

    @property
    def outline(self) -> Polygon:
        return box(0, 0, self.width, self.height)


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A hold-down screw (or any round obstacle): a head standing up to `height` above the board.

    driven_at : the message of the operator stop at which it is driven, or "" if it is there
        from the start.
    shank_diameter : mm, across its thread; what its pilot hole and its hold on the wood are judged by
    length : mm, from the underside of its head to its point, likewise
    """

    x: float
    y: float
    head_diameter: float
    height: float
    driven_at: str = ""
    shank_diameter: float | None = None
    length: float | None = None

    __repr__ = fields_in_a_line

    def __post_init__(self) -> None:
        given_length = partial(optional, door=checks.length)
        let_in(self, "screw ", x=coordinate, y=coordinate)
        let_in(self, head_diameter=checks.length, height=distance, driven_at=label_or_empty)
        let_in(self, shank_diameter=given_length, length=given_length)
        if self.shank_diameter is not None and self.shank_diameter > self.head_diameter:
            raise InputError(
                f"shank_diameter={self.shank_diameter:g} is more than head_diameter={self.head_diameter:g}."
            )


def screws(
    places: Iterable[Any],
    *,
    head_diameter: float,
    height: float,
    driven_at: str = "",
    shank_diameter: float | None = None,
    length: float | None = None,
) -> tuple[Screw, ...]:
    """One screw at each (x, y), seen from the front.

    head_diameter, height : mm, of the head, and how far it stands above the board
    driven_at : the message of the operator stop at which they are driven; "" for screws that are there from the start
    shank_diameter, length : mm, across the thread, and from the underside of the head to the point, where they are
        known; what their pilot holes and their hold on the wood are judged by

    >>> from toolpaths import screws
    >>> len(screws([(10, 10), (190, 10)], head_diameter=9, height=3, driven_at="Drive the screws"))
    2

    Raises InputError for numbers that make no screw.
    """
    return tuple(
        Screw(
            x=x,
            y=y,
            head_diameter=head_diameter,
            height=height,
            driven_at=driven_at,
            shank_diameter=shank_diameter,
            length=length,
        )
        for x, y in points("places", places).tolist()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp:
    """A clamp: its area seen from the front, and how far it stands above the board."""

    area: Polygon
    height: float

    __repr__ = fields_in_a_line

    def __post_init__(self) -> None:
        let_in(self, area=drawn.polygon, height=distance)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dowel:
    """A registration dowel through the board into the spoilboard, and what its hole has to be.

    depth : how far its hole goes into the spoilboard at its full width; the point of a drill goes deeper by its length
    standing : how far the pin stands above the board once it is in, on the second side

    >>> dowel = Dowel(x=10, y=50, diameter=8, depth=7)
    >>> dowel.narrowest_hole, dowel.widest_hole, dowel.shallowest_hole
    (7.99, 8.25, 6.95)
    """

    x: float
    y: float
    diameter: float
    depth: float
    standing: float = 0.0

    __repr__ = fields_in_a_line

    def __post_init__(self) -> None:
        let_in(self, "dowel ", x=coordinate, y=coordinate)
        let_in(self, diameter=checks.length, depth=checks.length, standing=distance)

    @property
    def hole_may_miss(self) -> float:
        """mm by which the middle of its hole may lie off its place."""
        return _HOLE_OFF

    @property
    def narrowest_hole(self) -> float:
        """mm across, in which its pin still goes."""
        return self.diameter - _HOLE_TIGHT

    @property
    def widest_hole(self) -> float:
        """mm across, that still holds its pin."""
        return self.diameter + _HOLE_SLACK

    @property
    def shallowest_hole(self) -> float:
        """mm into the spoilboard at its full width, at least; a drill's point goes deeper."""
        return self.depth - _HOLE_OFF

    @property
    def hole_reach(self) -> float:
        """mm from its place within which all of a cut lies that makes its hole and nothing else: the widest that holds
        its pin, as far off its place as a hole may be."""
        return self.widest_hole / 2 + self.hole_may_miss


def dowels(places: Iterable[Any], *, diameter: float, depth: float, standing: float = 0.0) -> tuple[Dowel, ...]:
    """One dowel at each (x, y), seen from the front.

    diameter : mm, of the pins; depth : mm that their holes go into the spoilboard at full width, a drill's point
        deeper; standing : mm that the pins stand above the board on the second side

    >>> from toolpaths import dowels
    >>> len(dowels([(10, 70), (190, 70)], diameter=8, depth=6))
    2

    Raises InputError for numbers that make no dowel.
    """
    return tuple(
        Dowel(x=x, y=y, diameter=diameter, depth=depth, standing=standing) for x, y in points("places", places).tolist()
    )
