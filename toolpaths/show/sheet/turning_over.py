"""How a board is taken off and laid down again, its other side up."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Point

from toolpaths.facts.grip import GRIP_UNDONE
from toolpaths.facts.turning import turned_corner
from toolpaths.making.plan.extent import steps_before_held
from toolpaths.show.markup import Markup, tag
from toolpaths.show.sheet.page_parts import section, to_do, to_do_list
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.wording import counted
from toolpaths.show.turning_picture import turning_picture

# mm by which two screws are in one hole.
_SAME_HOLE = 0.1


def turning_over(before: SheetSide, side: SheetSide) -> Markup:
    """The picture and what is done, in order."""
    return section(
        "Turn the board over",
        tag("div", turning_picture(side.setup.fixture), to_do_list(to_do(words) for words in _to_do(before, side)),
            class_="turning"),
    )  # fmt: skip


def taken_off(side: SheetSide) -> str:
    """What is undone before a board is lifted off; nothing where that is nothing."""
    setup, fixture = side.setup, side.setup.fixture
    held = [(fixture.screws, "screw"), (fixture.clamps, "clamp")]
    out = [counted(len(some), name) for some, name in held if some]
    out += dict.fromkeys(GRIP_UNDONE[thing.by] for thing in fixture.standing() if thing.by in GRIP_UNDONE)
    early = len(steps_before_held(setup))
    if early:
        out.append("what you held it by" if early == len(setup.steps) else "clamps that are still on")
    return f"Take out or off: {', '.join(out)}." if out else ""


def lifted(side: SheetSide) -> str:
    """How a board is lifted off."""
    if not any(thing.is_tape for thing in side.setup.fixture.standing()):
        return "Lift the board off."
    return (
        "Lift the board off its tape evenly, thin wedges in turn all round, and the spoilboard held down: it must not "
        "move. Then peel the tape off both."
    )


def _to_do(before: SheetSide, side: SheetSide) -> Iterator[str]:
    now, lengths = side.setup.fixture, side.lengths
    yield "Spindle off and still. Check that A is on the front, at its lower left corner, as drawn."
    if off := taken_off(before):
        yield off
    loose = [piece for piece in before.freed if piece.waste and not piece.tabs and not piece.skin]
    if loose:
        yield f"Take out {counted(len(loose), 'piece')} of waste, loose in the board by now."
    tabs = len(before.tabs)
    hangs = (
        f" The part hangs in it by {counted(tabs, 'tab')}: lift the board by its edges, not by the part."
        if tabs
        else ""
    )
    yield f"{lifted(before)}{hangs}"
    holes = ", and blow out the holes of the pins" if now.dowels else ""
    yield f"Sweep the spoilboard{holes}; no chip may lie under the board."
    if any(thing.is_tape for thing in now.standing()):
        cut_out = ", cut out at the pins: none of it lies over their holes" if now.dowels else ""
        yield f"Lay fresh tape on the spoilboard, where the table below says{cut_out}."
    if now.dowels:
        pins = ", ".join(dict.fromkeys(f"\N{DIAMETER SIGN}{lengths.of(dowel.diameter)}" for dowel in now.dowels))
        standing = max(dowel.standing for dowel in now.dowels)
        high = f"at most {lengths.of(standing)} over" if standing else "not above"
        yield f"First the {counted(len(now.dowels), 'pin')} ({pins}) into the spoilboard, {high} the board's top."
    corner = turned_corner("lower left", now.turned)
    over = ", down over the pins" if now.dowels else ""
    yield f"Turn it {now.turned}{over}: A now lies underneath, {corner}."
    if again := _in_their_holes(side):
        yield f"{counted(again, 'screw')} of this side go{'es' if again == 1 else ''} where a hole is already."


def _in_their_holes(side: SheetSide) -> int:
    """How many screws of a side have their places in common with one of the side before."""
    earlier = side.setup.after
    if earlier is None:
        return 0
    was = [earlier.fixture.place(Point(screw.x, screw.y)) for screw in earlier.fixture.screws]
    mine = [side.setup.fixture.place(Point(screw.x, screw.y)) for screw in side.setup.fixture.screws]
    return sum(any(at.distance(other) < _SAME_HOLE for other in was) for at in mine)
