"""What is done before a side is run: how the board lies, where zero is, what holds it, what is measured."""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.facts.fixture import Fixture
from toolpaths.facts.hold_down import HoldDown
from toolpaths.making.plan.extent import extent
from toolpaths.making.writer.number_format import NumberFormat
from toolpaths.making.writer.zero_text import lie_and_zero
from toolpaths.show.markup import Content, Markup, tag
from toolpaths.show.ordinates import length
from toolpaths.show.sheet.page_parts import blank, section, table, to_do, to_do_list
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.wording import place


def setting_up(side: SheetSide) -> Markup:
    """What to do, as boxes to tick, and the tables of what stands on the board."""
    return section(
        "Set up",
        to_do_list(_to_do(side)),
        table(["What", "Where", "Size, mm", "When"], _standing(side.setup.fixture), class_="standing"),
    )


def measured_first(side: SheetSide) -> Markup:
    """What is measured before the side is run, with room to write."""
    board, fixture = side.setup.fixture.board, side.setup.fixture
    thick = -fixture.underside_z
    corners = ("lower left", "lower right", "upper left", "upper right", "middle")
    rows: list[list[Content]] = [[f"Thickness, {where}", length(thick), blank()] for where in corners]
    if not side.setup.earlier:
        rows += [["Width", length(board.width), blank()], ["Height", length(board.height), blank()]]
    rows += [[f"T{cutter.number} across", length(cutter.diameter), blank()] for cutter in side.setup.cutters]
    rows.append(["Moisture", "", blank("%")])
    return section(
        "Measure first",
        table(["What", "Entered, mm", "Measured"], rows, class_="measured"),
        tag("p", "A reading that is off by more than you allow: enter it in the script and write the job anew."),
    )


def _to_do(side: SheetSide) -> Iterator[Markup]:
    setup, fixture = side.setup, side.setup.fixture
    numbers = NumberFormat("mm", fixture.zero)
    for words in lie_and_zero(setup, setup.steps, numbers, 0):
        yield to_do(words if words.endswith((".", ",")) else f"{words}.")
    there = [thing for thing in fixture.holding if not thing.driven_at]
    if there:
        yield to_do(f"Hold-downs in place as in the table: {len(there)}.")
    elif not fixture.holds_board:
        yield to_do("Nothing was said to hold the board: hold it, clear of every cut in the drawing.")
    left, right, low, high, lowest = extent(setup.steps, fixture.zero)
    yield to_do(
        f"The cutter's axis goes over X{length(left)} to X{length(right)} and Y{length(low)} to Y{length(high)}, its "
        f"point down to Z{length(lowest)}: nothing else may stand there, nor below the safe height of "
        f"{length(fixture.safe_z)} above the board."
    )
    first = setup.cutters[0]
    yield to_do(f"T{first.number} ({first.profile}) in the collet, {length(first.body.stick_out)} out, and tight.")


def _standing(fixture: Fixture) -> list[list[str]]:
    """What is alike in a line, with all its places."""
    zero_x, zero_y, _ = fixture.zero
    found: dict[tuple[str, str, str], list[str]] = {}
    for thing in fixture.standing():
        when = f"at the stop: {thing.driven_at}" if thing.driven_at else "before the start"
        found.setdefault((thing.kind, _size(thing), when), []).append(_places(thing, zero_x, zero_y))
    for dowel in () if fixture.turned else fixture.dowels:
        size = f"\N{DIAMETER SIGN}{length(dowel.diameter)}, {length(dowel.depth)} into the spoilboard"
        key = ("dowel hole", size, "made here; its pin goes in when the board is turned")
        found.setdefault(key, []).append(place(dowel.x - zero_x, dowel.y - zero_y))
    return [
        [f"{len(places)} {kind}{'s' if len(places) > 1 else ''}", "; ".join(places), size, when]
        for (kind, size, when), places in found.items()
    ]


def _size(thing: HoldDown) -> str:
    if thing.kind == "grip":
        return thing.by or "from below"
    across = "" if thing.area is not None else f"\N{DIAMETER SIGN}{length(2 * thing.radius)}, "
    long = "" if thing.length is None else f", {length(thing.length)} long"
    return f"{across}{length(thing.height)} high{long}" if thing.height or thing.kind != "pin" else f"{across}flush"


def _places(thing: HoldDown, zero_x: float, zero_y: float) -> str:
    if thing.area is None:
        return place(thing.x - zero_x, thing.y - zero_y)
    left, low, right, high = thing.area.bounds
    return f"X{length(left - zero_x)} to {length(right - zero_x)}, Y{length(low - zero_y)} to {length(high - zero_y)}"
