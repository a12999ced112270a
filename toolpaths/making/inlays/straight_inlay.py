"""An inlay with upright walls: a recess and an insert of one shape, whose corners are matched to the cutter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil

from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, length, let_in
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.base.values import in_a_line
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import through
from toolpaths.facts.inlaid import Inlaid
from toolpaths.facts.turning import Side
from toolpaths.making.inlays.inlay import BEYOND, Inlay
from toolpaths.making.motion.tabs import Tabs
from toolpaths.making.operations.contour import Contour, contour
from toolpaths.making.operations.pocket import Pocket, checked_cutters, pocket
from toolpaths.shapes import door, offset
from toolpaths.shapes.matched_corners import Matched, matched
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE


@dataclass(frozen=True, kw_only=True, repr=False)
class StraightInlay(Inlay):
    """A recess and its insert with upright walls; made by straight_inlay()."""

    gap: float
    depth: float
    thickness: float

    def __post_init__(self) -> None:
        super().__post_init__()
        let_in(self, gap=distance, depth=length, thickness=length)
        if not self.cutters:
            raise InputError("cutters lists none; give one at least.")
        for cutter in self.cutters:
            if cutter.profile.flat_radius != cutter.radius:
                raise InputError(
                    f"{cutter} leaves no upright wall down to the floor; an inlay like this takes flat ones."
                )
        if self.gap >= self.finest.radius:
            raise DoesNotFitError(
                f"gap={self.gap:g} is not less than the radius of {self.finest}: gaps of the shape would close. Give "
                f"less than {self.finest.radius:g}; 0.05 to 0.1 is common."
            )
        if self.thickness < self.depth:
            raise DoesNotFitError(
                f"The insert, {self.thickness:g} mm thick, would lie {self.depth - self.thickness:.2f} mm below the "
                f"face: take depth={self.thickness:g} or less, or an insert of {self.depth:g} mm or more."
            )
        _ = self.recess, self.insert  # what cannot be cut is an error here, on the user's line

    def __repr__(self) -> str:
        return in_a_line(f"<StraightInlay: {self.name}, {self._size}, {self.depth:g} deep, {self.gap:g} of room>")

    def __str__(self) -> str:
        proud = f"stands {self.proud:g} mm proud" if self.proud else "is flush with the face"
        return "\n".join(
            [f"{self.name}: {self.depth:g} mm deep, {self.gap:g} mm of room; the insert {proud}.", *self.notes]
        )

    @property
    def finest(self) -> Cutter:
        """The cutter to whose radius the corners are matched."""
        return self.cutters[-1]

    @property
    def proud(self) -> float:
        """mm by which the insert stands above the face once it lies on the floor."""
        return self.thickness - self.depth

    @cached_property
    def _matched(self) -> Matched:
        return matched(door.area("shape", self.drawn), self.finest.radius, DEFAULT_TOLERANCE)

    @property
    def shape(self) -> BaseGeometry:
        """What recess and insert have in common: the shape as drawn, its corners matched to the cutter."""
        return self._matched.area

    @cached_property
    def laid(self) -> Inlaid:
        """How the insert lies in the recess."""
        return Inlaid(
            name=self.name, shape=self.shape, face=self.face, at=self.at, turned_deg=self.turned_deg,
            turned_over=False, gap=self.gap, depth=self.depth, front_depth=-self.proud, slope=0.0,
            tab_height=self.tabs.height if self.tabs else 0.0,
        )  # fmt: skip

    @cached_property
    def recess(self) -> tuple[Pocket, ...]:
        """The work on the board with the recess, for the Setup of that face."""
        wide = offset.wall(self.shape, self.gap, DEFAULT_TOLERANCE / 4, slim=False)
        return (pocket(wide, self.cutters, depth=self.depth, name=f"{self.name} recess"),)

    @cached_property
    def insert(self) -> tuple[Contour, ...]:
        """The work on the insert's board, for the Setup of its front."""
        shape, name = self.laid.placed(self.shape), f"{self.name} insert"
        return (contour(shape, self.finest, depth=through(self.beyond), tabs=self.tabs, name=name),)

    @property
    def notes(self) -> tuple[str, ...]:
        """What matching the corners changed of the shape."""
        found = self._matched
        if found.at is None:
            return ()
        moved, (x, y) = ceil(found.moved * 100 - 1e-9) / 100, found.at
        return (
            f"Corners matched to {self.finest}: the outline moved by {moved:.2f} mm at most, near ({x:.1f}, {y:.1f}); "
            f"{found.taken_mm2:.2f} mm2 taken off, {found.added_mm2:.2f} mm2 added.",
        )


def straight_inlay(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutters: Cutter | Sequence[Cutter],
    *,
    gap: float,
    depth: float,
    thickness: float,
    at: Point,
    turned_deg: float = 0.0,
    face: Side = "front",
    tabs: Tabs | None = None,
    beyond: float = BEYOND,
    name: str = "inlay",
) -> StraightInlay:
    """A recess, and an insert of the same shape that is cut out of another board and laid into it.

    shape : as it is to be seen, drawn on the board with the recess, from its front
    cutters : flat ones, one or several from coarse to fine; corners are matched to the finest, which cuts the insert
    gap : mm of room all round the insert; 0.05 to 0.1 is common practice, no source: try it on a scrap
    depth : of the recess, mm
    thickness : of the insert's board, mm, as measured; what it is more than `depth` stands proud and is planed off
    at : where the middle of the insert's box lies on its board, (x, y) seen from the front, and
    turned_deg : by which it is turned there, for its grain
    face : into which the recess is cut; for the back the insert comes out mirrored
    tabs : that hold the insert in its board; pare them off flush
    beyond : mm by which the insert's board is cut through
    name : of the inlay; its operations are called after it

    List `.recess` in the Setup of one board and `.insert` in that of the other's front; `.shape` is what both have in
    common, `.notes` say how much the corners were rounded for it. `job.fit(inlay)` lays the simulated insert into the
    simulated recess.

    >>> import toolpaths as tp
    >>> T1 = tp.Cutter(1, tp.flat(3), feed_mm_min=900, spindle_rpm=18000)
    >>> leaf = tp.straight_inlay(tp.circle(40, (60, 50)), T1, gap=0.05, depth=4, thickness=4.5, at=(40, 40))
    >>> leaf, leaf.proud, *leaf.recess, *leaf.insert
    (<StraightInlay: inlay, 40 x 40, 4 deep, 0.05 of room>, 0.5, <inlay recess: T1 flat 3, 0 to 4 deep>, \
<inlay insert: T1 flat 3, 0 to through and 0.3 deep>)

    Raises InputError for numbers and cutters that cannot be used together, DoesNotFitError where a limb or a gap of
    the shape is narrower than the finest cutter, the gap asked for is too wide, or the insert thinner than the recess.
    """
    return StraightInlay(
        drawn=door.one_geometry("shape", shape), cutters=checked_cutters("cutters", cutters), gap=gap, depth=depth,
        thickness=thickness, at=at, turned_deg=turned_deg, face=face, tabs=tabs, beyond=beyond,
        name=name,
    )  # fmt: skip
