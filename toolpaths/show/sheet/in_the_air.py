"""How a side is run in the air first: nothing is touched, whatever the steps say that are for the wood."""

from __future__ import annotations

from math import ceil

from toolpaths.base.units import MM_PER_INCH
from toolpaths.making.plan.extent import extent
from toolpaths.making.writer.number_format import NumberFormat
from toolpaths.show.sheet.sheet_side import SheetSide

# mm that the cutter stays over what stands on the board (common practice).
_OVER_ALL = 5.0
# mm in which the height is counted, so that it is easily entered.
_STEP = {"mm": 1.0, "inch": MM_PER_INCH / 10}


def in_the_air(side: SheetSide) -> str:
    """Which Z every cutter gets, and what is left undone."""
    setup, fixture, lengths = side.setup, side.setup.fixture, side.lengths
    lowest = NumberFormat(lengths.units, fixture.zero).comment(_lowest(side) - fixture.zero[2])
    where = f"on the {fixture.zero_surface}"
    if setup.touch_off_z(0) != setup.touch_off_z(len(setup.steps) - 1):
        where += ", not yet cut"
    at_m6 = " Where the machine measures at M6: for the first alone." if side.tool_change == "M6" else ""
    undone = " At stops drive no screw and take no clamp off." if _has_stops(side) else ""
    return (
        f"First in the air, a hand on the stop: touch off every cutter {where}, the first and those at changes, and "
        f"enter Z{z_in_the_air(side)} for each, not what is said elsewhere.{at_m6}{undone} Then the lowest cut, "
        f"Z{lowest}, stays over the board and all on it. The machine has to go {lengths.of(_higher(side))} higher for "
        "it. Then touch off the first cutter again, with the right Z."
    )


def z_in_the_air(side: SheetSide) -> str:
    """The Z that is entered for each cutter, where its tip touches."""
    numbers = NumberFormat(side.lengths.units, side.setup.fixture.zero)
    return numbers.comment(side.setup.touch_off_z(0) - _higher(side))


def _higher(side: SheetSide) -> float:
    """mm that the whole program is run higher; clamps put there by hand stand up to the safe height."""
    fixture, step = side.setup.fixture, _STEP[side.lengths.units]
    return ceil((max(fixture.highest + _OVER_ALL, fixture.safe_z) - _lowest(side)) / step - 1e-9) * step


def _lowest(side: SheetSide) -> float:
    return extent(side.setup.steps, (0.0, 0.0, 0.0)).lowest


def _has_stops(side: SheetSide) -> bool:
    return any(thing.driven_at for thing in side.setup.fixture.standing())
