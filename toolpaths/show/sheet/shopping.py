"""What has to be at hand: boards, screws, dowels."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from toolpaths.show.markup import Markup
from toolpaths.show.ordinates import length
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide


def at_hand(sides: Sequence[SheetSide]) -> Markup:
    """A cutting list: what, how many, how large."""
    rows: list[list[str]] = []
    for board in dict.fromkeys(side.setup.fixture.board for side in sides):
        size = " \N{MULTIPLICATION SIGN} ".join(map(length, (board.width, board.height, board.thickness)))
        rows.append(["1", f"board: {board.name}{f', {board.wood}' if board.wood else ''}", f"{size}, planed and flat"])
    screws: Counter[str] = Counter()
    pins: Counter[str] = Counter()
    for side in sides:
        fixture = side.setup.fixture
        # Those of one side are used again on the other.
        here = Counter(
            f"head to \N{DIAMETER SIGN}{length(s.head_diameter)}, standing {length(s.height)}"
            + (f", shank \N{DIAMETER SIGN}{length(s.shank_diameter)}" if s.shank_diameter else "")
            + (f", {length(s.length)} long" if s.length else "")
            for s in fixture.screws
        )
        screws |= here
        pins |= Counter(
            f"\N{DIAMETER SIGN}{length(d.diameter)}, to stand {length(d.depth)} in the spoilboard"
            for d in fixture.dowels
        )
    rows += [[str(count), "hold-down screws", what] for what, count in screws.items()]
    rows += [[str(count), "dowel pins", what] for what, count in pins.items()]
    return section("To have at hand", table(["How many", "What", "Size, mm"], rows))
