"""How the board lies, where zero is, and whether it is found anew: the lines of the head that a wrong zero hangs on.

Pins fix the board on the machine, and they stand where the front's zero had their holes drilled. So on the turned board
X0 Y0 is never found at an edge again: were the board larger than entered, the edge would be off by the difference,
while the pins are right. X0 Y0 is then the corner of the board as it was entered, which pins and front's zero fix.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from shapely import Point

from toolpaths.facts.board import Dowel
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.head_lines import BACK_UP, DOWEL, FRONT_UP, SURFACE, TOUCH_OFF, ZERO
from toolpaths.facts.turning import Corner, pins_fit_both_ways, turned_corner
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.making.writer.number_format import NumberFormat

# The corner that is marked where the pins do not say which way the board lies.
_MARKED: Corner = "lower left"
# mm by which what is said may differ from what is cut.
_ROUNDING = 1e-6


def lie_and_zero(setup: Setup, steps: Sequence[Step | Stop], numbers: NumberFormat, first_step: int) -> list[str]:
    """Side, zero, pins, and how the zero is found.

    first_step : number of the step of the setup with which the program begins, from 0
    """
    fixture = setup.fixture
    pinned = is_on_pins(setup)
    lines = [
        BACK_UP.text(turned=fixture.turned) if fixture.turned else FRONT_UP.text(),
        ZERO.text(corner=fixture.zero_corner, lie="as entered" if pinned else "as it lies"),
        SURFACE.text(surface=fixture.zero_surface),
    ]
    if z := setup.touch_off_z(first_step):
        lines.append(TOUCH_OFF.text(z=numbers.comment(z)))
    if pinned:
        lines += _kept_zero(setup, numbers)
    elif fixture.turned:
        lines += _found_anew(fixture)
    elif fixture.dowels:
        lines.append("X0 Y0 must stay as set until the back is done.")
    return lines + _pins(fixture, pinned, steps, numbers)


def is_on_pins(setup: Setup) -> bool:
    """Whether pins say where the board lies: once it was turned over on to them they do, whichever side is up."""
    on_pins = any(before.fixture.turned and before.fixture.dowels for before in setup.earlier)
    return bool(setup.fixture.dowels) and bool(setup.fixture.turned or on_pins)


def _kept_zero(setup: Setup, numbers: NumberFormat) -> list[str]:
    """With pins: the front's X0 Y0, or another that is entered as numbers; Z0 alone is touched off."""
    if setup.after is None:
        kept = [
            f"X0 Y0 stays if the front's was the {setup.fixture.zero_corner} too,",
            "else it is moved there by numbers.",
        ]
    else:
        # The board as entered fills the same place on the machine, whichever side is up.
        before = setup.after.fixture
        same = bool(before.turned) == bool(setup.fixture.turned)
        whose = f"{'earlier ' if same else ''}{before.side}"
        x, y = (mine - theirs for mine, theirs in zip(setup.fixture.zero[:2], before.zero))
        moved = f"X0 Y0 is the {whose}'s X{numbers.comment(x)} Y{numbers.comment(y)}: enter that."
        kept = [moved if x or y else f"X0 Y0 stays as set for the {whose}."]
    return ["The pins hold the board: never find X0 Y0 at an edge.", *kept, "Only Z0 is set anew."]


def _found_anew(fixture: Fixture) -> list[str]:
    """Without pins: at the board as it lies, and which corner that was on the front."""
    lines = ["No pins: find X0 Y0 anew on the turned board."]
    if fixture.zero_at != "centre":
        was = turned_corner(fixture.zero_at, fixture.turned)
        lines.append(f"That corner was {was} seen from the front.")
    return lines


def _pins(fixture: Fixture, pinned: bool, steps: Sequence[Step | Stop], numbers: NumberFormat) -> list[str]:
    """The dowels as this program counts: over one of them X0 Y0 can be checked.

    pinned : whether the pins are in
    """
    lines = []
    for dowel in fixture.dowels:
        at, zero = fixture.place(Point(dowel.x, dowel.y)), fixture.zero
        x, y, across = (numbers.comment(v) for v in (at.x - zero[0], at.y - zero[1], dowel.diameter))
        hole = "hole made here" if _drilled(dowel, steps, fixture) else "no hole made here"
        lines.append(DOWEL.text(across=across, x=x, y=y, rest="pin in place" if pinned else hole))
    if lines and pinned:
        lines.append("Check X0 Y0 over a pin.")
    return lines + _both_ways(fixture, pinned)


def _both_ways(fixture: Fixture, pinned: bool) -> list[str]:
    """Where the pins let the board be turned the wrong way: what shows which way it lies."""
    if not pins_fit_both_ways(fixture.dowels, fixture.board):
        return []
    if not pinned:
        return [f"These pins fit both ways round: mark the {_MARKED} corner."]
    now = turned_corner(_MARKED, fixture.turned)
    return [f"These pins fit both ways round: the corner marked {_MARKED} on the front is {now} now."]


def _drilled(dowel: Dowel, steps: Sequence[Step | Stop], fixture: Fixture) -> bool:
    """Whether some cut about a dowel is at its full width as deep as its hole, and reaches its pin's wall there."""
    deep = fixture.underside_z - dowel.shallowest_hole
    return any(
        (move.hole.bottom if move.hole else move.z) + step.path.cutter.profile.tip_height <= deep + _ROUNDING
        and dowel.narrowest_hole / 2 - _ROUNDING
        <= hypot(move.x - dowel.x, move.y - dowel.y) + step.path.cutter.radius
        <= dowel.hole_reach + _ROUNDING
        for step in steps
        if isinstance(step, Step) and step.path.lowest + step.path.cutter.profile.tip_height <= deep + _ROUNDING
        for move in step.path.moves
    )
