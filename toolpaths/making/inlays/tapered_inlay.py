"""An inlay with tapered walls: a recess carved with a V, and an insert that is cut mirrored and laid in face down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, length, let_in
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.base.values import in_a_line
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import through
from toolpaths.facts.features.tapered_insert import without_holes
from toolpaths.facts.inlaid import Inlaid
from toolpaths.facts.turning import Side
from toolpaths.making.inlays.inlay import BEYOND, Inlay
from toolpaths.making.motion.tabs import Tabs
from toolpaths.making.operations.contour import contour
from toolpaths.making.operations.operation import Operation
from toolpaths.making.operations.pocket import checked_cutters
from toolpaths.making.operations.tapered_wall import TaperedWall
from toolpaths.making.operations.v_carve import VCarve, v_carve
from toolpaths.shapes import door, offset
from toolpaths.shapes.matched_corners import Matched, matched
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE

# mm of wood round the foot of the insert's wall, by which it is held and pressed in (common practice, no source).
_HELD_BY = 3.0
# mm of floor beyond the cut that parts it.
_SPARE = 0.5


@dataclass(frozen=True, kw_only=True, repr=False)
class TaperedInlay(Inlay):
    """A recess and its insert with tapered walls; made by tapered_inlay()."""

    start_depth: float
    glue: float
    proud: float

    def __post_init__(self) -> None:
        super().__post_init__()
        let_in(self, start_depth=length, glue=distance, proud=length)
        kinds = [cutter.profile.kind for cutter in self.cutters]
        if len(kinds) < 2 or kinds[-1] != "V" or set(kinds[:-1]) != {"flat"}:
            raise InputError("A tapered inlay takes flat cutters, from coarse to fine, and then one V, listed last.")
        deep, high = self.start_depth + max(self.glue, self.proud), self.vee.profile.tip_height
        if deep > high + 1e-6:
            least = 2 * (deep * self.slope + self.vee.profile.flat_radius)
            less, other = ("start_depth", max(self.glue, self.proud)) if self.start_depth > deep / 2 else (
                "proud" if self.proud >= self.glue else "glue", self.start_depth)  # fmt: skip
            instead = f", or {less}={floor((high - other) * 100) / 100:g} or less" if high - other >= 0.01 else ""
            raise DoesNotFitError(
                f"{self.vee} cuts a cone {high:.2f} mm high, and {deep:g} are needed, start_depth and the larger of "
                f"glue and proud: take a V of {ceil(least * 10) / 10:g} mm or more{instead}."
            )
        self._check_face()
        self._check_floor()
        _ = self.recess, self.insert  # what cannot be cut is an error here, on the user's line

    def _check_face(self) -> None:
        """The face of the insert has some area everywhere that the shape has a piece."""
        for part in door.polygons("shape", self.shape):
            spoke = shapely.maximum_inscribed_circle(part)
            wide, (x, y) = float(spoke.length), spoke.coords[0]
            if wide <= self.start_depth * self.slope:
                raise DoesNotFitError(
                    f"Near ({x:.1f}, {y:.1f}) the shape is {2 * wide:.2f} mm wide at most, and at start_depth="
                    f"{self.start_depth:g} nothing is left of the insert's face there: take start_depth="
                    f"{int(wide / self.slope * 100 - 1e-9) / 100:g} or less, or a V of a smaller angle.",
                    (x, y),
                )

    def _check_floor(self) -> None:
        """A flat cutter gets into the recess's floor, where there is one."""
        floor, finest = self._floor_width, self.cutters[-2]
        if 0 < floor < finest.diameter and not self.vee.profile.tip_diameter:
            to_point = ceil((_widest(self.shape) / self.slope - self.start_depth) * 100) / 100
            raise DoesNotFitError(
                f"The recess's floor is {floor:.2f} mm wide at most, and {finest} does not get in: take a flat "
                f"cutter of {int(floor * 10) / 10:g} mm or less, or glue={to_point:g}, with which there is no floor."
            )

    def __repr__(self) -> str:
        angle = f"{self.vee.profile.angle_deg:g} deg"
        return in_a_line(f"<TaperedInlay: {self.name}, {self._size}, {angle}, face at {self.start_depth:g}>")

    def __str__(self) -> str:
        said = (
            f"{self.name}: recess {self.start_depth + self.glue:g} mm deep; the insert's face lies at "
            f"{self.start_depth:g}, {self.glue:g} mm over the floor, and {self.proud:g} mm stand proud, to be cut off."
        )
        return "\n".join([said, *self.notes])

    @property
    def vee(self) -> Cutter:
        """The V."""
        return self.cutters[-1]

    @property
    def slope(self) -> float:
        """mm by which the walls come in for each mm down."""
        return self.vee.profile.slope

    @cached_property
    def _matched(self) -> Matched:
        return matched(door.area("shape", self.drawn), self.vee.profile.flat_radius, DEFAULT_TOLERANCE)

    @property
    def shape(self) -> BaseGeometry:
        """What recess and insert have in common: the shape as drawn, its corners matched to the flat of the V's tip."""
        return self._matched.area

    @property
    def brim(self) -> float:
        """mm round the shape that stay on the insert."""
        return self._foot + _HELD_BY

    @property
    def _foot(self) -> float:
        """mm from the shape to the axis of the V along the foot of the insert's wall."""
        return self.proud * self.slope + self.vee.profile.flat_radius

    @cached_property
    def laid(self) -> Inlaid:
        """How the insert lies in the recess."""
        return Inlaid(
            name=self.name, shape=self.shape, face=self.face, at=self.at, turned_deg=self.turned_deg,
            turned_over=True, gap=0.0, depth=self.start_depth + self.glue, front_depth=self.start_depth,
            slope=self.slope, brim=self.brim,
        )  # fmt: skip

    @cached_property
    def recess(self) -> tuple[VCarve, ...]:
        """The work on the board with the recess, for the Setup of that face."""
        deep, name = self.start_depth + self.glue, f"{self.name} recess"
        # A flat cutter that is wider than the floor has its work in the insert's board alone.
        return (v_carve(self.shape, self._with_flats_within(self._floor_width), depth_limit=deep, name=name),)

    @cached_property
    def insert(self) -> tuple[Operation, ...]:
        """The work on the insert's board, for the Setup of its front."""
        shape, parts_it = self.laid.placed(self.shape), self.cutters[-2]
        deep = self.start_depth + self.proud
        # The cone, which is widest at the face, and the cut that parts it find the ground around cleared.
        cone = self.proud * self.slope + deep * self.slope + 2 * self.vee.profile.flat_radius
        around = max(self.brim + parts_it.diameter, cone) + _SPARE
        wall = TaperedWall(
            shape=shape, cutters=self._with_flats_within(around - self._foot), start_depth=self.start_depth,
            below=self.proud, around=around, name=f"{self.name} insert",
        )  # fmt: skip
        # Notches into which the cutter that parts it would not get stay closed.
        out = offset.wall(shape, self.brim + parts_it.diameter, DEFAULT_TOLERANCE / 4)
        piece = offset.wall(without_holes(out), -parts_it.diameter, DEFAULT_TOLERANCE / 4)
        parting = contour(
            piece, parts_it, depth=through(self.beyond), from_depth=deep, tabs=self.tabs, name=f"{self.name} parting"
        )
        return wall, parting

    @property
    def _floor_width(self) -> float:
        """mm, of the recess's floor where it is widest; 0 and less where there is none."""
        deep = self.start_depth + self.glue
        return 2 * (_widest(self.shape) - deep * self.slope - self.vee.profile.flat_radius)

    def _with_flats_within(self, width: float) -> tuple[Cutter, ...]:
        """The V, and before it the flat cutters that are no wider."""
        return (*(cutter for cutter in self.cutters[:-1] if cutter.diameter <= width), self.vee)

    @property
    def notes(self) -> tuple[str, ...]:
        """What is to be known before: detail without a flat floor, and corners rounded by the flat of the V's tip."""
        narrow = 2 * (self.start_depth + self.glue) * self.slope
        found = [
            f"What is narrower than {narrow:.2f} mm has no level floor: there the insert meets the recess all the way "
            "down, and glue has room at the walls alone."
        ]
        changed = self._matched
        if changed.at is not None:
            (x, y), moved = changed.at, ceil(changed.moved * 100 - 1e-9) / 100
            found.append(
                f"Corners matched to the flat of {self.vee}: the outline moved by {moved:.2f} mm at most, near "
                f"({x:.1f}, {y:.1f})."
            )
        return tuple(found)


