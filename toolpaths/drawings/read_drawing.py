"""A drawing that was read: curves in mm, told apart by layer, colour and name; and what must be known of the file."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

import numpy as np
from shapely import LineString, Polygon

from toolpaths.base.checks import one_of, optional, positive, text
from toolpaths.base.errors import InputError, ShapeError
from toolpaths.base.values import Value
from toolpaths.drawings.curve_segments import Circle
from toolpaths.drawings.drawing_colours import colour_name
from toolpaths.drawings.drawing_curve import DrawingCurve, Note
from toolpaths.drawings.fill_rules import EVEN_ODD, NONZERO, filled_areas
from toolpaths.shapes.filled import FillRule

# mm by which a circle may differ from the diameter looked for.
_SAME_DIAMETER = 0.01
# Names listed in a message.
_LISTED = 12


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Drawing(Value):
    """What read_svg() and read_dxf() give: the curves of a file, seen from the front, in mm.

    curves : all that is drawn, joined where ends meet, in the order of the file
    hidden : what is in the file but hidden, off or frozen; it is not among the curves
    notes : gaps that were closed, ends that are open, what has no outline, what was left out or is in doubt

    Print it to see all three. Raises InputError for a layer, a colour or a name that is not there.
    """

    curves: tuple[DrawingCurve, ...]
    hidden: tuple[Note, ...] = ()
    notes: tuple[Note, ...] = ()

    def __repr__(self) -> str:
        closed = sum(curve.closed for curve in self.curves)
        return (
            f"<Drawing: {closed} closed and {len(self.curves) - closed} open curves, {len(self.layers)} layers, "
            f"{len(self.hidden)} hidden, {len(self.notes)} notes>"
        )

    def __str__(self) -> str:
        closed = sum(curve.closed for curve in self.curves)
        left, low, right, high = self.bounds
        lines = [
            f"closed curves: {closed}, open curves: {len(self.curves) - closed}, circles: {len(self._round())}",
            f"from ({left:.3f}, {low:.3f}) to ({right:.3f}, {high:.3f}), {right - left:.3f} x {high - low:.3f} mm",
        ]
        for word, found in (("layers", self.layers), ("colours", self.colours)):
            if found:
                lines.append(f"{word}: {_listed(found)}")
        lines += [f"hidden: {note}" for note in self.hidden]
        return "\n".join([*lines, *map(str, self.notes)])

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(left, low, right, high) of all curves, mm."""
        corners = np.array([curve.bounds for curve in self.curves])
        left, low = corners[:, :2].min(axis=0).tolist()
        right, high = corners[:, 2:].max(axis=0).tolist()
        return left, low, right, high

    @property
    def layers(self) -> tuple[str, ...]:
        """Layers on which something is drawn, in the order of the file."""
        return tuple(dict.fromkeys(curve.layer for curve in self.curves if curve.layer))

    @property
    def colours(self) -> tuple[str, ...]:
        """Colours in which something is drawn, in the order of the file."""
        return tuple(dict.fromkeys(curve.colour for curve in self.curves if curve.colour))

    @property
    def names(self) -> tuple[str, ...]:
        """Names of curves, and of the groups and blocks in which they stand."""
        return tuple(dict.fromkeys(name for curve in self.curves for name in curve.names))

    def select(
        self, *, layer: str | None = None, colour: str | None = None, name: str | None = None
    ) -> tuple[DrawingCurve, ...]:
        """The curves on a layer, in a colour, of a name, or what fits all of those that are given.

        Raises InputError where there is no such layer, colour or name, or nothing fits all.
        """
        colour = None if colour is None else colour_name(text("colour", colour))
        found = self.curves
        for word, wanted, known in (
            ("layer", optional("layer", layer, text), self.layers),
            ("colour", colour, self.colours),
            ("name", optional("name", name, text), self.names),
        ):
            if wanted is None:
                continue
            if wanted not in known:
                if hidden := [note.text for note in self.hidden if repr(wanted) in note.text]:
                    raise InputError(f"{word}={wanted[:60]!r} is hidden in the file: {hidden[0]}.")
                raise InputError(f"{word}={wanted[:60]!r} is not in the drawing, which has {_listed(known) or 'none'}.")
            found = tuple(curve for curve in found if wanted in _said(curve, word))
        if not found:
            raise InputError("No curve of the drawing has all of that: layer, colour and name.")
        return found

    def areas(
        self,
        *,
        layer: str | None = None,
        colour: str | None = None,
        name: str | None = None,
        fill_rule: FillRule | None = None,
    ) -> tuple[Polygon, ...]:
        """What closed curves go round, those within others as holes, by the file's own fill rule.

        A filled thing of an SVG is filled by itself, by its own rule, from one open end straight to the other, as it
        looks (SVG 2, painting). Other open curves are left out; they stand in the notes. Closed curves that nothing
        fills, and those of a DXF, are filled together by even-odd: one within another is a hole, one within that an
        island.
        fill_rule : "evenodd" or "nonzero" fills all of the curves together by that rule, whatever the file says

        Raises InputError as select() does, ShapeError where there is no closed curve, with an open end.
        """
        optional("fill_rule", fill_rule, partial(one_of, choices=(EVEN_ODD, NONZERO)))
        chosen = self.select(layer=layer, colour=colour, name=name)
        closed = [curve for curve in chosen if curve.closed or (curve.filled and len(curve.points) > 2)]
        if not closed:
            x, y = chosen[0].start
            raise ShapeError(f"None of the curves is closed; one begins at ({x:.3f}, {y:.3f}).", (x, y))
        if fill_rule is not None:
            return tuple(filled_areas([curve.points for curve in closed], fill_rule))
        found = list[Polygon]()
        unfilled = list[np.ndarray[tuple[int, int], np.dtype[np.float64]]]()
        for curves in _by_shape(closed):
            each = filled_areas([curve.points for curve in curves], curves[0].fill_rule)
            if curves[0].filled:
                found += each
            else:
                unfilled += [np.asarray(ring.coords)[:-1] for area in each for ring in (area.exterior, *area.interiors)]
        return tuple(found + filled_areas(unfilled, EVEN_ODD))

    def lines(
        self, *, layer: str | None = None, colour: str | None = None, name: str | None = None
    ) -> tuple[LineString, ...]:
        """The curves as lines, to be engraved or cut along; closed ones end where they begin.

        Raises InputError as select() does.
        """
        return tuple(curve.line for curve in self.select(layer=layer, colour=colour, name=name))

    def circles(
        self,
        *,
        layer: str | None = None,
        colour: str | None = None,
        name: str | None = None,
        diameter: float | None = None,
    ) -> tuple[Circle, ...]:
        """Full circles, each as (centre, diameter), to be drilled or bored.

        diameter : mm; only those of this, within 0.01

        Raises InputError as select() does.
        """
        chosen = self._round(self.select(layer=layer, colour=colour, name=name))
        if diameter is None:
            return chosen
        wanted = positive("diameter", diameter)
        return tuple(circle for circle in chosen if abs(circle.diameter - wanted) <= _SAME_DIAMETER)

    def _round(self, curves: Iterable[DrawingCurve] | None = None) -> tuple[Circle, ...]:
        chosen = self.curves if curves is None else curves
        return tuple(curve.circle for curve in chosen if curve.closed and curve.circle is not None)


def _said(curve: DrawingCurve, word: str) -> tuple[str, ...]:
    if word == "name":
        return curve.names
    return (curve.layer,) if word == "layer" else (curve.colour,)


def _by_shape(curves: list[DrawingCurve]) -> list[list[DrawingCurve]]:
    groups: dict[int, list[DrawingCurve]] = {}
    for curve in curves:
        groups.setdefault(curve.shape, []).append(curve)
    return list(groups.values())


def _listed(names: Iterable[str]) -> str:
    found = [repr(name[:40]) for name in names]
    more = f" and {len(found) - _LISTED} more" if len(found) > _LISTED else ""
    return ", ".join(found[:_LISTED]) + more
