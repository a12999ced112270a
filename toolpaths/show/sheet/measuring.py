"""What is measured before a side is run, and how far it may be off what was entered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Through
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.wood_movement import movement
from toolpaths.making.plan.extent import extent
from toolpaths.making.plan.setup import Setup
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Content, Markup, tag
from toolpaths.show.part_sizes import part_area
from toolpaths.show.sheet.page_parts import blank, section, table
from toolpaths.show.sheet.sheet_side import SheetSide

_BEYOND = (
    "Beyond that do not start: whoever wrote the programs enters what was measured in the job, and writes programs and "
    "sheet anew."
)
_LESS_LEFT = "Below the cuts less is left by as much."
# mm that a board may well be thinner than written for; and less than which is no room to speak of.
_A_LITTLE, _ENOUGH = 0.3, 0.1
_WHERE = "lower left, lower right, upper left, upper right, middle"


def measured_first(side: SheetSide, setups: Sequence[Setup], part: Part | None, measured: frozenset[int]) -> Markup:
    """Rows with room to write, and how far each may be off.

    setups : all of its board, this one among them
    part : what comes of its board, where that is known
    measured : numbers of the cutters that were measured for an earlier side
    """
    rows, units = list(_rows(side, setups, part, measured)), side.lengths.units
    if not rows:
        return Markup("")
    return section(
        "Measure first",
        table(["What", f"Written for, {units}", "May be", f"Measured, {units}"], rows, class_="measured"),
        tag("p", _BEYOND),
    )


def _rows(
    side: SheetSide, setups: Sequence[Setup], part: Part | None, measured: frozenset[int]
) -> Iterator[list[Content]]:
    fixture, lengths = side.setup.fixture, side.lengths
    board = fixture.board
    if not side.setup.earlier:
        five = [[tag("span", "", class_="blank short"), " "] for _ in range(5)]
        yield [f"Thickness ({_WHERE})", lengths.of(-fixture.underside_z), _thickness(side, setups), tag("span", five)]
        yield ["Along X", lengths.of(board.width), _at_least(side, part, 0), blank("")]
        yield ["Along Y", lengths.of(board.height), _at_least(side, part, 1), blank("")]
    for cutter in side.setup.cutters:
        if cutter.number not in measured:
            yield [f"T{cutter.number} across", lengths.of(cutter.diameter), _diameter(cutter, part, lengths), blank("")]
    wood = movement(board.wood) if board.wood else None
    if wood is not None and not side.setup.earlier:
        yield ["Moisture", "", "6 to 14 %, else it moves otherwise than said at the end", blank("%")]


def beyond_board(setup: Setup) -> list[float]:
    """mm that each operation of a setup which cuts through goes on below the board."""
    depths = [operation.depth for operation in setup.operations]
    return [depth.beyond for depth in depths if isinstance(depth, Through)]


def _thickness(side: SheetSide, setups: Sequence[Setup]) -> str:
    """How much thicker or thinner a board is still parted, and the spoilboard not cut through.

    setups : all of this board
    """
    fixture, lengths = side.setup.fixture, side.lengths
    if fixture.zero_on == "spoilboard":
        return "for you to decide: every depth is off by as much as the board"
    beyond = [each for setup in setups for each in beyond_board(setup)]
    if not beyond:
        return "for you to decide: nothing is cut through, so only what is left below the cuts differs"
    thick = -fixture.underside_z
    most = f"at most {lengths.of(thick + min(beyond))}: thicker it is not cut through"
    return f"{most}; {_thinner(fixture, setups, beyond, lengths)}"


def _thinner(fixture: Fixture, setups: Sequence[Setup], beyond: Sequence[float], lengths: Lengths) -> str:
    """How much thinner a board may be: by as much every cut goes deeper into the spoilboard, if Z0 is the top."""
    thick, allowed, below = -fixture.underside_z, fixture.spoilboard_depth, fixture.spoilboard_thickness
    deepest = max(setup.fixture.underside_z - extent(setup.steps, (0.0, 0.0, 0.0)).lowest for setup in setups)
    if below is not None:
        least = thick - (below - deepest)
        if least > 0:
            return f"more than {lengths.of(least)}: thinner the spoilboard is cut through. " + _LESS_LEFT
    anywhere = max((each for each in beyond if each <= allowed), default=0.0)
    if allowed - anywhere >= _ENOUGH:
        return (
            f"at least {lengths.of(thick - allowed + anywhere)}: thinner the spoilboard is cut deeper than "
            f"{lengths.of(allowed)}"
        )
    return (
        f"thinner than {lengths.of(thick)}, by {lengths.of(_A_LITTLE)} for instance, is for you to decide: by as much "
        f"the spoilboard is cut deeper than {lengths.of(deepest)}. {_LESS_LEFT}"
    )


def is_parted(part: Part) -> bool:
    """Whether it is cut out of its board, so that the board's edges are not its own."""
    return any(each.waste == "outside" for each in part.partings())


def room_round(side: SheetSide, part: Part | None) -> float | None:
    """mm by which part, screws and pins clear the edges of the board, where there is anything."""
    shapes = _on_wood(side, part)
    if not shapes:
        return None
    left, low, right, high = shapely.total_bounds(shapes).tolist()
    board = side.setup.fixture.board
    return float(min(left, low, board.width - right, board.height - high))


def _on_wood(side: SheetSide, part: Part | None) -> list[shapely.Geometry]:
    """What has to find wood below it: the part, screws and pins, or their holes."""
    fixture = side.setup.fixture
    shapes: list[shapely.Geometry] = [each.outline for each in fixture.standing() if each.kind in ("screw", "pin")]
    shapes += [fixture.place(shapely.Point(d.x, d.y).buffer(d.diameter / 2)) for d in fixture.dowels]
    if part is not None and part.partings():
        shapes.append(fixture.place(part_area(part)))
    return shapes


def _at_least(side: SheetSide, part: Part | None, axis: int) -> str:
    """How short a board may be so that the part, screws, clamps and pins still find wood, measured from zero."""
    fixture = side.setup.fixture
    if part is not None and not is_parted(part):
        return "for you to decide: it is the size of the part, too"
    shapes = _on_wood(side, part) + [clamp.outline for clamp in fixture.standing() if clamp.kind == "clamp"]
    if not shapes:
        return ""
    bounds = np.array(shapely.total_bounds(shapes))
    full, zero = (fixture.board.width, fixture.board.height)[axis], fixture.zero[axis]
    least, most = max(float(bounds[axis]), 0.0), min(float(bounds[axis + 2]), full)
    # Zero in the middle moves with both edges, one at an edge with that.
    need = 2 * max(zero - least, most - zero) if 0 < zero < full else most if zero == 0 else full - least
    return f"at least {side.lengths.of(need)}: part and hold-downs reach so far" if need < full else ""


def _diameter(cutter: Cutter, part: Part | None, lengths: Lengths) -> str:
    if cutter.profile.kind == "V":
        return f"only its angle counts, {cutter.profile.angle_deg:g} deg"
    if cutter.profile.hollow:
        radius, small = lengths.of(cutter.profile.corner_radius), lengths.of(2 * cutter.profile.flat_radius)
        return f"the radius of its edges, {radius}, and its small end, {small} across, count"
    if part is None:
        return ""
    return f"\N{PLUS-MINUS SIGN}{lengths.of(2 * part.within)}: a hole is off by all of it, a wall by half"