def _widest(shape: BaseGeometry) -> float:
    """mm, radius of the largest circle that lies in a shape."""
    return max(float(shapely.maximum_inscribed_circle(part).length) for part in door.polygons("shape", shape))


def tapered_inlay(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutters: Sequence[Cutter],
    *,
    start_depth: float,
    glue: float,
    proud: float,
    at: Point,
    turned_deg: float = 0.0,
    face: Side = "front",
    tabs: Tabs | None = None,
    beyond: float = BEYOND,
    name: str = "inlay",
) -> TaperedInlay:
    """A recess carved with a V, and an insert with the same slopes that is cut mirrored and laid in face down.

    shape : as it is to be seen, drawn on the board with the recess, from its front; corners may be sharp
    cutters : flat ones from coarse to fine, which clear floors, then the V
    start_depth : mm below the recess's face at which the insert's face comes to lie: how deep it is let in
    glue : mm of room between the insert's face and the recess's floor
    proud : mm of the insert above the recess's face, on which it hangs; cut off when the glue has set
    at : where the middle of the shape's box lies on the insert's board, (x, y) seen from its front, and
    turned_deg : by which it is turned there, for its grain
    face : into which the recess is cut
    tabs : that hold the insert in its board
    beyond : mm by which the insert's board is cut through
    name : of the inlay; its operations are called after it

    Both walls are the same inset of the outline at every level, so they touch all over; what is planed off moves the
    visible outline by the slope. A flat at the V's tip rounds corners below the face more than the insert's are: take
    a sharp one. List `.recess` in the Setup of one board and `.insert` in that of the other's front; `job.fit(inlay)`
    lays the simulated insert into the simulated recess.

    >>> import toolpaths as tp
    >>> T1 = tp.Cutter(1, tp.flat(3), feed_mm_min=900, spindle_rpm=18000)
    >>> T6 = tp.Cutter(6, tp.v_point(12, 60), feed_mm_min=1200, spindle_rpm=16000)
    >>> tp.tapered_inlay(tp.rectangle(40, 40, (60, 50)), [T1, T6], start_depth=4, glue=0.5, proud=2, at=(50, 50))
    <TaperedInlay: inlay, 40 x 40, 60 deg, face at 4>

    Raises InputError for numbers and cutters that cannot be used together, DoesNotFitError where the V's cone is too
    short, the shape too narrow for the depth, or a cutter fits nowhere.
    """
    return TaperedInlay(
        drawn=door.one_geometry("shape", shape), cutters=checked_cutters("cutters", cutters), start_depth=start_depth,
        glue=glue, proud=proud, at=at, turned_deg=turned_deg, face=face, tabs=tabs, beyond=beyond, name=name,
    )  # fmt: skip
