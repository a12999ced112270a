"""Parts laid out on a board: the same work at many places, each part with its number, for both sides of the board."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import instance, places_in, sequence
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.template import Template, kept_order
from toolpaths.making.plan.work import AnyOrder, listed
from toolpaths.shapes.placement import Placement

# mm2 that two outlines may have in common by rounding.
_ROUNDING = 1e-3


@dataclass(frozen=True, slots=True, repr=False)
class LaidPart:
    """One part of a layout.

    number : from 1, over all parts of the layout
    place : where the template's (0, 0) comes to lie, and how it is turned
    """

    template: Template
    number: int
    place: Placement

    @property
    def name(self) -> str:
        """What its work is called by: the template's name and its own number."""
        return f"{self.template.name} {self.number}"

    @property
    def kept(self) -> BaseGeometry:
        """The wood that its outlines keep, where it lies."""
        return self.place.shape(self.template.kept)

    def operations(self, side: Literal["front", "back"]) -> list[Operation]:
        """Its work on a side, where it lies and by its name."""
        x, y, turned_deg = self.place.x, self.place.y, self.place.turned_deg
        items = [item for item in listed(self.template.work(side)) if isinstance(item, Operation)]
        return [replace(item.moved(x, y, turned_deg=turned_deg), part_name=self.name) for item in items]

    def __repr__(self) -> str:
        turned = f", turned {self.place.turned_deg:g} degrees" if self.place.turned_deg else ""
        return in_a_line(f"<{self.name} at ({self.place.x:.2f}, {self.place.y:.2f}){turned}>")


@dataclass(frozen=True, repr=False)
class Layout(PickledByFields):
    """Parts laid out on one board; made by repeat_at() and in_rows(). Layouts are joined by +, and numbered anew.

    parts : in the order of their numbers
    size_needed : mm, (width, height) of the least board that takes them as they lie, with the margins of in_rows()

    `front` and `back` go into the lists of the setups. Printed it is a map: a line for each part.
    """

    parts: tuple[LaidPart, ...]
    size_needed: tuple[float, float]

    @property
    def front(self) -> AnyOrder:
        """All work on the front, the order of each part's own work kept, else sorted: cutters change as seldom as that
        allows, what frees a part comes last, and the way from part to part is short.

        Raises InputError where there is none.
        """
        return self._work("front")

    @property
    def back(self) -> AnyOrder:
        """All work on the back, likewise."""
        return self._work("back")

    def _work(self, side: Literal["front", "back"]) -> AnyOrder:
        work, pairs = list[Operation](), list[tuple[int, int]]()
        for part in self.parts:
            pairs += kept_order(part.template.work(side), len(work))
            work += part.operations(side)
        if not work:
            raise InputError(f"No template of this layout has work on the {side}.")
        return AnyOrder(tuple(work), tuple(pairs))

    def __add__(self, other: Layout) -> Layout:
        if not isinstance(other, Layout):
            return NotImplemented
        placed = [(part.template, part.place) for part in (*self.parts, *other.parts)]
        left, low, right, high = shapely.union_all([_drawn(each, place) for each, place in placed]).bounds
        return laid_out(placed, (right - left, high - low))

    def __str__(self) -> str:
        count = len(self.parts)
        wide = max(len(part.name) for part in self.parts)
        width, height = self.size_needed
        lines = [f"{count} part{'s' if count > 1 else ''}, within {width:.4g} x {height:.4g} mm"]
        for part in self.parts:
            place = part.place
            turned = f", turned {place.turned_deg:g}" if place.turned_deg else ""
            lines.append(f"{part.name:<{wide}}  X{place.x:.2f} Y{place.y:.2f}{turned}")
        return "\n".join(lines)

    def __repr__(self) -> str:
        counts: dict[str, int] = {}
        for part in self.parts:
            counts[part.template.name] = counts.get(part.template.name, 0) + 1
        return in_a_line(f"<Layout: {', '.join(f'{count} {name}' for name, count in counts.items())}>")


def laid_out(placed: Sequence[tuple[Template, Placement]], size_needed: tuple[float, float]) -> Layout:
    """Templates at their places, numbered as listed.

    Raises DoesNotFitError where parts lie over each other.
    """
    parts = tuple(LaidPart(template, number, place) for number, (template, place) in enumerate(placed, start=1))
    _check_apart(parts)
    return Layout(parts, size_needed)


def _check_apart(parts: Sequence[LaidPart]) -> None:
    at: dict[tuple[str, Placement], LaidPart] = {}
    for part in parts:
        twin = at.setdefault((part.template.name, part.place), part)
        if twin is not part:
            where = part.place.x, part.place.y
            raise DoesNotFitError(f"{twin.name} and {part.name} lie at one place, ({where[0]:g}, {where[1]:g}).", where)
    kept = [part.kept for part in parts]
    for one, other in shapely.STRtree(kept).query(kept, predicate="intersects").T.tolist():
        both = shapely.intersection(kept[one], kept[other]) if one < other else Polygon()
        if both.area > _ROUNDING:
            left, low, right, high = both.bounds
            x, y = (left + right) / 2, (low + high) / 2
            raise DoesNotFitError(
                f"{parts[one].name} and {parts[other].name} lie over each other, by {right - left:.4g} x "
                f"{high - low:.4g} mm around ({x:.1f}, {y:.1f}). Put them farther apart.",
                (x, y),
            )


def repeat_at(template: Template, places: Iterable[Point], *, turned_deg: float | Sequence[float] = 0.0) -> Layout:
    """The same work at each of some places, under numbered names: "plate 1: outline".

    template : as it was drawn; its (0, 0) comes to each place
    places : (x, y) seen from the front, as row(), grid(), bolt_circle() and spaced_along() give them
    turned_deg : by how much it is turned there, anticlockwise: one number for all, or one for each

    >>> from toolpaths import Cutter, Template, bore, flat, grid, repeat_at
    >>> T1 = Cutter(1, flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> cups = repeat_at(Template("cup", [bore([(0, 0)], 10, T1, depth=8, name="hole")]), grid(2, 2, 40, (30, 30)))
    >>> cups
    <Layout: 4 cup>
    >>> [item.title for item in cups.front.work]
    ['cup 1: hole', 'cup 2: hole', 'cup 3: hole', 'cup 4: hole']

    Raises InputError for numbers that cannot be used, DoesNotFitError where two parts lie over each other.
    """
    instance("template", template, Template)
    found = places_in("places", places)
    turned = _turns(turned_deg, len(found))
    placed = [(template, Placement(x, y, turn)) for (x, y), turn in zip(found, turned, strict=True)]
    left, low, right, high = shapely.union_all([_drawn(each, place) for each, place in placed]).bounds
    return laid_out(placed, (right - left, high - low))


def _drawn(template: Template, place: Placement) -> BaseGeometry:
    """What a template keeps, or else what is drawn of it, where it lies."""
    drawn = template.kept if not template.kept.is_empty else shapely.union_all([i.drawn for i in template.operations])
    return place.shape(drawn)


def _turns(turned_deg: Any, count: int) -> list[Any]:
    """One turn for each place."""
    if not isinstance(turned_deg, (list, tuple)) and not hasattr(turned_deg, "__iter__"):
        return [turned_deg] * count
    each = sequence("turned_deg", turned_deg, "degrees, one number or one for each place")
    if len(each) != count:
        raise InputError(f"turned_deg lists {len(each)} numbers for {count} places; give one for each, or one for all.")
    return each
