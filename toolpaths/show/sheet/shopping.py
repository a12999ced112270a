"""What has to be at hand: boards, screws, dowels, cutters; and what of the board is not the part."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from toolpaths.facts.board import Board, Dowel, Screw
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.grip import GRIP_NAMES
from toolpaths.facts.part import Part
from toolpaths.facts.woods import kind_of
from toolpaths.making.plan.extent import extent, steps_before_held
from toolpaths.making.writer.zero_text import is_on_pins
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup, tag
from toolpaths.show.part_sizes import part_area
from toolpaths.show.sheet.measuring import beyond_board
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide


def at_hand(sides: Sequence[SheetSide], parts: Sequence[Part], lengths: Lengths) -> Markup:
    """A cutting list: what, how many, how large."""
    boards = [["1", f"board: {_named(part.board)}", _size(part.board, lengths)] for part in parts]
    rows = [
        *boards,
        *_below(sides, lengths),
        *_by_hand(sides, lengths),
        *_hold_downs(sides, lengths),
        *_cutters(sides, lengths),
        _tools(sides),
    ]
    return section(
        "To have at hand",
        table(["Count", "What", f"Size, {lengths.units}"], rows),
        [tag("p", _waste(part, lengths)) for part in parts if any(each.waste == "outside" for each in part.partings())],
    )


def _size(board: Board, lengths: Lengths) -> str:
    # Sheets are as flat as they were made; where the wood was not said it may be one.
    solid = board.wood and kind_of(board.wood) not in ("plywood", "MDF")
    return f"{lengths.by(board.width, board.height, board.thickness)}, {'planed and flat' if solid else 'flat'}"


def _named(board: Board) -> str:
    """Its name, and its wood where the name does not say it."""
    return board.name if board.wood.lower() in board.name.lower() else f"{board.name}, {board.wood}"


def _below(sides: Sequence[SheetSide], lengths: Lengths) -> Iterator[list[str]]:
    """The spoilboard, how deep it is cut, and what grips a board."""
    cut = max(max(0.0, side.setup.fixture.underside_z - extent(side.setup.steps, (0.0, 0.0, 0.0)).lowest)
              for side in sides)  # fmt: skip
    thick = max((side.setup.fixture.spoilboard_thickness or 0.0 for side in sides), default=0.0)
    if cut or thick:
        size = f"{lengths.of(thick)} thick" if thick else "how thick was not given: see that nothing below is met"
        screws = ", and than screws go in" if any(side.setup.fixture.screws for side in sides) else ""
        fixed = "under all of the board, level, fixed till the last side is done"
        yield ["1", "spoilboard", f"cut {lengths.of(cut)} deep, so thicker than that{screws}; {size}; {fixed}"]
    grips = dict.fromkeys(GRIP_NAMES[thing.by] for side in sides for thing in side.setup.fixture.holding
                          if thing.kind == "grip")  # fmt: skip
    for grip in grips:
        thin = _thin_tape(sides, lengths) if grip == GRIP_NAMES["tape"] else ""
        yield ["", grip, f"over the areas drawn; one that you have tried{thin}"]


def _by_hand(sides: Sequence[SheetSide], lengths: Lengths) -> Iterator[list[str]]:
    """What holds a board while nothing of the fixture does."""
    found: dict[str, str] = {}
    for side in sides:
        early, fixture = len(steps_before_held(side.setup)), side.setup.fixture
        if early:
            until = "" if early == len(side.setup.steps) else " until its screws are driven"
            low = f"lower than {lengths.of(fixture.safe_z)} over the board"
            found.setdefault(fixture.held_meanwhile or "clamps", f"{low}; {side.name}: hold it{until}")
    yield from (["", what, size] for what, size in found.items())


def _thin_tape(sides: Sequence[SheetSide], lengths: Lengths) -> str:
    """What the thickness of the tape under a board does to the depths."""
    taped = [side.setup for side in sides if any(thing.is_tape for thing in side.setup.fixture.standing())]
    on_top = [setup for setup in taped if setup.fixture.zero_on == "top"]
    beyond = [each for setup in on_top for each in beyond_board(setup)]
    said = f"; at most {lengths.of(min(beyond))} thick, thicker it is not cut through" if beyond else ""
    if len(on_top) < len(taped):
        said += "; as thin as can be had: with Z0 on the spoilboard every cut is deeper by its thickness"
    if any(setup.fixture.dowels for setup in taped):
        said += "; holes of pins are less deep by it"
    return said


def _hold_downs(sides: Sequence[SheetSide], lengths: Lengths) -> Iterator[list[str]]:
    screws: Counter[str] = Counter()
    pins: Counter[str] = Counter()
    for side in sides:
        fixture = side.setup.fixture
        # Those of one side are used again on the other.
        screws |= Counter(_screw(screw, fixture, lengths) for screw in fixture.screws)
        if fixture.turned or not any(other.setup.fixture.turned for other in sides):
            pins |= Counter(_pin(dowel, fixture, lengths) for dowel in fixture.dowels)
    for what, sizes in (("hold-down screws", screws), ("dowel pins", pins)):
        yield from ([str(count), what, size] for size, count in sizes.items())


def _pin(dowel: Dowel, fixture: Fixture, lengths: Lengths) -> str:
    """A pin, and how long it may be: its hole's depth, the board and what may stand over it."""
    across, deep = lengths.of(dowel.diameter), lengths.of(dowel.depth)
    longest = lengths.of(dowel.depth - fixture.underside_z + dowel.standing)
    return f"\N{DIAMETER SIGN}{across}, at most {longest} long, to stand {deep} in the spoilboard"


