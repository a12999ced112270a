"""How X0 Y0 and Z0 are found on a side, with the numbers to enter, and how each cutter is touched off."""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Point

from toolpaths.facts.head_lines import BACK_UP, DOWEL, FRONT_UP, SURFACE, TOUCH_OFF, ZERO
from toolpaths.facts.part import Part
from toolpaths.facts.turning import Corner
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.head import lower_crossings
from toolpaths.making.writer.number_format import NumberFormat
from toolpaths.making.writer.zero_text import is_on_pins, lie_and_zero
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup
from toolpaths.show.sheet.in_the_air import in_the_air
from toolpaths.show.sheet.measuring import is_parted, room_round
from toolpaths.show.sheet.page_parts import section, to_do, to_do_list
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.uncut_place import uncut_place

_CHECKED_OVER_PIN = "Check X0 Y0 over a pin"


def finding_zero(side: SheetSide, part: Part | None, turned_later: bool) -> Markup:
    """What to do, as boxes to tick.

    part : what comes of its board, where that is known
    turned_later : whether the board is turned over after this side
    """
    return section("Find zero", to_do_list(to_do(words) for words in _to_do(side, part, turned_later)))


def touched_off(setup: Setup, number: int, lengths: Lengths) -> str:
    """Where a cutter that is fitted before step `number`, from 0, is touched off, and what is entered there."""
    z = setup.touch_off_z(number)
    if not z:
        return f"Touch off on the {setup.fixture.zero_surface}: Z0"
    said = _comment(setup, z, lengths)
    return f"The top is cut away: touch off on the levelled face, not at a hole or a lower cut, and enter Z{said}"


def _to_do(side: SheetSide, part: Part | None, turned_later: bool) -> Iterator[str]:
    setup, lengths = side.setup, side.lengths
    yield " ".join(_where_it_is(side))
    if kept := " ".join(_how_it_is_kept(side)):
        yield kept
    if is_on_pins(setup):
        yield _over_a_pin(side)
    else:
        yield _along_x(side, part, turned_later)
        yield _edges(setup, lengths)
    yield _survives(side)
    first = setup.cutters[0]
    out = lengths.at_least(first.body.stick_out)
    yield (
        f"T{first.number} ({lengths.cutter(first)}) in the collet, {out} out, and tight. "
        f"{touched_off(setup, 0, lengths)}; with paper or a plate between, its thickness more. {_each_cutter(side)}"
    )
    if side.tool_change == "M6":
        yield (
            "At each M6 the control must halt, spindle off, or change the cutter itself. Try it in the air: if it does "
            "neither, do not use these programs."
        )
    yield in_the_air(side)


def _said_in_head(side: SheetSide) -> list[str]:
    """What the head of the program says of it; the table of hold-downs has the pins."""
    numbers = NumberFormat(side.lengths.units, side.setup.fixture.zero)
    said = lie_and_zero(side.setup, side.setup.steps, numbers, 0)
    return [words for words in said if not DOWEL.read(words) and not words.startswith(_CHECKED_OVER_PIN)]


def _where_it_is(side: SheetSide) -> Iterator[str]:
    """Which face is up, and where zero is."""
    for words in _said_in_head(side):
        zero = ZERO.read(words)
        if zero and zero["lie"] == "as entered":
            corner = side.setup.fixture.zero_corner
            yield f"X0 Y0 is where the {corner} of a board just as entered would be: this one's may lie elsewhere."
        elif SURFACE.read(words):
            yield f"{words}. All three are set in work offset G54, which the programs call."
        elif _is_where(words):
            yield f"{words}."


def _how_it_is_kept(side: SheetSide) -> Iterator[str]:
    """Whether X0 Y0 stays or is found anew; sentences may go on in the next line."""
    return (words for words in _said_in_head(side) if not _is_where(words))


def _is_where(words: str) -> bool:
    return any(form.read(words) is not None for form in (FRONT_UP, BACK_UP, ZERO, SURFACE, TOUCH_OFF))


