"""The facts of one side of the board in the machine: what lies where, and where zero is.

The generator and the simulator both read these facts; nothing here decides motion.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import NOT_GIVEN, Floats, finite, not_negative, one_of, point, positive
from toolpaths.base.errors import InputError
from toolpaths.facts.board import Board, Clamp, Dowel, Screw
from toolpaths.facts.machine import Machine

CORNERS = ("lower left", "lower right", "upper left", "upper right", "centre")
SURFACES = ("top", "spoilboard")
TURNS = ("left to right", "top to bottom")
# Room above the board to fit a cutter or drive a screw, mm (common practice, no source).
_WAIT_HEIGHT = 25.0
# Room over the board for ways across it, mm (common practice: 1 to 3 mm, no source).
_LINK_HEIGHT = 2.0
# Dowel holes drilled this far off their mirror image would not meet their pins.
_DOWEL_MATCH = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixture:
    """One side of the board, as it lies.

    turned : "" for the front; for the back how the board was turned over, "left to right"
        (about its upright centre line) or "top to bottom"
    zero_at : which point of the board, as it lies then, is X0 Y0
    zero_on : whether Z0 is the board's "top" or the "spoilboard"
    safe_height : Z above the board's top at which each piece of work begins and ends; 5 mm above the highest
        hold-down unless given
    link_height : Z above the board's top for moves across it within a piece of work, where nothing stands below; 2 mm
        unless given, never above the safe height
    spoilboard_depth : how deep the spoilboard may be cut anywhere; dowel holes go deeper
    overhang : how far the cutter may reach past the board's edges while below its top
    screws, clamps, dowels : as seen from the front, whichever side this is
    grips : areas, seen from the front, over which tape, vacuum or a vise holds the board from below
    wait_at, wait_height : where the cutter stands at stops, cutter changes and the end: (x, y) from
        the lower-left corner of the board as it lies, and Z above its top; over that corner, and
        25 mm up or at the safe height, whichever is higher, unless given
    zero_in_machine : machine coordinates (x, y, z) of the zero, if known, for the travel check
    """

    board: Board
    machine: Machine = field(default_factory=Machine)
    turned: str = ""
    zero_at: str = "lower left"
    zero_on: str = "top"
    safe_height: float = NOT_GIVEN
    link_height: float = NOT_GIVEN
    spoilboard_depth: float = 0.5
    overhang: float = 0.0
    screws: tuple[Screw, ...] = ()
    clamps: tuple[Clamp, ...] = ()
    dowels: tuple[Dowel, ...] = ()
    grips: tuple[Polygon, ...] = ()
    wait_at: tuple[float, float] = (0.0, 0.0)
    wait_height: float = NOT_GIVEN
    zero_in_machine: tuple[float, float, float] | None = None

    def __post_init__(self) -> None:
        for name, fact in (("board", Board), ("machine", Machine)):
            if not isinstance(getattr(self, name), fact):
                raise InputError(f"{name}={getattr(self, name)!r} must be a {fact.__name__}.")
        for name, kind in (("screws", Screw), ("clamps", Clamp), ("dowels", Dowel), ("grips", Polygon)):
            things = getattr(self, name)
            if not isinstance(things, (tuple, list)) or not all(isinstance(thing, kind) for thing in things):
                raise InputError(f"{name} must be a tuple of {kind.__name__}(...).")
            object.__setattr__(self, name, tuple(things))
        if self.zero_in_machine is not None:
            if not isinstance(self.zero_in_machine, tuple) or len(self.zero_in_machine) != 3:
                raise InputError(f"zero_in_machine={self.zero_in_machine!r} must be (x, y, z) in mm.")
            for axis, value in zip("xyz", self.zero_in_machine, strict=True):
                finite(f"zero_in_machine {axis}", value)
        one_of("zero_at", self.zero_at, CORNERS)
        one_of("zero_on", self.zero_on, SURFACES)
        one_of("turned", self.turned, ("", *TURNS))
        not_negative("spoilboard_depth", self.spoilboard_depth)
        not_negative("overhang", self.overhang)
        if self.safe_height is NOT_GIVEN:
            object.__setattr__(self, "safe_height", self.highest + 5.0)
        positive("safe_height", self.safe_height)
        if self.safe_height <= self.highest:
            raise InputError(
                f"safe_height={self.safe_height:g} does not clear the hold-downs, which stand {self.highest:g} mm "
                f"above the board; use {self.highest + 5:g} or more."
            )
        if self.link_height is NOT_GIVEN:
            object.__setattr__(self, "link_height", min(_LINK_HEIGHT, self.safe_height))
        if positive("link_height", self.link_height) > self.safe_height:
            raise InputError(
                f"link_height={self.link_height:g} is above safe_height={self.safe_height:g}; use that or less."
            )
        object.__setattr__(self, "wait_at", point("wait_at", self.wait_at))
        if self.wait_height is NOT_GIVEN:
            object.__setattr__(self, "wait_height", max(self.safe_height, _WAIT_HEIGHT))
        if positive("wait_height", self.wait_height) < self.safe_height:
            raise InputError(f"wait_height={self.wait_height:g} is below the safe height {self.safe_height:g}.")
        for thing, (x, y) in [(s, (s.x, s.y)) for s in self.screws] + [(d, (d.x, d.y)) for d in self.dowels]:
            if not self.board.outline.covers(Point(x, y)):
                raise InputError(f"{thing} lies off the board, {self.board.width:g} x {self.board.height:g} mm.")
        if self.turned:
            self._check_dowels()

    def _check_dowels(self) -> None:
        for dowel in self.dowels:
            mirrored = self.place(Point(dowel.x, dowel.y))
            if not any(
                Point(other.x, other.y).distance(mirrored) <= _DOWEL_MATCH and other.diameter == dowel.diameter
                for other in self.dowels
            ):
                raise InputError(
                    f"Turned {self.turned}, the dowel of {dowel.diameter:g} at ({dowel.x:g}, {dowel.y:g}) comes to "
                    f"({mirrored.x:g}, {mirrored.y:g}), where there is no dowel. Put dowels on the line about which "
                    "the board turns, or in pairs that mirror each other."
                )

    @property
    def side(self) -> str:
        return "back" if self.turned else "front"

    @property
    def grain_deg(self) -> float | None:
        """Direction of the grain as the board lies, anticlockwise from X; None where there is none to speak of.

        Turned over about either centre line, a slanting grain leans the other way.
        """
        grain = self.board.grain_deg
        return None if grain is None else (-grain if self.turned else grain) % 180.0

    @property
    def highest(self) -> float:
        """How far the highest hold-down or pin stands above the board."""
        pins = [d.standing for d in self.dowels] if self.turned else []
        return max([0.0, *(s.height for s in self.screws), *(c.height for c in self.clamps), *pins])

    @property
    def zero(self) -> tuple[float, float, float]:
        """The zero point, from the lower-left corner of the board as it lies, z from its top."""
        width, height = self.board.width, self.board.height
        x = width / 2 if self.zero_at == "centre" else width * self.zero_at.endswith("right")
        y = height / 2 if self.zero_at == "centre" else height * self.zero_at.startswith("upper")
        return x, y, 0.0 if self.zero_on == "top" else -self.board.thickness

    def place(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape seen from the front, where it comes to lie on this side (board coordinates)."""
        return shapely.transform(shape, self.seen_from_front) if self.turned else shape

    def seen_from_front(self, points: Floats) -> Floats:
        """Points (k, 2) of the board as it lies, as seen from the front; and the other way round."""
        return turned_points(points, self.board, self.turned)

    def turned_over(
        self,
        turned: str,
        *,
        zero_at: str | None = None,
        safe_height: float = NOT_GIVEN,
        link_height: float | None = None,
        screws: tuple[Screw, ...] = (),
        clamps: tuple[Clamp, ...] = (),
        grips: tuple[Polygon, ...] = (),
    ) -> Fixture:
        """The other side, on the same dowels; hold-downs are new, since the old ones came out.

        The zero stays at the same corner of the board as it then lies, unless zero_at is given;
        the safe height is 5 mm above the highest of what then stands there, and the link height that
        of the front, unless given.
        """
        if self.turned:
            raise InputError("This is the back already; turn the front over.")
        one_of("turned", turned, TURNS)
        return replace(
            self,
            turned=turned,
            zero_at=zero_at or self.zero_at,
            screws=screws,
            clamps=clamps,
            grips=grips,
            safe_height=safe_height,
            link_height=self.link_height if link_height is None else link_height,
        )


def turned_points(points: Floats, board: Board, turned: str) -> Floats:
    """Where points (k, 2) of a board come to lie once it is turned over so; where they are, for ""."""
    if turned == "left to right":
        return points * [-1.0, 1.0] + [board.width, 0.0]
    return points * [1.0, -1.0] + [0.0, board.height] if turned else points
