"""Hollow: a dished seat, a bowl, a tray with a coved foot, roughed in levels and finished over its surface."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import ClassVar, Literal

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import between, distance, finite, let_in, one_of, shown
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.dish import Dish, checked_section
from toolpaths.facts.features.edge_distances import edge_of
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.section import Section
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations.hollowing.roughing import ridge, roughed
from toolpaths.making.operations.hollowing.surface_rings import Surface, cut_rings, rings_inwards
from toolpaths.making.operations.hollowing.surface_rows import cut_rows
from toolpaths.making.operations.hollowing.tip_heights import TipHeights
from toolpaths.making.operations.operation import OnArea, Site, check_side_cutting, check_stepover
from toolpaths.making.operations.pocket import checked_cutters
from toolpaths.making.operations.rings import DIRECTIONS, Direction, placed_point
from toolpaths.shapes import door
from toolpaths.shapes.drawn_area import drawn_area

SurfacePattern = Literal["rings", "along the grain"]
PATTERNS: tuple[SurfacePattern, ...] = ("rings", "along the grain")
# mm by which a rounded cutter may stand over the surface where that has no corner: what the finest scale shows.
_EXACT = 0.01
# mm by which a section may be wider than the shape, which is drawn in chords.
_CHORDS = 0.02


@dataclass(frozen=True, kw_only=True, repr=False)
class Hollow(OnArea):
    """A hollowed area; made by hollow(). Its depth is that of its section."""

    depth_given: ClassVar[bool] = False
    depth: Depth = field(init=False)
    cutters: tuple[Cutter, ...]
    section: Section
    scallop: float = 0.02
    finish: float = 0.5
    stepover: float = 0.4
    direction: Direction = "conventional"
    pattern: SurfacePattern = "rings"

    def __post_init__(self) -> None:
        let_in(self, section=checked_section, from_depth=distance)
        object.__setattr__(self, "depth", self.from_depth + self.section.depth)
        super().__post_init__()

    def _check(self) -> None:
        super()._check()
        let_in(
            self, cutters=checked_cutters, scallop=partial(between, low=0.001, high=1.0), finish=distance,
            stepover=finite, direction=partial(one_of, choices=DIRECTIONS), pattern=partial(one_of, choices=PATTERNS),
        )  # fmt: skip
        check_stepover(self.stepover, 0.5)
        if not self.cutters:
            raise InputError("A hollow takes a ball or a bull nose, and before it, if you like, flat cutters to rough.")
        for cutter in self.cutters:
            check_side_cutting(cutter)
        last = self.cutters[-1]
        if last.profile.kind not in ("ball", "bull nose") or not last.profile.corner_radius:
            raise InputError(f"The last cutter of a hollow finishes its surface: a ball or a bull nose, not {last}.")
        for cutter in self.cutters[:-1]:
            if cutter.profile.kind == "V":
                raise InputError(f"{cutter} does not rough a hollow; take a flat cutter.")
        if self._deepest <= 0:
            raise InputError(
                f"finish={self.finish:g} is more than a pass of {last}, which has to take it; leave less than "
                f"{last.running.step_down - ridge(last, last.running.step_down):g}."
            )
        self._check_section(last)

    def _check_section(self, last: Cutter) -> None:
        section, radius = self.section, last.profile.corner_radius
        for part in shapely.get_parts(self._area):
            away, place = _middle(part)
            if section.width > away + _CHORDS:
                raise DoesNotFitError(
                    f"The section is {section.width:g} mm wide, and the shape only {away:.2f} from its edge to its "
                    f"middle at ({place[0]:.1f}, {place[1]:.1f}): it would not come to its depth. Give a section "
                    f"{int(away * 100) / 100:g} wide or less.",
                    place,
                )
        if radius > section.tightest + 1e-9:
            raise DoesNotFitError(
                f"{last} is too large for the section, which is bent with a radius of {section.tightest:.2f} mm where "
                f"it is bent most; take a ball or a corner of {int(section.tightest * 200) / 100:g} mm or less across."
            )
        rim = self._tips(last).rim
        for part in shapely.get_parts(self._area):
            away, place = _middle(part)
            if rim > away + 1e-9:
                raise DoesNotFitError(
                    f"{last} does not get into the hollow at ({place[0]:.1f}, {place[1]:.1f}), {2 * away:.2f} mm wide; "
                    "take a smaller one.",
                    place,
                )
        if self._tips(last).standing > _EXACT:
            raise DoesNotFitError(
                f"{last} leaves {self._tips(last).standing:.2f} mm of wood over the surface, its flat of "
                f"{2 * last.profile.flat_radius:g} mm being no part of it; take a ball."
            )

    @property
    def cutters_in_turn(self) -> tuple[Cutter, ...]:
        return self.cutters

    @property
    def _usual_name(self) -> str:
        return "hollow"

    @property
    def _deepest(self) -> float:
        """mm of a roughing level: what it leaves the finishing cutter takes in one pass."""
        last = self.cutters[-1]
        left = last.running.step_down - self.finish
        if len(self.cutters) == 1:
            return left - ridge(last, left)
        return min(left, *(cutter.running.step_down for cutter in self.cutters[:-1]))

    @cached_property
    def _farthest(self) -> float:
        """mm from the edge to the place of the shape that is farthest from it."""
        return max(_middle(part)[0] for part in shapely.get_parts(self._area))

    def _tips(self, cutter: Cutter) -> TipHeights:
        found = self._made_tips.get(cutter.profile)
        if found is None:
            found = self._made_tips[cutter.profile] = TipHeights(self.section, cutter.profile, self._farthest)
        return found

    @cached_property
    def _made_tips(self) -> dict[object, TipHeights]:
        """By profile."""
        return {}

    def floor(self, fixture: Fixture) -> float:
        floor = super().floor(fixture)
        if floor <= fixture.underside_z:
            thick = -fixture.underside_z
            raise DoesNotFitError(
                f"A hollow {-floor:g} deep goes through the {thick:g} mm of the board; make it less deep than that."
            )
        return floor

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        self.floor(site.fixture)
        number, last = self.cutters.index(cutter), cutter == self.cutters[-1]
        tips = self._tips(cutter)
        rough = roughed(
            self._area, cutter, tips, self.top, self.finish, self._deepest, self.stepover, self.direction, site,
            rest=number > 0,
        )  # fmt: skip
        if not last:
            return rough
        site = site.after(rough)
        drawn = drawn_area(site.fixture.place(self._area), -tips.rim, site.tolerance)
        self._check_beside(drawn.area, tips.rim, cutter, site)
        surface = Surface(drawn, edge_of(drawn.area.boundary), tips, self.top)
        builder = PathBuilder(cutter, site.fixture.safe_z)
        wood = min(site.removed.highest_wood(drawn.area), self.top)
        if self.pattern == "rings":
            cut_rings(
                builder, rings_inwards(surface, tips.passes(self.scallop).tolist(), self.direction), surface, wood
            )
        else:
            cut_rows(builder, surface, self.scallop, site.fixture.grain_deg or 0.0, self.direction, wood)
        path = builder.path()
        return Toolpath(cutter, rough.moves + path.moves, path.notes)

    def _check_beside(self, area: BaseGeometry, rim: float, cutter: Cutter, site: Site) -> None:
        """Below a face that was cut away the cutter finds room beside the edge, over which it reaches."""
        over = cutter.radius - rim
        if not self.from_depth or over <= _EXACT:
            return
        beside = shapely.difference(shapely.buffer(area, over), shapely.buffer(area, _EXACT))
        highest = site.removed.highest_wood(beside)
        if highest > self.top + _EXACT:
            x, y = placed_point(beside)
            raise DoesNotFitError(
                f"{cutter} reaches {over:.2f} mm over the edge of the hollow, and beside the edge wood stands up to "
                f"{-highest:g} mm below the face: make the recess that much wider, or take from_depth={-highest:g}.",
                (x, y),
            )

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        profile = self.cutters[-1].profile
        return (
            Dish(
                area=self._area, section=self.section, from_depth=self.from_depth, profile=profile, ridges=self.scallop,
                name=self.title,
            ),
        )  # fmt: skip


def _middle(part: BaseGeometry) -> tuple[float, Point]:
    """mm from the edge of a polygon to its place farthest from it, and that place."""
    circle = shapely.maximum_inscribed_circle(part)
    x, y = circle.coords[0]
    return float(circle.length), (x, y)


def hollow(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutters: Cutter | Sequence[Cutter],
    *,
    depth: float | None = None,
    section: Section | None = None,
    from_depth: float = 0.0,
    scallop: float = 0.02,
    finish: float = 0.5,
    stepover: float = 0.4,
    direction: Direction = "conventional",
    pattern: SurfacePattern = "rings",
    name: str = "",
) -> Hollow:
    """Hollow out a shape: a dished seat, a bowl, a tray with a coved foot.

    cutters : a ball or a bull nose, which finishes the surface in rings from the edge inwards; before it, in a list,
        flat cutters that rough in levels; alone it roughs too
    depth : mm, of a dish that is an arc of a circle from the edge to the middle, where it is level; or
    section : the surface by how far a place is from the edge: Section.arc(...), .ellipse(...), .cove(...) for a tray,
        .spline(...), .slope(...). What it is not wide enough for is a level floor
    from_depth : mm below the face at which the edge lies, as in a recess
    scallop : mm, height of the ridges between two rings, upright to the surface (reference: for a ball of radius R in a
        hollow of radius r, rings s apart, about s^2/8 (1/R - 1/r))
    finish : mm left above the surface in roughing
    stepover, direction : as for pocket, of the roughing; the direction of the rings too
    pattern : the surface is finished in "rings" from the edge inwards, or in rows "along the grain", to and fro, with a
        ring round the edge at the end, where the section is nowhere steeper than 50 degrees
    name : as for every operation

    >>> from toolpaths import Cutter, Section, ball, circle, flat, hollow
    >>> T1 = Cutter(1, flat(8), feed_mm_min=2000, spindle_rpm=18000)
    >>> T2 = Cutter(2, ball(12), feed_mm_min=2500, spindle_rpm=16000)
    >>> hollow(circle(300, (170, 170)), [T1, T2], depth=12, name="seat")
    <seat: T1 flat 8, T2 ball 12, 0 to 12 deep>
    >>> hollow(circle(120, (170, 170)), T2, section=Section.cove(radius=8, depth=14))
    <hollow: T2 ball 12, 0 to 14 deep>

    Raises DoesNotFitError for a section that is wider than the shape or bent more than the cutter, for a cutter that
    does not get in, and in the setup for a hollow through the board; InputError for numbers and cutters that cannot be
    used.
    """
    area = door.one_geometry("shape", shape)
    if section is None:
        if depth is None:
            raise InputError("A hollow takes depth=, for an arc from its edge to its middle, or section=.")
        door.area("shape", area)
        away = min(_middle(part)[0] for part in shapely.get_parts(area))
        section = Section.arc(depth=depth, width=away)
    elif depth is not None:
        raise InputError(f"The section says how deep the hollow is: leave out depth={shown(depth)}, or section=.")
    return Hollow(
        shape=area, cutters=checked_cutters("cutters", cutters), section=section, from_depth=from_depth,
        scallop=scallop, finish=finish, stepover=stepover, direction=direction, pattern=pattern, name=name,
    )  # fmt: skip