def _screw(screw: Screw, fixture: Fixture, lengths: Lengths) -> str:
    """A screw, and how far it goes into the spoilboard; that it is long enough, and not too long, is seen here."""
    thick, below = -fixture.underside_z, fixture.spoilboard_thickness
    said = f"head to \N{DIAMETER SIGN}{lengths.of(screw.head_diameter)}, standing {lengths.of(screw.height)}"
    shank = f"\N{DIAMETER SIGN}{lengths.of(screw.shank_diameter)}" if screw.shank_diameter else "not given"
    said += f", shank {shank}"
    if not screw.length:
        most = "board and spoilboard together: measure first"
        if below:
            most = f"{lengths.of(thick + below)}, at which it meets what is under the spoilboard"
        return f"{said}; longer than the {lengths.of(thick)} of the board and shorter than {most}"
    bite = screw.length - thick
    if bite <= 0:
        return (
            f"{said}, {lengths.of(screw.length)} long: it ends in the board, {lengths.of(-bite)} above the spoilboard"
        )
    through = f", and {lengths.of(bite - below)} out below it" if below and bite > below else ""
    return f"{said}, {lengths.of(screw.length)} long: {lengths.of(bite)} of it in the spoilboard{through}"


def _cutters(sides: Sequence[SheetSide], lengths: Lengths) -> Iterator[list[str]]:
    found = {cutter.number: cutter for side in sides for cutter in side.setup.cutters}
    for number, cutter in sorted(found.items()):
        body = cutter.body
        yield [
            "1", f"cutter T{number}", f"{lengths.cutter(cutter)}, edges {lengths.of(body.cutting_length)} long, "
            f"to stand {lengths.at_least(body.stick_out)} out or more",
        ]  # fmt: skip


def _tools(sides: Sequence[SheetSide]) -> list[str]:
    """What the hand needs for what the sheet has it do."""
    fixtures = [side.setup.fixture for side in sides]
    freed = [piece for side in sides for piece in side.freed]
    tools = {
        "edge finder or pin": any(not is_on_pins(side.setup) for side in sides),
        "dial gauge or pointed rod": any(is_on_pins(side.setup) for side in sides),
        "callipers": True,
        "pencil": True,
        "drill and driver": any(fixture.screws for fixture in fixtures),
        "wedges": any(thing.is_tape for fixture in fixtures for thing in fixture.standing()),
        "saw or chisel": any(piece.tabs or piece.skin for piece in freed),
    }
    return ["", "for the hand", ", ".join(name for name, needed in tools.items() if needed)]


def _waste(part: Part, lengths: Lengths) -> str:
    """How much of the face of a board is the part, and how much of the board is left round it."""
    board, shape = part.board, part_area(part)
    left, low, right, high = shape.bounds
    share = shape.area / (board.width * board.height)
    margin = min(left, low, board.width - right, board.height - high)
    return (
        f"The part takes {lengths.by(right - left, high - low)} of {board.name}, {100 * share:.0f} % "
        f"of its face; the least margin round it is {lengths.said(margin)}."
    )
