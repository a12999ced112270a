"""An operation: one piece of work on one side of the board, stated with shapes as seen from the front.

An operation is a value: what the user said of the work, checked when it is made. Each of its cutters turns it into
motion for the side on which the board lies, placing the shapes first, so that climb stays climb on either side. A
cutter's turn knows the wood that earlier work removed, whichever operation did it: a finer cutter needs no other
knowledge of the coarser one.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import ceil
from typing import Any, ClassVar, TypeVar

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base import checks
from toolpaths.base.checks import distance, instance, label_or_empty, let_in, shown
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth, Through, check_from_depth, check_short_of_underside, checked_depth, z_of
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.way_down import check_sideways
from toolpaths.making.motion.removed import Removed
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.shapes import door
from toolpaths.shapes.placement import Placement
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE

Made = TypeVar("Made", bound="Operation")
# Height above the surface at which a rapid down ends and cutting feed begins
# (common practice: 1 to 3 mm, no source).
CLEAR = 2.0
# Room between the cutter and standing wood where it goes down through air, mm (common practice, no source).
AIR = 0.1
# mm of wood looked at beside a cut that gets wider with its depth.
RIM = 0.5
# Less would be a slip, or a day at the machine.
_LEAST_STEPOVER = 0.02
# More passes than this are a slip of the finger in depth or step_down.
_MOST_PASSES = 1000


@dataclass(frozen=True, slots=True)
class Site:
    """Where work is done: the board as it lies, the tolerance in mm, and the wood that is removed by then."""

    fixture: Fixture
    tolerance: float = DEFAULT_TOLERANCE
    removed: Removed = field(default_factory=Removed)

    def after(self, path: Toolpath) -> Site:
        """The site once a toolpath was run on it."""
        return replace(self, removed=self.removed.after(path))


@dataclass(frozen=True, kw_only=True, repr=False)
class Operation(PickledByFields, ABC):
    """What every operation says of its work.

    depth : how deep it ends, mm below the face of the board as it was before any work, or through()
    from_depth : how deep it begins, likewise; 0 unless the face was levelled or cut away there before
    name : what it is called in programs and reports; a name that tells what it does unless given
    part_name : the part to which it belongs, of several made of one board; stands before its name
    """

    # Whether the user says the depth; else it follows from other numbers.
    depth_given: ClassVar[bool] = True
    depth: Depth
    from_depth: float = 0.0
    name: str = ""
    part_name: str = ""

    def __post_init__(self) -> None:
        let_in(self, depth=checked_depth, from_depth=distance, name=label_or_empty, part_name=label_or_empty)
        check_from_depth(self.from_depth, self.depth)
        self._check()

    @abstractmethod
    def _check(self) -> None:
        """Raises an error for numbers and choices that cannot be used together."""

    @property
    @abstractmethod
    def cutters_in_turn(self) -> tuple[Cutter, ...]:
        """Each cutter that it is done with, in order; each has one turn."""

    @property
    @abstractmethod
    def _usual_name(self) -> str:
        """What it is called where no name was given."""

    @property
    @abstractmethod
    def drawn(self) -> BaseGeometry:
        """The points, lines or area by which it was drawn, seen from the front."""

    @abstractmethod
    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        """What one of its cutters does in its turn; no moves where it finds nothing to do."""

    @abstractmethod
    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        """The features of the part that it is to make, as seen from the front."""

    def features(self, tolerance: float) -> tuple[Feature, ...]:
        """The same, made once."""
        if tolerance not in self._made:
            self._made[tolerance] = self.parts(tolerance)
        return self._made[tolerance]

    @cached_property
    def _made(self) -> dict[float, tuple[Feature, ...]]:
        """Features by tolerance."""
        return {}

    @property
    def own_title(self) -> str:
        """What it is called, whatever part it belongs to."""
        return self.name or self._usual_name

    @property
    def title(self) -> str:
        return f"{self.part_name}: {self.own_title}" if self.part_name else self.own_title

    def moved(self: Made, dx: float, dy: float, *, turned_deg: float = 0.0) -> Made:
        """The same work elsewhere, all that was drawn of it turned about (0, 0) and then moved.

        dx, dy : mm to the right and up, as seen from the front
        turned_deg : anticlockwise

        >>> from toolpaths import Cutter, bore, flat
        >>> bore([(5, 0)], 8, Cutter(1, flat(6), 1500, 18000), depth=5).moved(40, 30, turned_deg=90).places
        ((40.0, 35.0),)

        Raises InputError for what is no number.
        """
        return replace(self, **self._drawn_at(Placement(dx, dy, turned_deg)))

    @abstractmethod
    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        """Each field that says where something lies on the board, or which way, as a placement puts it."""

    @property
    def rim(self) -> BaseGeometry:
        """The wood beside what it cuts at from_depth, seen from the front, where it gets wider with its depth: only if
        some stands up to there, it becomes as wide as it says. Empty where it is as wide at every depth."""
        return Polygon()

    @property
    def has_tabs(self) -> bool:
        """Whether it leaves tabs."""
        return False

    @property
    def top(self) -> float:
        """Z at which it begins, from the face of the board."""
        return 0.0 - self.from_depth

    def floor(self, fixture: Fixture) -> float:
        """Z at which it ends. Raises DoesNotFitError where that is not below where it begins, and for a depth in mm
        that is all of the board."""
        if self.depth_given:
            check_short_of_underside(self.depth, fixture.underside_z, fixture.spoilboard_depth)
        floor = z_of(self.depth, fixture.underside_z)
        if floor >= self.top:
            raise DoesNotFitError(f"from_depth={self.from_depth:g} is not above the end of the cut at {-floor:g} mm.")
        return floor

    def depths(self, fixture: Fixture) -> tuple[float, float]:
        """From which depth to which it cuts, mm below the face as it was before any work."""
        return float(self.from_depth), -z_of(self.depth, fixture.underside_z)

    def toolpaths(self, fixture: Fixture, tolerance: float = DEFAULT_TOLERANCE) -> tuple[Toolpath, ...]:
        """The toolpath of each cutter that finds wood to take, for the side that the fixture describes, on a whole
        board."""
        fine = checks.tolerance("tolerance", tolerance)
        site, paths = Site(instance("fixture", fixture, Fixture), fine), list[Toolpath]()
        for cutter in self.cutters_in_turn:
            paths.append(self.toolpath(cutter, site))
            site = site.after(paths[-1])
        check_some_work(paths)
        return tuple(path for path in paths if path.moves)

    def __repr__(self) -> str:
        cutters = ", ".join(map(str, self.cutters_in_turn))
        deep = self.depth if isinstance(self.depth, Through) else f"{self.depth:g}"
        return in_a_line(f"<{self.title}: {cutters}, {self.from_depth:g} to {deep} deep>")


@dataclass(frozen=True, kw_only=True, repr=False)
class OneCutter(Operation):
    """An operation that is done with one cutter."""

    cutter: Cutter

    def __post_init__(self) -> None:
        let_in(self, cutter=checked_cutter)
        super().__post_init__()

    @property
    def cutters_in_turn(self) -> tuple[Cutter, ...]:
        return (self.cutter,)


@dataclass(frozen=True, kw_only=True, repr=False)
class OnArea(Operation):
    """An operation on the area of a shape."""

    shape: BaseGeometry

    @property
    def drawn(self) -> BaseGeometry:
        return self.shape

    def _check(self) -> None:
        let_in(self, shape=door.one_geometry)
        door.area("shape", self.shape)

    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        return {"shape": place.shape(self.shape)}

    @cached_property
    def _area(self) -> BaseGeometry:
        """The area as it is worked with: one sound geometry, seen from the front."""
        return door.area("shape", self.shape)


def check_some_work(paths: Sequence[Toolpath]) -> None:
    """An operation none of whose cutters finds anything to do is a slip, and not passed over."""
    if not any(path.moves for path in paths):
        raise DoesNotFitError("There is no wood to take: what is cleared already covers it all.")


def check_stepover(stepover: float, most: float) -> None:
    """Raises InputError for a step from pass to pass that is no sound share of the diameter."""
    if not _LEAST_STEPOVER <= stepover <= most:
        raise InputError(
            f"stepover={stepover:g} is a share of the cutter's diameter, {_LEAST_STEPOVER:g} to {most:g}: 0.4 steps "
            "over by two fifths of it."
        )


def checked_cutter(name: str, cutter: Any) -> Cutter:
    """A Cutter, not only its profile or its diameter."""
    if not isinstance(cutter, Cutter):
        raise InputError(
            f"{name}={shown(cutter)} is no cutter; make one: Cutter(1, flat(6), feed_mm_min=..., spindle_rpm=...)."
        )
    return cutter


def check_wall(cutter: Cutter, top: float, floor: float) -> None:
    """A cut leaves an upright wall only where the cutter's full diameter reaches below the surface."""
    height = cutter.profile.tip_height
    if top - floor < height - 1e-9:
        raise DoesNotFitError(
            f"{cutter} has its full diameter only {height:.2f} mm above its tip, and the cut is {top - floor:.2f} mm "
            "deep: it would leave the wood along the line. Cut deeper, take a flat cutter, or run on the line with "
            "groove() or side='on'."
        )


