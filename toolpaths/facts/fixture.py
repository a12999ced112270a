"""The facts of one side of the board in the machine: what lies where, and where zero is.

The generator and the simulator both read these facts; nothing here decides motion.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import (
    Floats,
    distance,
    instance,
    label_or_empty,
    length,
    let_in,
    numbers,
    one_of,
    optional,
    point,
    shown,
    values,
)
from toolpaths.base.errors import InputError
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.board import THINNEST_BOARD, Board, Clamp, Dowel, Screw
from toolpaths.facts.grip import Grip, areas_or_grips, as_grip
from toolpaths.facts.hold_down import HoldDown, disc_about
from toolpaths.facts.machine import Machine
from toolpaths.facts.turning import CORNERS, TURNS, Corner, Turned, turned_points

# How far each of several cuts reaches from a place (x, y) of the board as it lies.
Reach = Callable[[float, float], Floats]
Surface = Literal["top", "spoilboard"]
SURFACES: tuple[Surface, ...] = ("top", "spoilboard")
# Room above the board to fit a cutter or drive a screw, mm (common practice, no source).
_WAIT_HEIGHT = 25.0
# Room over the board for ways across it, mm (common practice: 1 to 3 mm, no source).
_LINK_HEIGHT = 2.0
# Room between the highest hold-down and the safe height, mm (common practice, no source).
_OVER_HOLD_DOWNS = 5.0
# Dowel holes drilled this far off their mirror image would not meet their pins.
_DOWEL_MATCH = 0.01


@dataclass(frozen=True, kw_only=True, repr=False)
class Fixture(PickledByFields):
    """One side of the board, as it lies.

    turned : "" for the front; for the back how the board was turned over, "left to right"
        (about its upright centre line) or "top to bottom"
    levelled : mm by which the face that now lies down was levelled, all of it, before the board was turned: it lies so
        much lower on the spoilboard
    zero_at : which point of the board, as it lies then, is X0 Y0
    zero_on : whether Z0 is the board's "top" or the "spoilboard"
    safe_height : mm above the board's top at which each piece of work begins and ends; 5 mm above the highest
        hold-down unless given
    link_height : mm above the board's top for moves across it within a piece of work, where nothing stands below; 2 mm
        unless given, never above the safe height
    spoilboard_depth : how deep the spoilboard may be cut anywhere; dowel holes go deeper
    spoilboard_thickness : of the spoilboard, mm: neither dowel holes nor cuts may go through it; None if unknown
    overhang : how far the cutter may reach past the board's edges while below its top
    screws, clamps, dowels : as seen from the front, whichever side this is
    grips : areas, seen from the front, over which tape holds the board from below; Grip(...) for vacuum or a vise
    held_meanwhile : where all that holds the board is screws that are driven at a stop, what holds it until then, for
        the holes drilled first: "clamps at the left and the right edge"; printed in head and sheet, not judged
    wait_at, wait_height : where the cutter stands at stops, cutter changes and the end: (x, y) from
        the lower-left corner of the board as it lies, and mm above its top; over that corner, and
        25 mm up or at the safe height, whichever is higher, unless given
    zero_in_machine : machine coordinates (x, y, z) of the zero, if known, for the travel check

    >>> from toolpaths import Board, Fixture, screws
    >>> front = Fixture(board=Board(width=200, height=140, thickness=18),
    ...                 screws=screws([(10, 10)], head_diameter=9, height=3))
    >>> front.safe_z, front.turned_over("left to right").side
    (8.0, 'back')

    Raises InputError for facts that do not go together.
    """

    board: Board
    machine: Machine = field(default_factory=Machine)
    turned: Turned = ""
    levelled: float = 0.0
    zero_at: Corner = "lower left"
    zero_on: Surface = "top"
    safe_height: float | None = None
    link_height: float | None = None
    spoilboard_depth: float = 0.5
    spoilboard_thickness: float | None = None
    overhang: float = 0.0
    screws: tuple[Screw, ...] = ()
    clamps: tuple[Clamp, ...] = ()
    dowels: tuple[Dowel, ...] = ()
    grips: tuple[Polygon | Grip, ...] = ()
    held_meanwhile: str = ""
    wait_at: tuple[float, float] = (0.0, 0.0)
    wait_height: float | None = None
    zero_in_machine: tuple[float, float, float] | None = None

    def __post_init__(self) -> None:
        given_length = partial(optional, door=length)
        let_in(
            self, board=partial(instance, kind=Board), machine=partial(instance, kind=Machine),
            turned=partial(one_of, choices=("", *TURNS)), levelled=distance,
            zero_at=partial(one_of, choices=CORNERS), zero_on=partial(one_of, choices=SURFACES),
            safe_height=given_length, link_height=given_length, spoilboard_depth=distance,
            spoilboard_thickness=given_length, overhang=distance, screws=partial(values, kind=Screw),
            clamps=partial(values, kind=Clamp), dowels=partial(values, kind=Dowel), grips=areas_or_grips,
            held_meanwhile=label_or_empty, wait_at=point, wait_height=given_length,
            zero_in_machine=partial(optional, door=partial(numbers, words="x y z")),
        )  # fmt: skip
        self._check_levelled()
        self._check_spoilboard()
        self._check_heights()
        self._check_held_meanwhile()
        for thing, (x, y) in [(s, (s.x, s.y)) for s in self.screws] + [(d, (d.x, d.y)) for d in self.dowels]:
            if not self.board.outline.covers(Point(x, y)):
                raise InputError(f"{thing} lies off the board, {self.board.width:g} x {self.board.height:g} mm.")
        if self.turned:
            self._check_dowels()

    def _check_spoilboard(self) -> None:
        thickness = self.spoilboard_thickness
        if thickness is None:
            return
        depths = [("spoilboard_depth", self.spoilboard_depth)]
        depths += [(f"the hole of the dowel at ({d.x:g}, {d.y:g})", d.depth) for d in self.dowels]
        for what, depth in depths:
            if depth >= thickness:
                raise InputError(
                    f"{what} goes {depth:g} mm deep, through the spoilboard, which is {thickness:g} mm thick; what is "
                    "under it would be cut."
                )

    def _check_levelled(self) -> None:
        """What was taken off the lower face leaves a board."""
        if self.levelled > self.board.thickness - THINNEST_BOARD:
            raise InputError(
                f"levelled={self.levelled:g} is what was taken off the face that now lies down, not what is left: of "
                f"the {self.board.thickness:g} mm of the board {THINNEST_BOARD:g} must be left."
            )

    def _check_held_meanwhile(self) -> None:
        if not self.held_meanwhile or (self.holding and all(thing.driven_at for thing in self.holding)):
            return
        there = [thing.name for thing in self.holding if not thing.driven_at]
        raise InputError(
            f"held_meanwhile={shown(self.held_meanwhile)} is what holds the board until its first screw is driven, but "
            + (
                f"{there[0]} holds it from the start."
                if there
                else "no screw is driven at a stop; give clamps or grips."
            )
        )

    def _check_heights(self) -> None:
        if self.safe_z <= self.highest:
            raise InputError(
                f"safe_height={self.safe_z:g} does not clear the hold-downs, which stand {self.highest:g} mm "
                f"above the board; use {self.highest + _OVER_HOLD_DOWNS:g} or more."
            )
        if self.link_z > self.safe_z:
            raise InputError(f"link_height={self.link_z:g} is above safe_height={self.safe_z:g}; use that or less.")
        if self.wait_z < self.safe_z:
            raise InputError(f"wait_height={self.wait_z:g} is below the safe height {self.safe_z:g}.")

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

    def __repr__(self) -> str:
        things = {"screws": self.screws, "clamps": self.clamps, "dowels": self.dowels, "grips": self.grips}
        held = [f"{len(some)} {name if len(some) > 1 else name[:-1]}" for name, some in things.items() if some]
        return in_a_line(f"<Fixture: {self.side} of {self.board.name}, {', '.join(held) or 'nothing that holds it'}>")

    @property
    def side(self) -> Literal["front", "back"]:
        return "back" if self.turned else "front"

    @property
    def grain_deg(self) -> float | None:
        """Direction of the grain as the board lies, anticlockwise from X; None where there is none to speak of.

        Turned over about either centre line, a slanting grain leans the other way.
        """
        grain = self.board.grain_direction_deg
        return None if grain is None else (-grain if self.turned else grain) % 180.0

    @property
    def highest(self) -> float:
        """How far the highest hold-down or pin stands above the board."""
        return max((thing.height for thing in self.standing()), default=0.0)

    @property
    def safe_z(self) -> float:
        """Z of the safe height, from the board's top."""
        return self.highest + _OVER_HOLD_DOWNS if self.safe_height is None else float(self.safe_height)

    @property
    def link_z(self) -> float:
        """Z of low ways across, from the board's top."""
        return min(_LINK_HEIGHT, self.safe_z) if self.link_height is None else float(self.link_height)

    @property
    def wait_z(self) -> float:
        """Z at which the cutter stands at stops, from the board's top."""
        return max(self.safe_z, _WAIT_HEIGHT) if self.wait_height is None else float(self.wait_height)

    @property
    def underside_z(self) -> float:
        """Z of the board's lower face, and of the spoilboard on which it lies, from the board's top as measured."""
        return self.levelled - self.board.thickness

    @property
    def zero(self) -> tuple[float, float, float]:
        """The zero point, from the lower-left corner of the board as it lies, z from its top."""
        width, height = self.board.width, self.board.height
        x = width / 2 if self.zero_at == "centre" else width * self.zero_at.endswith("right")
        y = height / 2 if self.zero_at == "centre" else height * self.zero_at.startswith("upper")
        return x, y, 0.0 if self.zero_on == "top" else self.underside_z

    def standing(self) -> tuple[HoldDown, ...]:
        """All that stands on this side of the board or holds it, where it comes to lie.

        Pins stand on the back only: on the front their holes are being made.
        """
        return self._standing

    @property
    def holding(self) -> tuple[HoldDown, ...]:
        """The screws, clamps and grips that hold the board; pins only say where it lies."""
        return self._holding

    @property
    def holds_board(self) -> bool:
        """Whether anything was given that holds the board, from the start or later."""
        return bool(self.holding)

    @cached_property
    def _holding(self) -> tuple[HoldDown, ...]:
        board = self.board.outline
        return tuple(thing for thing in self.standing() if thing.holds and thing.outline.intersects(board))

    @cached_property
    def _standing(self) -> tuple[HoldDown, ...]:
        found: list[HoldDown] = []
        for screw in self.screws:
            at, name = self.place(Point(screw.x, screw.y)), f"the screw at X{screw.x:g} Y{screw.y:g}{_SEEN}"
            shown = HoldDown("screw", name, at.x, at.y, screw.head_diameter / 2, screw.height, screw.driven_at)
            found.append(replace(shown, shank_diameter=screw.shank_diameter, length=screw.length))
        for dowel in self.dowels if self.turned else ():
            at, name = self.place(Point(dowel.x, dowel.y)), f"the dowel pin at X{dowel.x:g} Y{dowel.y:g}{_SEEN}"
            found.append(HoldDown("pin", name, at.x, at.y, dowel.diameter / 2, dowel.standing))
        for number, clamp in enumerate(self.clamps, start=1):
            area = self.place(clamp.area)
            found.append(HoldDown("clamp", f"clamp {number}", *disc_about(area), clamp.height, area=area))
        for number, grip in enumerate(map(as_grip, self.grips), start=1):
            area = self.place(grip.area)
            found.append(HoldDown("grip", f"grip {number}", *disc_about(area), 0.0, area=area, by=grip.by))
        return tuple(found)

    @property
    def zero_corner(self) -> str:
        """Where X0 Y0 is, in words."""
        return "centre" if self.zero_at == "centre" else f"{self.zero_at} corner"

    @property
    def zero_surface(self) -> str:
        """Where Z0 is, in words."""
        return "top of the board" if self.zero_on == "top" else "spoilboard"

    def spoilboard_limits(self, reach_from: Reach, points: Floats) -> Floats:
        """(k,) how deep the spoilboard may be cut by each of k cuts: as anywhere, or within a dowel's hole as deep as
        that at full width, with the cutter's point below; never through it.

        reach_from : how far each cut reaches from a place (x, y) of the board as it lies, (k,) mm
        points : (k,) mm from each cutter's tip up to where it has its full width
        """
        limits = np.full(len(points), self.spoilboard_depth)
        for dowel in self.dowels:
            limits = np.maximum(limits, np.where(self.within_hole(dowel, reach_from), dowel.depth + points, 0.0))
        return limits if self.spoilboard_thickness is None else np.minimum(limits, self.spoilboard_thickness)

    def within_hole(self, dowel: Dowel, reach_from: Reach) -> NDArray[np.bool_]:
        """(k,) whether each of the cuts stays within the hole of a dowel; as for spoilboard_limits()."""
        at = self.place(Point(dowel.x, dowel.y))
        return np.asarray(reach_from(at.x, at.y) <= dowel.hole_reach)

    def place(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape seen from the front, where it comes to lie on this side (board coordinates)."""
        return shapely.transform(shape, self.seen_from_front) if self.turned else shape

    def seen_from_front(self, points: Floats) -> Floats:
        """Points (k, 2) of the board as it lies, as seen from the front; and the other way round."""
        return turned_points(points, self.board, self.turned)

    def turned_over(
        self,
        turned: Turned,
        *,
        levelled: float = 0.0,
        zero_at: Corner | None = None,
        safe_height: float | None = None,
        link_height: float | None = None,
        screws: tuple[Screw, ...] = (),
        clamps: tuple[Clamp, ...] = (),
        grips: tuple[Polygon | Grip, ...] = (),
        held_meanwhile: str = "",
    ) -> Fixture:
        """The other side, on the same dowels; hold-downs are new, since the old ones came out.

        The zero stays at the same corner of the board as it then lies, unless zero_at is given;
        the safe height is 5 mm above the highest of what then stands there, and the link height that
        of the front, unless given.

        levelled : mm by which the whole of the front was levelled; the board then lies on what is left

        Raises InputError where the dowels do not mirror each other, and on the back.
        """
        if self.turned:
            raise InputError("This is the back already; turn the front over.")
        one_of("turned", turned, TURNS)
        corner = self.zero_at if zero_at is None else zero_at
        one_of("zero_at", corner, CORNERS)
        lower = distance("levelled", levelled)
        return replace(
            self,
            turned=turned,
            levelled=lower,
            zero_at=corner,
            screws=screws,
            clamps=clamps,
            grips=grips,
            held_meanwhile=held_meanwhile,
            safe_height=safe_height,
            link_height=self.link_height if link_height is None else link_height,
            zero_in_machine=self._zero_in_machine_at(corner, lower),
        )

    def _zero_in_machine_at(self, zero_at: Corner, levelled: float) -> tuple[float, float, float] | None:
        """Machine coordinates of another corner of the place where the board lies, before it is turned and after."""
        if self.zero_in_machine is None:
            return None
        there = replace(self, zero_at=zero_at, levelled=levelled)
        # The spoilboard stays where it is.
        moved = [b - a for a, b in zip(self._zero_from_spoilboard(), there._zero_from_spoilboard(), strict=True)]
        x, y, z = (at + by for at, by in zip(self.zero_in_machine, moved, strict=True))
        return x, y, z

    def _zero_from_spoilboard(self) -> tuple[float, float, float]:
        x, y, z = self.zero
        return x, y, z - self.underside_z


_SEEN = " (seen from the front)"
