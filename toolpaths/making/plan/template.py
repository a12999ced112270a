"""A template: the work on one part, drawn once, of which several are made from one board."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any, Literal

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import label, let_in, sequence, shown
from toolpaths.base.errors import InputError
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.work import AnyOrder, Stop, listed
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE

Entry = Operation | AnyOrder
# Letters of a name: with a number, and the name of a piece of work, it stands in a line of a program.
_LONGEST = 60


@dataclass(frozen=True, repr=False)
class Template(PickledByFields):
    """The work on one part, drawn once, wherever that is convenient: about (0, 0), or from its lower-left corner.

    name : of the part; each that is laid out gets a number behind it
    front, back : the work on either side as a setup lists it, both drawn as seen from the front: a list keeps its
        order on every part, and what any_order() holds is sorted

    >>> from toolpaths import Cutter, Tabs, Template, contour, drill, drill_point, flat, rectangle, through
    >>> T1 = Cutter(1, flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> T4 = Cutter(4, drill_point(4), feed_mm_min=600, spindle_rpm=8000)
    >>> outline = contour(rectangle(90, 60), T1, depth=through(), tabs=Tabs(count=3, width=8, height=4), name="outline")
    >>> Template("plate", [drill([(-30, 0), (30, 0)], T4, depth=through(), name="holes"), outline])
    <Template: plate, 90 x 60 mm, 2 operations>

    Raises InputError for what is no such work, and for stops: these belong into the list of the setup.
    """

    name: str
    front: tuple[Entry, ...] = ()
    back: tuple[Entry, ...] = ()

    def __post_init__(self) -> None:
        let_in(self, name=_short_label, front=_work, back=_work)
        if not self.operations:
            raise InputError(f"The template {self.name} holds no work; list its operations.")

    @property
    def operations(self) -> tuple[Operation, ...]:
        """All its operations, those of the front first."""
        return tuple(item for item in listed((*self.front, *self.back)) if isinstance(item, Operation))

    @cached_property
    def kept(self) -> BaseGeometry:
        """The wood that its outlines keep; empty where it parts nothing."""
        outlines = [
            feature.shape
            for operation in self.operations
            for feature in operation.features(DEFAULT_TOLERANCE)
            if feature.waste_side == "outside"
        ]
        return shapely.union_all(outlines) if outlines else Polygon()

    def footprint(self, underside: float) -> BaseGeometry:
        """All that it takes up of a board: what it keeps, and where its cutters take wood, without its openings.

        underside : z of the board's lower face, from its top
        """
        areas = [self.kept]
        for operation in self.operations:
            radius = max(cutter.radius for cutter in operation.cutters_in_turn)
            for feature in operation.features(DEFAULT_TOLERANCE):
                areas.append(feature.taken(operation.top - feature.floor(underside), radius))
        every = [part for part in shapely.get_parts(shapely.union_all(areas)) if isinstance(part, Polygon)]
        return shapely.union_all([Polygon(part.exterior) for part in every])

    def work(self, side: Literal["front", "back"]) -> tuple[Entry, ...]:
        return self.front if side == "front" else self.back

    def __repr__(self) -> str:
        drawn = self.kept if not self.kept.is_empty else shapely.union_all([item.drawn for item in self.operations])
        left, low, right, high = drawn.bounds
        count = f"{len(self.operations)} operation{'s' if len(self.operations) > 1 else ''}"
        return in_a_line(f"<Template: {self.name}, {right - left:g} x {high - low:g} mm, {count}>")


def kept_order(entries: Iterable[Entry], first: int) -> list[tuple[int, int]]:
    """Pairs of numbers of operations, counted from `first`, that keep the order of a list of work: each entry after the
    one before it, and what a group keeps of itself."""
    pairs, rows = list[tuple[int, int]](), list[range]()
    for entry in entries:
        count = len(entry.work) if isinstance(entry, AnyOrder) else 1
        if isinstance(entry, AnyOrder):
            pairs += [(first + one, first + other) for one, other in entry.keeping]
        rows.append(range(first, first + count))
        first += count
    return pairs + [(one, other) for before, after in pairwise(rows) for one in before for other in after]


def _short_label(name: str, given: Any) -> str:
    text = label(name, given)
    if len(text) > _LONGEST:
        raise InputError(
            f"{name}={shown(given)} is longer than {_LONGEST} letters; it stands before every piece of work."
        )
    return text


def _work(name: str, given: Any) -> tuple[Entry, ...]:
    """Operations and groups of them, without stops."""
    if isinstance(given, (Operation, AnyOrder)):
        raise InputError(f"{name} must be a list of operations, even of one.")
    entries = sequence(name, given, "a list of operations")
    for entry in entries:
        if not isinstance(entry, (Operation, AnyOrder, Stop)):
            raise InputError(f"{name} holds {shown(entry)}; list operations such as contour(...).")
    for item in listed(entries):
        if isinstance(item, Stop):
            raise InputError(
                f"{name} holds the stop {item.message!r}, which would come once for every part; put it into the list "
                "of the setup, before or after the layout."
            )
        if item.part_name:
            raise InputError(f"{name} holds work that belongs to {item.part_name} already; take it as it was drawn.")
    return tuple(entries)
