"""The signs of a plan: what holds the board, holes for pins, tabs, the grain, and X0 Y0."""

from __future__ import annotations

from math import cos, radians, sin

import shapely

from toolpaths.base.errors import Point
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.hold_down import HoldDown
from toolpaths.show.drawing import PLAIN, SMALL, THICK, THIN, Frame, area, disc, letters_wide, line, words
from toolpaths.show.markup import Markup, joined, tag
from toolpaths.show.palette import INK, PAPER, LineStyle

# mm on paper: half the length of the grain's arrow, half of what it may take up the page, and from the edge of the
# drawing to it; the mark of zero, and its arrows, which are short where they leave the board.
_GRAIN, _STEEP, _MARGIN = 9.0, 3.6, 6.0
ZERO, _ARROW, _SHORT_ARROW = 2.2, 14.0, 4.8
# mm on paper below a lower edge that the name of zero takes, where that is at this edge.
NAME = ZERO + 1.0
# Of an area over which the board is gripped, and mm on paper inside its edge, which often is the board's own.
_GRIPPED, _INSIDE = LineStyle(INK, (4.0, 1.5, 0.5, 1.5)), 1.2


def grain_arrow(frame: Frame, fixture: Fixture) -> Markup:
    """An arrow with two heads along the grain, beside the drawing's title; none for sheets that have none."""
    if fixture.grain_deg is None:
        return Markup("")
    turn = radians(fixture.grain_deg)
    half = min(_GRAIN, _STEEP / max(abs(sin(turn)), 1e-9)) * frame.scale
    middle = (frame.right - (_GRAIN + _MARGIN) * frame.scale, frame.high - (_STEEP + 0.3) * frame.scale)
    dx, dy = half * cos(turn), half * sin(turn)
    found = [line(frame, (middle[0] - dx, middle[1] - dy), (middle[0] + dx, middle[1] + dy), width=2 * THIN)]
    for sign in (-1, 1):
        tip = (middle[0] + sign * dx, middle[1] + sign * dy)
        for lean in (-0.4, 0.4):
            back = 0.3 * half
            way = turn + lean
            barb = (tip[0] - sign * back * cos(way), tip[1] - sign * back * sin(way))
            found.append(line(frame, tip, barb, width=2 * THIN))
    known = fixture.board.wood or fixture.board.grain_deg is not None
    said = "grain" if known else "grain, if it has one"
    return joined([found, words(frame, *middle, said, right=-_GRAIN - 1.5, down=0.3 * SMALL, anchor="end")])


def hold_down_sign(frame: Frame, thing: HoldDown) -> Markup:
    """A screw with its slot crossed, a pin filled, a clamp or a grip as its area."""
    if thing.kind == "clamp":
        return _clamp(frame, thing)
    if thing.area is not None:
        inside = shapely.buffer(thing.area, -_INSIDE * frame.scale)
        return area(frame, thing.area if inside.is_empty else inside, style=_GRIPPED, width=2 * THIN)
    if thing.kind == "pin":
        return disc(frame, thing.x, thing.y, thing.radius, fill=INK)
    arm, (x, y) = 0.6 * thing.radius, (thing.x, thing.y)
    style = LineStyle(INK, (1.0, 0.6)) if thing.driven_at else PLAIN
    return joined([
        disc(frame, x, y, thing.radius, fill=PAPER, style=style, width=2 * THIN),
        line(frame, (x - arm, y - arm), (x + arm, y + arm), width=2 * THIN),
        line(frame, (x - arm, y + arm), (x + arm, y - arm), width=2 * THIN),
    ])  # fmt: skip


def _clamp(frame: Frame, thing: HoldDown) -> Markup:
    """Its area, and the word in it where there is room."""
    assert thing.area is not None
    left, low, right, high = thing.area.bounds
    wide, tall = (right - left) / frame.scale, (high - low) / frame.scale
    room, high_enough = letters_wide("clamp") + 1.0, SMALL + 0.6
    found = [area(frame, thing.area, fill=PAPER, style=PLAIN, width=2 * THIN)]
    middle = 0.35 * SMALL
    if wide >= room and tall >= high_enough:
        found.append(words(frame, thing.x, thing.y, "clamp", down=middle, anchor="middle"))
    elif tall >= room and wide >= high_enough:
        found.append(words(frame, thing.x, thing.y, "clamp", right=middle, anchor="middle", upright=True))
    return joined(found)


def dowel_holes(frame: Frame, fixture: Fixture) -> Markup:
    """On the front, where their holes are made: a ring in a square, unlike any screw."""
    if fixture.turned:
        return Markup("")
    found = []
    for dowel in fixture.dowels:
        half = dowel.diameter / 2 + 0.8 * frame.scale
        square = shapely.box(dowel.x - half, dowel.y - half, dowel.x + half, dowel.y + half)
        found += [
            area(frame, square, style=PLAIN, width=2 * THIN),
            disc(frame, dowel.x, dowel.y, dowel.diameter / 2, width=2 * THIN),
        ]
    return joined(found)


def tab_sign(frame: Frame, tab: Point) -> Markup:
    """A square stood on its corner."""
    (x, y), half = tab, 1.3 * frame.scale
    diamond = shapely.Polygon([(x - half, y), (x, y - half), (x + half, y), (x, y + half)])
    return area(frame, diamond, fill=INK, style=LineStyle(PAPER, ()))


def zero_sign(frame: Frame, fixture: Fixture) -> Markup:
    """X0 Y0: a circle with two quarters filled, its name, and the directions of X and Y."""
    x, y, _ = fixture.zero
    cx, cy = frame.at(x, y)
    r = ZERO
    quarters = f"M{cx:.2f} {cy:.2f}h{r}a{r} {r} 0 0 0 {-r} {-r}zM{cx:.2f} {cy:.2f}h{-r}a{r} {r} 0 0 0 {r} {r}z"
    at_right, at_top = x >= fixture.board.width, y >= fixture.board.height
    across, up = (
        max(_SHORT_ARROW * frame.scale, min(_ARROW * frame.scale, room))
        for room in (fixture.board.width - x, fixture.board.height - y)
    )
    # Its name stands off the board, whose corners often have a screw.
    at_low = y <= 0.0
    name_down = r + 0.4 if at_low else -r + 1.2
    down = SMALL if at_top else -0.8
    return joined([
        disc(frame, x, y, r * frame.scale, fill=PAPER, width=2 * THIN),
        tag("path", d=quarters, fill=INK),
        line(frame, (x, y), (x + across, y), width=THICK),
        line(frame, (x, y), (x, y + up), width=THICK),
        words(frame, x + across, y, "X", right=-0.2, down=down, anchor="end", halo=True),
        words(frame, x, y + up, "Y", right=0.8, down=SMALL - 0.6, halo=True),
        words(frame, x, y, "X0 Y0", right=-r - 0.4 if at_right else r + 0.4, down=name_down,
              anchor="end" if at_right else "start", halo=True),
    ])  # fmt: skip
