"""How a board is held before a side is run, and where nothing else may stand."""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.facts.fixture import Fixture
from toolpaths.facts.grip import GRIP_NAMES, GRIP_PLACES
from toolpaths.facts.hold_down import HoldDown
from toolpaths.making.plan.extent import extent, steps_before_held, swept
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup
from toolpaths.show.sheet.page_parts import section, table, to_do, to_do_list
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.wording import counted

_MARK = "An A in pencil on the lower left corner of the face that lies up: the board is turned over later."


def holding_down(side: SheetSide, marked: bool) -> Markup:
    """What to do, as boxes to tick, and the table of what holds the board.

    marked : whether the board is to be turned over later, and so to be marked
    """
    return section(
        "Hold the board",
        to_do_list(to_do(words) for words in [*([_MARK] if marked else []), *_to_do(side)]),
        table(
            ["What", "Where, from X0 Y0", f"Size, {side.lengths.units}", "When"],
            _standing(side.setup.fixture, side.lengths),
            class_="standing",
        ),
    )


def _to_do(side: SheetSide) -> Iterator[str]:
    setup, fixture, lengths = side.setup, side.setup.fixture, side.lengths
    there = [thing for thing in fixture.holding if not thing.driven_at]
    if there:
        holes = any(thing.is_tape for thing in there) and fixture.dowels and not fixture.turned
        without = " No tape where the holes of the pins come: cut it out there." if holes else ""
        yield f"In place before the start, as in the table: {_listed(there)}.{without} Try by hand that nothing moves."
    if steps_before_held(setup):
        yield from _clamped_by_hand(side)
    elif box := swept(setup.steps, fixture.safe_z, fixture.zero):
        yield (
            f"Nothing else within {lengths.box(*box)}: over that the cutters come down, their width and the "
            f"spindle's nut counted. Outside it the cutter crosses {lengths.of(fixture.safe_z)} over the board: all "
            "there stays lower."
        )
    left, right, low, high, _ = extent(setup.steps, fixture.zero)
    wait_x, wait_y = (at - zero for at, zero in zip(fixture.wait_at, fixture.zero[:2], strict=True))
    reach = min(left, wait_x), max(right, wait_x), min(low, wait_y), max(high, wait_y)
    up = lengths.of(fixture.wait_z - fixture.zero[2])
    yield (
        f"The machine has to be able to go over {lengths.box(*reach)}, and up to Z{up} with every cutter. It waits "
        f"there over {lengths.place(wait_x, wait_y)}, spindle off: at the start, the end, and each stop "
        "and change of cutter."
    )


def _clamped_by_hand(side: SheetSide) -> Iterator[str]:
    """Where the board may be clamped while nothing that was given holds it."""
    setup, fixture, lengths = side.setup, side.setup.fixture, side.lengths
    early = steps_before_held(setup)
    box = swept(early, fixture.safe_z, fixture.zero)
    if box is None:
        return
    held = fixture.held_meanwhile
    where = (
        f"{f'hold it by {held}' if held else 'clamp it at its edges'}, all outside {lengths.box(*box)}: over that the "
        "cutters come down, their width and the spindle's nut counted. Outside it all stays lower than "
        f"{lengths.of(fixture.safe_z)} over the board, where the cutter crosses. Try that nothing moves"
    )
    if len(early) == len(setup.steps):
        yield f"Nothing was said to hold the board: {where}."
    else:
        stop = len(early) + 1
        yield f"No screw holds the board before the stop, no. {stop}: until then {where}. From the stop on see there."


def _listed(there: list[HoldDown]) -> str:
    names = [GRIP_NAMES[thing.by] if thing.kind == "grip" else thing.kind for thing in there]
    return ", ".join(
        name if name in GRIP_NAMES.values() else counted(names.count(name), name) for name in dict.fromkeys(names)
    )


def _standing(fixture: Fixture, lengths: Lengths) -> list[list[str]]:
    """What is alike in a line, with all its places."""
    zero_x, zero_y, _ = fixture.zero
    found: dict[tuple[str, str, str], list[str]] = {}
    for thing in fixture.standing():
        when = f"at the stop: {thing.driven_at}" if thing.driven_at else "before the start"
        name = GRIP_NAMES[thing.by] if thing.kind == "grip" else thing.kind
        found.setdefault((name, _size(thing, lengths), when), []).append(_places(thing, zero_x, zero_y, lengths))
    for dowel in () if fixture.turned else fixture.dowels:
        size = f"\N{DIAMETER SIGN}{lengths.of(dowel.diameter)}, {lengths.of(dowel.depth)} into the spoilboard"
        key = ("dowel hole", size, "made here; its pin goes in when the board is turned")
        found.setdefault(key, []).append(lengths.place(dowel.x - zero_x, dowel.y - zero_y))
    return [
        [kind if kind in GRIP_NAMES.values() else counted(len(places), kind), "; ".join(places), size, when]
        for (kind, size, when), places in found.items()
    ]


def _size(thing: HoldDown, lengths: Lengths) -> str:
    if thing.kind == "grip":
        return GRIP_PLACES[thing.by]
    across = "" if thing.area is not None else f"\N{DIAMETER SIGN}{lengths.of(2 * thing.radius)}, "
    long = "" if thing.length is None else f", {lengths.of(thing.length)} long"
    if thing.height or thing.kind != "pin":
        return f"{across}at most {lengths.of(thing.height)} over the board{long}"
    return f"{across}not above the board's top"


def _places(thing: HoldDown, zero_x: float, zero_y: float, lengths: Lengths) -> str:
    if thing.area is None:
        return lengths.place(thing.x - zero_x, thing.y - zero_y)
    left, low, right, high = thing.area.bounds
    return lengths.box(left - zero_x, right - zero_x, low - zero_y, high - zero_y)