def _over_a_pin(side: SheetSide) -> str:
    """How X0 Y0 is checked over a pin, and what is done where it is off."""
    fixture, lengths = side.setup.fixture, side.lengths
    dowel = fixture.dowels[0]
    pin = fixture.place(Point(dowel.x, dowel.y))
    at = lengths.place(pin.x - fixture.zero[0], pin.y - fixture.zero[1])
    return (
        f"{_CHECKED_OVER_PIN}, a dial gauge or a pointed rod in the collet: well above the board to {at}, then down by "
        f"hand. It has to meet the pin's middle to within {lengths.of(dowel.hole_may_miss)}, else the back does not "
        f"meet the front. If not: over its middle enter {at}, and check another pin."
    )


def _each_cutter(side: SheetSide) -> str:
    """What is done about the lengths of the cutters: the programs begin with G49 and call none."""
    numbers = NumberFormat(side.lengths.units, side.setup.fixture.zero)
    low = "".join(
        f" {each}: a wrong length is a crash." for each in lower_crossings(side.setup, side.setup.steps, numbers)
    )
    measured = ", unless your machine measures it at M6 by itself" if side.tool_change == "M6" else ""
    return (
        "The programs call no length from a table (G49, no G43): touch off every cutter when it is fitted, as its line "
        f"below says{measured}.{low}"
    )


def _survives(side: SheetSide) -> str:
    """Whether what Z0 is found on is still there later on."""
    setup, lengths = side.setup, side.lengths
    if setup.fixture.zero_on == "spoilboard":
        return "Z0 can be found again on the spoilboard at any time, where it has not been cut."
    steps = len(setup.steps)
    cut = next((number for number in range(1, steps + 1) if setup.touch_off_z(number) != setup.touch_off_z(0)), None)
    if cut is None:
        place = uncut_place(side)
        at = f"at {lengths.place(*place)}, which stays uncut" if place else "where nothing of it is cut"
        return f"Z0 can be found again on the {setup.fixture.zero_surface} {at}."
    z = _comment(setup, setup.touch_off_z(cut), lengths)
    return (
        f"No. {cut} cuts away all of the face on which Z0 is found: from then on it is Z{z} that is set, on what is "
        "left of it."
    )


def _along_x(side: SheetSide, part: Part | None, turned_later: bool) -> str:
    """How true the board lies, and how near its corner X0 Y0 has to be."""
    fixture, lengths, lay = side.setup.fixture, side.lengths, "Lay the board's lower edge along X, by the axis"
    by_edges = not fixture.dowels and (turned_later or bool(fixture.turned))
    if part is not None and (by_edges or not is_parted(part)):
        return f"{lay}: from end to end it may run off by {lengths.of(part.within)}, as far as walls may be off."
    room = room_round(side, part)
    if room is None or room <= 0:
        return f"{lay}: how far it may run off from end to end is for you to decide."
    return (
        f"{lay}: what it runs off from end to end, and X0 Y0 from its corner, is together less than "
        f"{lengths.of(room)}, by which part, screws and pins clear the edges."
    )


def _edges(setup: Setup, lengths: Lengths) -> str:
    """What an edge finder or a pin in the collet says at the edges from which zero is measured."""
    corner: Corner = setup.fixture.zero_at
    x, y, _ = setup.fixture.zero
    if corner == "centre":
        return (
            f"Edge finder or pin, r half its thickness: at the left edge the axis is at X-{lengths.of(x)} less r, at "
            f"the lower edge at Y-{lengths.of(y)} less r, if the board is as entered; else X0 Y0 is half-way "
            "between edges."
        )
    across, up = ("right", "Xr") if "right" in corner else ("left", "X-r")
    along, down = ("upper", "Yr") if "upper" in corner else ("lower", "Y-r")
    return (
        f"Edge finder or pin, r half its thickness: where it touches the {across} edge the axis is at {up}, the "
        f"{along} edge at {down}."
    )


def _comment(setup: Setup, z: float, lengths: Lengths) -> str:
    """A Z of the program, to what can be set."""
    return NumberFormat(lengths.units, setup.fixture.zero).comment(z)
