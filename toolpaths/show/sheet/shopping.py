"""What has to be at hand: boards, screws, dowels, cutters; and what of the board is not the part."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from toolpaths.facts.board import Board, Screw
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.grip import GRIP_NAMES
from toolpaths.facts.part import Part
from toolpaths.making.plan.extent import extent
from toolpaths.show.markup import Markup, tag
from toolpaths.show.ordinates import length
from toolpaths.show.part_drawing import part_area
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide

_BY = " \N{MULTIPLICATION SIGN} "


def at_hand(sides: Sequence[SheetSide], parts: Sequence[Part]) -> Markup:
    """A cutting list: what, how many, how large."""
    boards = [["1", f"board: {part.board.name}{f', {part.board.wood}' if part.board.wood else ''}", _size(part.board)]
              for part in parts]  # fmt: skip
    rows = [*boards, *_below(sides), *_hold_downs(sides), *_cutters(sides)]
    return section(
        "To have at hand",
        table(["How many", "What", "Size, mm"], rows),
        [tag("p", _waste(part)) for part in parts if any(each.waste == "outside" for each in part.partings())],
    )


def _size(board: Board) -> str:
    return f"{_BY.join(map(length, (board.width, board.height, board.thickness)))}, planed and flat"


def _below(sides: Sequence[SheetSide]) -> Iterator[list[str]]:
    """The spoilboard, how deep it is cut, and what grips a board from below."""
    cut = max(max(0.0, side.setup.fixture.underside_z - extent(side.setup.steps, (0.0, 0.0, 0.0)).lowest)
              for side in sides)  # fmt: skip
    thick = max((side.setup.fixture.spoilboard_thickness or 0.0 for side in sides), default=0.0)
    if cut or thick:
        size = f"{length(thick)} thick" if thick else "its thickness was not given: see that nothing under it is met"
        yield ["1", "spoilboard", f"cut {length(cut)} deep, so thicker than that, and than screws go in; {size}"]
    grips = dict.fromkeys(GRIP_NAMES[thing.by] for side in sides for thing in side.setup.fixture.holding
                          if thing.kind == "grip")  # fmt: skip
    yield from (["", grip, "over the areas drawn; of a kind that you have tried"] for grip in grips)


def _hold_downs(sides: Sequence[SheetSide]) -> Iterator[list[str]]:
    screws: Counter[str] = Counter()
    pins: Counter[str] = Counter()
    for side in sides:
        fixture = side.setup.fixture
        # Those of one side are used again on the other.
        screws |= Counter(_screw(screw, fixture) for screw in fixture.screws)
        pins |= Counter(
            f"\N{DIAMETER SIGN}{length(dowel.diameter)}, to stand {length(dowel.depth)} in the spoilboard"
            for dowel in fixture.dowels
        )
    for what, sizes in (("hold-down screws", screws), ("dowel pins", pins)):
        yield from ([str(count), what, size] for size, count in sizes.items())


def _screw(screw: Screw, fixture: Fixture) -> str:
    """A screw, and how far it goes into the spoilboard; that it is long enough, and not too long, is seen here."""
    thick, below = -fixture.underside_z, fixture.spoilboard_thickness
    said = f"head to \N{DIAMETER SIGN}{length(screw.head_diameter)}, standing {length(screw.height)}"
    if screw.shank_diameter:
        said += f", shank \N{DIAMETER SIGN}{length(screw.shank_diameter)}"
    if not screw.length:
        most = f" and shorter than {length(thick + below)}" if below else ""
        return f"{said}; longer than the {length(thick)} of the board{most}"
    bite = screw.length - thick
    if bite <= 0:
        return f"{said}, {length(screw.length)} long: it ends in the board, {length(-bite)} above the spoilboard"
    through = f", and {length(bite - below)} out below it" if below and bite > below else ""
    return f"{said}, {length(screw.length)} long: {length(bite)} of it in the spoilboard{through}"


def _cutters(sides: Sequence[SheetSide]) -> Iterator[list[str]]:
    found = {cutter.number: cutter for side in sides for cutter in side.setup.cutters}
    for number, cutter in sorted(found.items()):
        body = cutter.body
        yield [
            "1", f"cutter T{number}", f"{cutter.profile}, edges {length(body.cutting_length)} long, to stand "
            f"{length(body.stick_out)} out",
        ]  # fmt: skip


def _waste(part: Part) -> str:
    """How much of the face of a board is the part, and how much of the board is left round it."""
    board, shape = part.board, part_area(part)
    left, low, right, high = shape.bounds
    share = shape.area / (board.width * board.height)
    margin = min(left, low, board.width - right, board.height - high)
    return (
        f"The part takes {length(right - left)}{_BY}{length(high - low)} of {board.name}, {100 * share:.0f} % of its "
        f"face; the least margin round it is {length(margin)}."
    )
