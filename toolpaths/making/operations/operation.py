"""An operation: one piece of work on one side of the board, stated with shapes as seen from the front.

Making one checks its numbers; its stages, one for each cutter, turn it into motion for the side on
which the board lies, placing the shapes first, so that climb stays climb on either side. A stage
knows the wood that earlier work took away, whichever operation did it: a finer cutter's stage needs
no other knowledge of the coarser one's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from math import ceil

from toolpaths.base.checks import finite, label, not_negative, positive
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth, Through
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Feature
from toolpaths.making.motion.removed import Gone
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.shapes import tolerance as share

# Height above the surface at which a rapid down ends and cutting feed begins
# (common practice: 1 to 3 mm, no source).
CLEAR = 2.0
# Room between the cutter and standing wood where it goes down through air, mm (common practice, no source).
AIR = 0.1
# Less would be a slip, or a day at the machine.
_LEAST_STEPOVER = 0.02
# More passes than this are a slip of the finger in depth or step_down.
_MOST_PASSES = 1000


@dataclass(frozen=True, slots=True)
class Site:
    """Where work is done: the board as it lies, the tolerance in mm, and the wood that is gone by then."""

    fixture: Fixture
    tolerance: float = share.DEFAULT
    gone: Gone = field(default_factory=Gone)

    def after(self, path: Toolpath) -> Site:
        """The site once a toolpath was run on it."""
        return replace(self, gone=self.gone.after(path))


@dataclass(frozen=True, slots=True)
class Stage:
    """What one cutter does for a piece of work. Its toolpath has no moves where it finds nothing to do."""

    cutter: Cutter
    make: Callable[[Site], Toolpath]


@dataclass(frozen=True, slots=True)
class Operation:
    """A piece of work: its name, a stage for each cutter in order, and what it is to leave.

    meant : for a tolerance, the features of the part that this work is to make, as seen from the front
    top : z of the surface on which it begins
    tabs : whether it leaves tabs
    """

    name: str
    stages: tuple[Stage, ...]
    meant: Callable[[float], tuple[Feature, ...]]
    top: float = 0.0
    tabs: bool = False

    @property
    def cutters(self) -> tuple[Cutter, ...]:
        return tuple(stage.cutter for stage in self.stages)

    def toolpaths(self, fixture: Fixture, tolerance: float = share.DEFAULT) -> tuple[Toolpath, ...]:
        """The toolpath of each cutter that finds wood to take, for the side that the fixture describes, on a whole
        board."""
        site, paths = Site(fixture, positive("tolerance", tolerance)), list[Toolpath]()
        for stage in self.stages:
            paths.append(stage.make(site))
            site = site.after(paths[-1])
        check_some_work(paths)
        return tuple(path for path in paths if path.moves)


def check_some_work(paths: Sequence[Toolpath]) -> None:
    """An operation whose every stage finds nothing to do is a slip, and not passed over."""
    if not any(path.moves for path in paths):
        raise DoesNotFitError("There is no wood to take: what is cleared already covers it all.")


def checked_top(top: float) -> float:
    """Z of the surface from which a depth counts: 0, or below it where the face was levelled before."""
    if finite("top", top) > 0:
        raise InputError(f"top={top:g} lies above the board; its top is 0, a levelled surface below it.")
    return float(top)


def from_face(depth: Depth, top: float) -> Depth:
    """A depth below `top` as one below the face of the board."""
    return depth if isinstance(depth, Through) else depth - top


def checked_name(name: str, default: str) -> str:
    return label("name", name or default)


def checked_stepover(stepover: float, most: float) -> float:
    """The way over from pass to pass, as a share of the diameter."""
    if not _LEAST_STEPOVER <= finite("stepover", stepover) <= most:
        raise InputError(
            f"stepover={stepover!r} is a share of the cutter's diameter, {_LEAST_STEPOVER:g} to {most:g}: 0.4 steps "
            "over by two fifths of it."
        )
    return float(stepover)


def checked_cutter(cutter: Cutter) -> Cutter:
    """A Cutter, not only its profile or its diameter."""
    if not isinstance(cutter, Cutter):
        raise InputError(f"{cutter!r} is no cutter; make one: Cutter(1, flat(6), feed_mm_min=..., spindle_rpm=...).")
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


def check_side_cutting(cutter: Cutter) -> None:
    """A drill cuts at its point only; moved sideways it breaks."""
    checked_cutter(cutter)
    if cutter.profile.kind == "drill":
        raise InputError(f"{cutter} does not cut sideways; use it with drill(), and a flat or ball cutter here.")


def checked_finish(finish: float, cutter: Cutter) -> float:
    """Wood left for one last round at full depth: thin, or that round would be a slot at full depth."""
    if not_negative("finish", finish) > cutter.radius / 2:
        raise InputError(
            f"finish={finish:g} is more than a quarter of the diameter of {cutter}; the last round takes it at full "
            f"depth. Leave {cutter.radius / 2:g} or less."
        )
    return float(finish)


def floor_of(depth: Depth, top: float, fixture: Fixture) -> float:
    """Z of the bottom of a cut."""
    floor = -fixture.board.thickness - depth.beyond if isinstance(depth, Through) else top - depth
    if floor >= top:
        raise DoesNotFitError(f"top={top:g} is not above the floor of the cut at {floor:g}.")
    return floor


def levels(top: float, floor: float, step_down: float) -> list[float]:
    """The z of each pass, equal steps of at most step_down, the last exactly at the floor."""
    if top - floor > _MOST_PASSES * step_down:
        raise InputError(f"{top - floor:g} mm deep at {step_down:g} a pass are more than {_MOST_PASSES} passes.")
    count = max(1, ceil((top - floor) / step_down - 1e-9))
    return [top + (floor - top) * (i / count) for i in range(1, count)] + [floor]
