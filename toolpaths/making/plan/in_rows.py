"""Parts laid in rows on a board, along X or along Y, clear of what stands there; or how many have room."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil, inf
from typing import Any, NamedTuple

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, flag, instance, sequence, shown, whole
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.board import Board
from toolpaths.facts.fixture import Fixture
from toolpaths.making.plan.layout import Layout, laid_out
from toolpaths.making.plan.rows_on_sheet import KeptClear, Row, Sheet, TurnedTemplate, beginnings, filled_rows
from toolpaths.making.plan.template import Template
from toolpaths.shapes import door
from toolpaths.shapes.placement import Placement

# mm of wood that stands between the cuts of two parts: what their tabs hold on to (common practice, no source).
_WEB = 8.0
# mm between what is cut and a head, a clamp or a pin (common practice, no source).
_AT_HOLD_DOWN = 2.0
# Parts of one layout at most, vertices of an outline that room is looked for with, and mm that it may be off then.
_MOST_PARTS, _MANY, _OFF = 2000, 1000, 0.02


class _Trial(NamedTuple):
    """One way to lay all parts: in a world turned by a quarter where rows run along Y."""

    world: Placement
    sheet: Sheet
    shapes: list[tuple[list[TurnedTemplate], int]]
    rows: list[Row]

    @property
    def how_many(self) -> int:
        return sum(len(row.laid) for row in self.rows)

    @property
    def used(self) -> float:
        """The share of the sheet up to the top of the last row."""
        sheet = self.sheet
        return (self.rows[-1].y + self.rows[-1].height - sheet.low) / (sheet.high - sheet.low) if self.rows else 0.0


def in_rows(
    wanted: Template | Iterable[Any],
    sides: Fixture | Sequence[Fixture],
    *,
    web: float = _WEB,
    margin: float | None = None,
    keep_out: Any = (),
    across_grain: bool = False,
) -> Layout:
    """Parts in rows on a board, the highest first, as near to each other as the wood between them allows.

    wanted : templates, or pairs (template, how many)
    sides : how the board lies, on each side that is worked on: parts keep clear of the screws, clamps and pins there,
        and of the holes of pins. Grips are laid over
    web : mm of wood left standing between the cuts of two parts, which their tabs hold on to; outlines are then apart
        by it and twice the cutter's diameter. 8 unless given (common practice, no source); a screw between parts
        takes its head and some mm on either side
    margin : mm of wood left standing at the edges of the board; as much as the web unless given
    keep_out : areas, seen from the front, that nothing is laid over
    across_grain : whether parts may be turned by quarter turns too; else by half a turn only, so that the grain runs
        through all of them as it was drawn

    Rows run along X, or along Y where that takes less of the board; in a row parts are pushed together by their true
    outlines, turned by half a turn where that saves wood. Rows are bands: what is hollow on top is not filled.

    >>> from toolpaths import Board, Cutter, Fixture, Tabs, Template, contour, flat, in_rows, rectangle, through
    >>> T1 = Cutter(1, flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> outline = contour(rectangle(90, 60), T1, depth=through(), tabs=Tabs(count=3, width=8, height=4), name="outline")
    >>> board = Board(width=400, height=300, thickness=18)
    >>> print(in_rows([(Template("plate", [outline]), 4)], Fixture(board=board)))
    4 parts, within 338 x 168 mm
    plate 1  X59.00 Y44.00
    plate 2  X169.00 Y44.00
    plate 3  X279.00 Y44.00
    plate 4  X59.00 Y124.00

    Raises InputError for what cannot be used, and DoesNotFitError where not all have room, with how many have, and the
    board that would do.
    """
    items = _counted(wanted)
    fixtures = _sides(sides)
    board, apart = fixtures[0].board, distance("web", web)
    edge = apart if margin is None else distance("margin", margin)
    quarters, total = flag("across_grain", across_grain), sum(count for _, count in items)
    keep = _kept_clear(items, fixtures, keep_out)
    prints = [_footprint(template, fixtures[0]) for template, _ in items]
    trials = list[_Trial]()
    for world in (Placement(), Placement(turned_deg=90.0)):
        left, low, right, high = world.shape(board.outline).bounds
        sheet = Sheet(left + edge, low + edge, right - edge, high - edge, keep.turned(world), apart)
        for first_turn in (0.0, 90.0) if quarters else (0.0,):
            shapes = [
                (_orientations(template, area, world.turned_deg + first_turn, quarters), count)
                for (template, count), area in zip(items, prints, strict=True)
            ]
            for begins in beginnings(sheet):
                trials.append(_Trial(world, sheet, shapes, filled_rows(shapes, sheet._replace(low=begins))))
                if trials[-1].how_many == total:
                    break
    best = max(trials, key=lambda trial: (trial.how_many, -trial.used))
    if best.how_many < total:
        raise _no_room(items, best, trials, edge, board)
    return _layout(best, edge)


def _layout(trial: _Trial, edge: float) -> Layout:
    """The parts where they lie on the board, row by row."""
    back, placed = Placement(turned_deg=-trial.world.turned_deg), list[tuple[Template, Placement]]()
    for row in trial.rows:
        for laid in sorted(row.laid, key=lambda each: each.x):
            x, y = back.point((laid.place.x, laid.place.y))
            turned_deg = laid.shape.turned_deg - trial.world.turned_deg
            placed.append((laid.shape.template, Placement(round(x, 6), round(y, 6), turned_deg)))
    every = [laid for row in trial.rows for laid in row.laid]
    along = max(laid.x + laid.shape.width for laid in every) - min(laid.x for laid in every) + 2 * edge
    across = trial.rows[-1].y + trial.rows[-1].height - trial.rows[0].y + 2 * edge
    return laid_out(placed, (across, along) if trial.world.turned_deg else (along, across))


def _counted(wanted: Any) -> list[tuple[Template, int]]:
    """Templates and how many of each."""
    if isinstance(wanted, Template):
        return [(wanted, 1)]
    found = []
    for each in sequence("wanted", wanted, "a list of templates, or of pairs (template, how many)"):
        pair = (each, 1) if isinstance(each, Template) else each
        if not isinstance(pair, (tuple, list)) or len(pair) != 2 or not isinstance(pair[0], Template):
            raise InputError(f"wanted holds {shown(each)}; list templates, or pairs (template, how many).")
        found.append((pair[0], whole("how many", pair[1], 1, _MOST_PARTS)))
    if not found:
        raise InputError("wanted lists no template.")
    whole("parts wanted", sum(count for _, count in found), 1, _MOST_PARTS)
    return found


def _sides(sides: Any) -> list[Fixture]:
    found = [sides] if isinstance(sides, Fixture) else sequence("sides", sides, "a Fixture, or a list of them")
    if not found:
        raise InputError("sides lists no Fixture.")
    for each in found:
        instance("sides", each, Fixture)
        if each.board != found[0].board:
            raise InputError(f"sides are of two boards, {found[0].board} and {each.board}.")
    return found


def _kept_clear(items: Sequence[tuple[Template, int]], sides: Sequence[Fixture], keep_out: Any) -> KeptClear:
    """What stands on either side, the holes of pins, and what the user keeps free, as seen from the front."""
    areas, clear = list[BaseGeometry](), list[float]()
    for fixture in sides:
        for thing in fixture.standing():
            if thing.kind != "grip":
                areas.append(fixture.place(thing.outline))
                clear.append(_beside(items, fixture, thing.height))
        for dowel in fixture.dowels:
            areas.append(shapely.Point(dowel.x, dowel.y).buffer(dowel.hole_reach))
            clear.append(_AT_HOLD_DOWN)
    given = [] if isinstance(keep_out, (list, tuple)) and not keep_out else door.polygons("keep_out", keep_out)
    return KeptClear((*areas, *given), (*clear, *[0.0] * len(given)))


def _beside(items: Sequence[tuple[Template, int]], fixture: Fixture, height: float) -> float:
    """mm from what is cut to a thing so high: where a shank or a nut is wider than the cut and comes so low, more."""
    wider = [
        cutter.body_radius(height - operation.floor(fixture)) - cutter.radius
        for template, _ in items
        for operation in template.operations
        for cutter in operation.cutters_in_turn
    ]
    return _AT_HOLD_DOWN + max(0.0, *wider)


def _footprint(template: Template, fixture: Fixture) -> BaseGeometry:
    """What a template takes up, about all of it where it parts nothing, in not too many vertices."""
    area = template.footprint(fixture.underside_z)
    if template.kept.is_empty:
        area = shapely.convex_hull(area)
    many = shapely.get_num_coordinates(area) > _MANY
    return shapely.simplify(shapely.buffer(area, _OFF), _OFF / 2) if many else area


def _orientations(template: Template, area: BaseGeometry, turned_deg: float, quarters: bool) -> list[TurnedTemplate]:
    """How a template may lie, the first preferred.

    area : what it takes up as drawn; turned_deg : by how much it is turned at first
    """
    found = []
    for turn in (0.0, 180.0, 90.0, 270.0) if quarters else (0.0, 180.0):
        place = Placement(turned_deg=turned_deg + turn)
        turned = place.shape(area)
        left, low, right, high = turned.bounds
        moved = Placement(-left, -low).shape(turned)
        shapely.prepare(moved)
        found.append(TurnedTemplate(template, place.turned_deg, moved, (left, low), right - left, high - low))
    return found


def _no_room(
    items: Sequence[tuple[Template, int]], best: _Trial, trials: Sequence[_Trial], edge: float, board: Board
) -> DoesNotFitError:
    """How many have room, and the board that would do: as wide as this one, or as high."""
    laid = [each.shape.template for row in best.rows for each in row.laid]
    fits = [sum(each is template for each in laid) for template, _ in items]
    fit = ", ".join(f"{fit} of {count} {template.name}" for fit, (template, count) in zip(fits, items, strict=True))
    words = f"Not all parts find room on the board of {board.width:g} x {board.height:g} mm: {fit} do. "
    boards = list[tuple[float, float]]()
    for trial in trials:
        longer = trial._replace(rows=filled_rows(trial.shapes, trial.sheet._replace(high=inf)))
        if longer.how_many == sum(count for _, count in items):
            long = float(ceil(longer.rows[-1].y + longer.rows[-1].height + 2 * edge - trial.sheet.low))
            boards.append((long, board.height) if trial.world.turned_deg else (board.width, long))
    if not boards:
        return DoesNotFitError(words + f"One of them is wider than the room within margins of {edge:g} mm.")
    width, height = min(boards, key=lambda size: size[0] * size[1])
    return DoesNotFitError(words + f"A board of {width:g} x {height:g} mm would do, or less web= or margin=.")
