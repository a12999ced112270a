"""What is cut loose on a side, when, and what holds it then."""

from __future__ import annotations

from toolpaths.facts.grip import GRIP_NAMES
from toolpaths.show.markup import Markup, tag
from toolpaths.show.sheet.freed_pieces import Freed
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide

_NOTHING = "nothing: it may be thrown; keep clear, stop before lifting it out"
_TURNS = "it can turn about that: hands off till the spindle stands still"


def comes_free(side: SheetSide) -> Markup:
    """The table, or a line that says that nothing does."""
    rows = [[str(piece.number), piece.what, _held(side, piece)] for piece in side.freed]
    if not rows:
        return section("What comes free", tag("p", "Nothing is cut loose on this side."))
    return section(
        "What comes free, and what holds it", table(["After no.", "What", "Held by, places from X0 Y0"], rows)
    )


def _held(side: SheetSide, piece: Freed) -> str:
    zero_x, zero_y, _ = side.setup.fixture.zero
    held = [side.tabs_in_words(piece.tabs)] if piece.tabs else []
    if piece.skin:
        held.append(f"a skin of {side.lengths.said(piece.skin)}, to be cut by hand")
    grips = [GRIP_NAMES[thing.by] for thing in piece.holding if thing.kind == "grip"]
    held += dict.fromkeys(grips)
    held += [f"the {thing.kind} at {side.lengths.place(thing.x - zero_x, thing.y - zero_y)}"
             for thing in piece.holding if thing.kind != "grip"]  # fmt: skip
    if not held:
        return _NOTHING
    only = piece.holding[0] if len(piece.holding) == 1 and not piece.tabs and not piece.skin else None
    return f"{', '.join(held)} alone: {_TURNS}" if only and only.kind == "screw" else ", ".join(held)
