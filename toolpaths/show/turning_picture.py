"""How the board is turned over, drawn with one corner marked, so that it cannot be read the other way."""

from __future__ import annotations

import numpy as np
import shapely

from toolpaths.facts.fixture import Fixture
from toolpaths.facts.turning import turned_corner
from toolpaths.show.drawing import LETTERS, PLAIN, SMALL, THICK, THIN, Frame, area, disc, line, words
from toolpaths.show.markup import Markup, joined, tag
from toolpaths.show.palette import INK, PALE, PAPER, LineStyle

_HIDDEN = LineStyle(INK, (1.0, 0.6))
_AXIS = LineStyle(INK, (4.0, 1.0, 0.6, 1.0))
# mm on paper: the board's longer side, the way between the two boards, and room for words.
_LONG, _BETWEEN, _ROOM = 32.0, 30.0, 5.0
_CORNERS = {"lower left": (0, 0), "lower right": (1, 0), "upper left": (0, 1), "upper right": (1, 1)}


def turning_picture(fixture: Fixture) -> Markup:
    """The board before and after: the line about which it turns, the way it goes, and where a marked corner comes."""
    board, (wide, tall) = fixture.board, (fixture.board.width, fixture.board.height)
    scale = max(wide, tall) / _LONG
    room, gap = _ROOM * scale, _BETWEEN * scale
    frame = Frame(-room, -room, 2 * wide + gap + room, tall + room, scale)
    about_upright = fixture.turned == "left to right"
    corner = turned_corner("lower left", fixture.turned)
    found = []
    for left, name, marked in ((0.0, "FRONT up", "lower left"), (wide + gap, "BACK up", corner)):
        outline = shapely.transform(board.outline, lambda points, left=left: points + np.array([left, 0.0]))
        found.append(area(frame, outline, fill=PALE, style=PLAIN, width=THICK))
        found.append(words(frame, left + wide / 2, tall / 2, name, size=LETTERS, anchor="middle", down=1.2))
        found.append(_marked(frame, left, wide, tall, marked, hidden=left > 0))
        if about_upright:
            axis = ((left + wide / 2, -0.6 * room), (left + wide / 2, 0.38 * tall)), (
                (left + wide / 2, 0.62 * tall), (left + wide / 2, tall + 0.6 * room),
            )  # fmt: skip
        else:
            axis = (
                ((left - 0.6 * room, tall / 2), (left + 0.08 * wide, tall / 2)),
                ((left + 0.92 * wide, tall / 2), (left + wide + 0.6 * room, tall / 2)),
            )
        found += [line(frame, *part, style=_AXIS, width=2 * THIN) for part in axis]
    found.append(_arrow(frame, wide + 0.12 * gap, wide + 0.88 * gap, tall / 2))
    like = "like a page" if about_upright else "like a sheet on a pad"
    for text, down in ((f"turn {fixture.turned}", -2.5), (like, 4.5)):
        found.append(words(frame, wide + gap / 2, tall / 2, text, down=down, anchor="middle"))
    return frame.svg(found, f"The board is turned over {fixture.turned}")


def _marked(frame: Frame, left: float, wide: float, tall: float, corner: str, hidden: bool) -> Markup:
    """The corner that was lower left with the front up."""
    across, up = _CORNERS[corner]
    inset = 3.6 * frame.scale
    x = left + (wide - inset if across else inset)
    y = tall - inset if up else inset
    return joined([
        disc(frame, x, y, 2.6 * frame.scale, fill=PAPER if hidden else INK, style=_HIDDEN if hidden else PLAIN,
             width=2 * THIN),
        words(frame, x, y, "A", anchor="middle", down=0.35 * SMALL, colour=INK if hidden else PAPER),
    ])  # fmt: skip


def _arrow(frame: Frame, begin: float, end: float, y: float) -> Markup:
    x1, at = frame.at(end, y)
    head = f"M{x1:.2f} {at:.2f}l-3 -1.4v2.8z"
    return joined([line(frame, (begin, y), (end, y), width=THICK), tag("path", d=head, fill=INK)])