def check_not_hollow(cutter: Cutter) -> None:
    """Raises InputError for a rounding cutter, which leaves neither an upright wall nor a level floor."""
    if cutter.profile.hollow:
        raise InputError(
            f"{cutter} leaves round edges, and no upright walls; use it with round_edge(), and a flat cutter here."
        )


def check_side_cutting(cutter: Cutter) -> None:
    """A cutter that may be moved sideways."""
    check_sideways(cutter)


def check_finish(finish: float, cutter: Cutter) -> None:
    """Raises InputError for wood left to one last round at full depth that is not thin: it would be a slot."""
    if finish > cutter.radius / 2:
        raise InputError(
            f"finish={finish:g} is more than a quarter of the diameter of {cutter}; the last round takes it at full "
            f"depth. Leave {cutter.radius / 2:g} or less."
        )


def levels(top: float, floor: float, step_down: float) -> list[float]:
    """The z of each pass, equal steps of at most step_down, the last exactly at the floor."""
    if top - floor > _MOST_PASSES * step_down:
        raise InputError(f"{top - floor:g} mm deep at {step_down:g} a pass are more than {_MOST_PASSES} passes.")
    count = max(1, ceil((top - floor) / step_down - 1e-9))
    return [top + (floor - top) * (i / count) for i in range(1, count)] + [floor]
