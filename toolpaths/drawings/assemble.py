"""From the things of a file, as formulas in its own units, to curves in mm: the same for every format."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.drawings.affine import Affine, scaled
from toolpaths.drawings.curve_segments import Circle, DrawnSubpath, same_circle
from toolpaths.drawings.drawing_curve import DrawingCurve, Note
from toolpaths.drawings.read_drawing import Drawing
from toolpaths.shapes.filled import FillRule
from toolpaths.shapes.joining import Chain, chained
from toolpaths.shapes.tolerance_shares import FLATTEN

# Vertices of all curves together: more are a drawing gone wrong, and take all memory.
MOST_VERTICES = 3_000_000
# mm: what is farther off has lost its hundredths of a mm to rounding.
_FARTHEST = 1e7
# mm: nearer points are one, and a curve no longer than this is none.
_ONE_PLACE = 1e-6
# Share of the width by which chords may be off where it is measured to be made another.
_MEASURED = 1e-7
# Notes of one kind that are listed one by one.
_LISTED = 100


@dataclass(frozen=True)
class Thing:
    """Something that a file draws: subpaths in the units of the file, and what it says of them.

    names : its own, then those of what it stands in; filled, fill_rule : as in DrawingCurve
    """

    subpaths: tuple[DrawnSubpath, ...]
    names: tuple[str, ...] = ()
    layer: str = ""
    colour: str = ""
    fill_rule: FillRule = "evenodd"
    filled: bool = False

    def mapped(self, by: Affine) -> Thing:
        return replace(self, subpaths=tuple(subpath.mapped(by) for subpath in self.subpaths))


def to_width(things: Sequence[Thing], width: float) -> Affine:
    """The scale that makes all things together so wide, mm."""
    points = [chords for thing in things for chords in _chords(thing, _sagitta_for(things))]
    across = float(np.ptp(np.vstack(points)[:, 0])) if points else 0.0
    if not across > 0:
        raise ShapeError("What is drawn has no width that could be made another.")
    return scaled(width / across, width / across)


def _sagitta_for(things: Sequence[Thing]) -> float:
    rough = np.vstack([_finite(subpath.chords(1e6)) for thing in things for subpath in thing.subpaths])
    return _MEASURED * float(np.ptp(rough[:, 0])) or 1.0


def drawing_of(
    things: Sequence[Thing], gap: float, tolerance: float, hidden: Iterable[Note], notes: Iterable[Note]
) -> Drawing:
    """The curves of things in mm, open ones joined to others of their layer and colour.

    gap : mm; ends no farther apart are joined
    tolerance : mm; chords lie within its share of the curves

    Raises ShapeError for a coordinate that is no number, InputError for too many vertices or where nothing is drawn.
    """
    hidden, notes = tuple(hidden), list(notes)
    fine = tolerance * FLATTEN
    most = sum(
        segment.most_chords(fine) for thing in things for subpath in thing.subpaths for segment in subpath.segments
    )
    if not most <= MOST_VERTICES:
        raise InputError(
            f"The drawing comes to {most:.3g} vertices within {tolerance:g} mm, {MOST_VERTICES} at most; "
            "are its units right?"
        )
    curves = [curve for number, thing in enumerate(things) for curve in _curves(thing, number, fine, notes)]
    # Twice: lines drawn twice over would close on each other; outlines may be the same only when they are joined.
    curves = _without_doubles(_joined(_without_doubles(curves, notes), gap, notes), notes)
    notes += _crossings(curves)
    if not curves:
        why = "; ".join(str(note) for note in (*hidden, *notes)[:5])
        raise InputError(f"The file draws nothing that could be cut{': ' + why if why else ''}.")
    return Drawing(tuple(curves), hidden, tuple(notes))


def _finite(points: Floats) -> Floats:
    if not (np.isfinite(points).all() and np.abs(points).max() <= _FARTHEST):
        raise ShapeError(f"The file holds a coordinate that is not finite, or beyond {_FARTHEST:g} mm.")
    return points


def _chords(thing: Thing, sagitta: float) -> list[Floats]:
    return [_finite(subpath.chords(sagitta)) for subpath in thing.subpaths if subpath.segments]


def _curves(thing: Thing, number: int, fine: float, notes: list[Note]) -> list[DrawingCurve]:
    found = []
    for subpath in thing.subpaths:
        points = _finite(subpath.chords(fine))
        apart = np.abs(np.diff(points, axis=0)).max(axis=1) > _ONE_PLACE
        points = points[np.concatenate([[True], apart])]
        closed = subpath.closed
        if closed and np.abs(points[0] - points[-1]).max() <= _ONE_PLACE:
            points = points[:-1]
        if closed and len(points) == 2:
            notes.append(Note(f"{_called(thing)} goes there and back, and is taken as one line", tuple(points[0])))
            closed = False
        if len(points) < 2:
            x, y = points[0].tolist() if len(points) else subpath.chords(fine)[0].tolist()
            notes.append(Note(f"{_called(thing)} has no length and is left out", (x, y)))
            continue
        circle = subpath.circle()
        found.append(
            DrawingCurve(
                points, closed, thing.names, thing.layer, thing.colour, circle, number, thing.fill_rule, thing.filled
            )
        )
    return found


def _called(thing: Thing) -> str:
    return f"a curve of {thing.names[0]!r}" if thing.names and thing.names[0] else "a curve"


def _joined(curves: list[DrawingCurve], gap: float, notes: list[Note]) -> list[DrawingCurve]:
    """Open curves joined to others of their layer and colour; in the order of the file."""
    groups: dict[tuple[str, str], list[int]] = {}
    placed: dict[int, DrawingCurve] = {}
    for i, curve in enumerate(curves):
        if curve.closed:
            placed[i] = curve
        else:
            groups.setdefault((curve.layer, curve.colour), []).append(i)
    for (layer, _), members in groups.items():
        chains, gaps = chained([curves[i].points for i in members], gap)
        notes += [Note(f"closed a gap of {each.width:.4f} mm", each.place) for each in gaps[:_LISTED]]
        if len(gaps) > _LISTED:
            notes.append(Note(f"closed {len(gaps) - _LISTED} more gaps, none wider than {gaps[_LISTED].width:.4f} mm"))
        still_open = list[DrawingCurve]()
        for chain in chains:
            if len(chain.points) < 2:
                continue
            parts = [curves[members[k]] for k in chain.members]
            placed[min(members[k] for k in chain.members)] = curve = _one_curve(parts, chain)
            if not curve.closed:
                still_open.append(curve)
        on = f" on layer {layer!r}" if layer else ""
        for curve in still_open[:_LISTED]:
            (x, y), (u, v) = curve.start, curve.end
            apart = float(np.hypot(u - x, v - y))
            notes.append(Note(f"open{on}, to ({u:.3f}, {v:.3f}), {apart:.3f} mm apart", (x, y)))
        if len(still_open) > _LISTED:
            notes.append(Note(f"{len(still_open) - _LISTED} more curves{on} are open"))
    return [placed[i] for i in sorted(placed)]


def _one_curve(parts: list[DrawingCurve], chain: Chain) -> DrawingCurve:
    if len(parts) == 1:
        return replace(parts[0], points=chain.points, closed=chain.closed)
    names = tuple(dict.fromkeys(name for part in parts for name in part.names))
    return replace(parts[0], points=chain.points, closed=chain.closed, names=names, circle=_common(parts), filled=False)


def _common(parts: list[DrawingCurve]) -> Circle | None:
    first = parts[0].circle
    if first is None or any(part.circle is None or not same_circle(first, part.circle) for part in parts):
        return None
    return first


def _without_doubles(curves: list[DrawingCurve], notes: list[Note]) -> list[DrawingCurve]:
    """Each curve once: one drawn twice over would be cut twice, or by even-odd cancel itself."""
    seen: set[tuple[object, ...]] = set()
    parts = Counter(curve.shape for curve in curves)
    kept, doubles = list[DrawingCurve](), list[Point]()
    for curve in curves:
        key = (
            curve.layer, curve.colour, curve.closed, len(curve.points), curve.filled,
            *np.round(curve.points.mean(axis=0), 4).tolist(), *np.round(curve.bounds, 4).tolist(),
*np.round((curve.points * curve.points[:, ::-1]).mean(axis=0), 2).tolist(),
            *np.round((curve.points * curve.points).mean(axis=0), 2).tolist(),
        )  # fmt: skip
        if parts[curve.shape] == 1 and key in seen:
            doubles.append(curve.start)
        else:
            seen.add(key)
            kept.append(curve)
    if doubles:
        notes += [Note("a curve is drawn twice over and taken once", place) for place in doubles[:_LISTED]]
        if len(doubles) > _LISTED:
            notes.append(Note(f"{len(doubles) - _LISTED} more curves are drawn twice over and taken once"))
    return kept


def _crossings(curves: list[DrawingCurve]) -> list[Note]:
    found = []
    for curve in curves:
        if curve.closed and len(curve.points) >= 3 and not curve.polygon.is_valid:
            called = f"{curve.name!r}" if curve.name else "a closed curve"
            found.append(Note(f"{called} crosses or touches itself", curve.start))
    return found[:_LISTED]


def notes_in_mm(said: Iterable[tuple[str, Point | None]], by: Affine) -> list[Note]:
    """Notes with their places where a map puts them."""
    return [Note(text, None if place is None else by.of(place)) for text, place in said]


def hidden_in_mm(said: Iterable[tuple[str, Thing | None]], by: Affine) -> list[Note]:
    """Notes of hidden things, at the places where these begin."""
    found = []
    for text, thing in said:
        place = None
        if thing is not None:
            x, y = thing.subpaths[0].mapped(by).segments[0].chords(1e3)[0].tolist()
            place = (x, y)
        found.append(Note(text, place))
    return found
