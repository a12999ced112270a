"""Small jobs, of every operation, on both sides, whose programs are kept: see tests/test_golden.py.

They are meant to meet what may differ between versions of numpy, GEOS and the clipping library, and between processors:
offsets of odd shapes, unions, arcs fitted, middles of areas, ties in the order of work. Whether anybody would want
what they make is no matter here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import cos, pi, sin
from pathlib import Path
from typing import Any

import shapely
from shapely import Polygon

import toolpaths as tp

HERE = Path(__file__).resolve().parent

BOARD = tp.Board(width=200, height=140, thickness=18.2, wood="oak")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3, cutting_length=26)
T2 = tp.Cutter(2, tp.flat(3), feed_mm_min=900, spindle_rpm=18000, step_down=1.5, cutting_length=25)
T3 = tp.Cutter(3, tp.v_point(12, 60, tip_diameter=0.2), feed_mm_min=900, spindle_rpm=18000, step_down=2)
T4 = tp.Cutter(4, tp.drill_point(4), feed_mm_min=600, spindle_rpm=8000, cutting_length=40)
T5 = tp.Cutter(5, tp.ball(10), feed_mm_min=2000, spindle_rpm=18000, step_down=4)
T6 = tp.Cutter(6, tp.v_point(12, 82), feed_mm_min=1200, spindle_rpm=16000)
T7 = tp.Cutter(7, tp.flat(16), feed_mm_min=1500, spindle_rpm=12000)
T8 = tp.Cutter(8, tp.undercut(9.5, 3.2, 4.8), feed_mm_min=800, spindle_rpm=16000)
T9 = tp.Cutter(9, tp.rounding(3, 4), feed_mm_min=1200, spindle_rpm=16000, cutting_length=12)
T10 = tp.Cutter(10, tp.bull_nose(8, 3), feed_mm_min=1200, spindle_rpm=16000)
TABS = tp.Tabs(width=6, height=3, count=3)

GRIPPED = tp.Fixture(board=BOARD, grips=(BOARD.outline,), overhang=22)
FRONT = tp.Fixture(
    board=BOARD,
    screws=tp.screws([(8, 8), (192, 8), (8, 132), (192, 132)], head_diameter=8, height=3),
    dowels=tp.dowels([(8, 70), (192, 70)], diameter=6, depth=5),
)


def _star(points: int, outer: float, inner: float, x: float, y: float) -> Polygon:
    turns = [(i * pi / points + 0.1, inner if i % 2 else outer) for i in range(2 * points)]
    return Polygon([(x + far * cos(turn), y + far * sin(turn)) for turn, far in turns])


STAR = _star(5, 46, 21, 100, 70)
LEAF = (
    tp.Outline((60, 50), heading_deg=80)
    .tangent_arc_to((90, 95))
    .line_to((118, 84))
    .smooth_through([(131, 66), (117, 44)], tangent=True)
    .close_smoothly(arrival_deg=170)
)


def sides(title: str, front: Sequence[Any], back: Sequence[Any], turned: Any = "left to right", **more: Any) -> tp.Job:
    """A job on both sides, in the same screws and dowels."""
    first = tp.Setup(FRONT, front)
    second = tp.Setup(FRONT.turned_over(turned, screws=FRONT.screws), back, after=first)
    return tp.Job(title, [first, second], **more)


def gripped(title: str, *work: Any, **more: Any) -> tp.Job:
    """A job on one side of a board that is taped down."""
    return tp.Job(title, [tp.Setup(GRIPPED, work)], **more)


def pins() -> tp.Operation:
    """The holes of the dowels, through the board into the spoilboard."""
    return tp.bore([(pin.x, pin.y) for pin in FRONT.dowels], 6, T2, depth=tp.through(0.5), name="dowel holes")


def contours() -> tp.Job:
    front = [
        pins(),
        tp.contour(tp.circle(30, (60, 70)), T1, depth=5, side="inside", finish=0.3, direction="climb"),
        tp.contour(STAR, T1, depth=tp.through(0.3), tabs=TABS, start=(146, 74)),
    ]
    return sides("Contours", front, [tp.contour(tp.ellipse(31, 17, (104, 66)), T2, depth=4, entry="plunge", side="on")])


def leaf() -> tp.Job:
    front = [tp.contour(LEAF, T1, depth=9, finish=0.2), tp.contour(LEAF, T1, depth=tp.through(0.2), from_depth=9)]
    return sides("Leaf", front, [tp.groove(LEAF.buffer(-9).exterior, T2, depth=3)], turned="top to bottom")


def skin() -> tp.Job:
    return gripped("Skin", tp.contour(tp.regular_polygon(7, 70, (100, 70)), T1, depth=tp.through(), skin=0.4))


def rooms() -> tp.Job:
    ell = Polygon([(30, 25), (150, 25), (150, 60), (88.7, 60), (80, 110), (30, 112.3)])
    islands = [tp.circle(14, (60, 50)), tp.rectangle(20, 9, (118, 41))]
    front = [pins(), tp.pocket(ell, [T1, T2], depth=6.4, islands=islands, finish=0.2, finish_floor=0.3)]
    back = [tp.pocket(_star(6, 40, 24, 110, 65), [T7, T2], depth=4, direction="climb", entry="helix")]
    return sides("Rooms", front, back)


def rows_along_the_grain() -> tp.Job:
    return gripped(
        "Rows",
        tp.pocket(tp.ring(96, 40, (80, 70)), T1, depth=5, pattern="parallel"),
        tp.pocket(tp.slot((165, 30), (176, 110), 12.5), T2, depth=3, pattern="outside in"),
        units="inch",
    )


def within_an_angle() -> tp.Job:
    return gripped("Angle", tp.pocket(tp.rectangle(44, 26, (100, 70), corner_radius=8), T1, depth=3, engagement_deg=80))


def holes() -> tp.Job:
    front = [
        pins(),
        tp.drill(tp.grid(4, 3, (22, 25), (40, 40)), T4, depth=12, depth_of="full diameter"),
        tp.drill([(150, 30 + 11.5 * i) for i in range(6)], T4, depth=9, dwell_s=0.5, peck=0),
        tp.countersink(tp.bolt_circle(5, 40, (90, 70)), T6, screw="#8"),
    ]
    back = [tp.bore(tp.bolt_circle(5, 60, (110, 70)), 11, T1, depth=7, direction="climb"), *_hinges()]
    return sides("Holes", front, back, cycles="spelled out")


def _hinges() -> tuple[tp.Operation, ...]:
    return tp.hinge_cup([(20, 140), (20, 0)], [70], T1, T4, depth=12.5, to_edge=5, name="hinges")


def faced() -> tp.Job:
    return gripped("Faced", tp.face(BOARD.outline, T7, depth=0.6, angle_deg=12), tool_change="stop")


def edges() -> tp.Job:
    plate = tp.round_corners(tp.rectangle(110, 70, (100, 70)), 7)
    front = [
        tp.round_edge(plate, T9),
        tp.contour(plate, T1, depth=tp.through(0.3), tabs=TABS),
        tp.chamfer(tp.circle(36, (100, 70)), T6, width=1.5, side="inside"),
    ]
    return sides(
        "Edges", [pins(), tp.pocket(tp.circle(36, (100, 70)), T1, depth=5), *front], [tp.cove_edge(plate, T10)]
    )


def hangers() -> tp.Job:
    return gripped("Hangers", tp.keyhole_slot([(60, 50), (140, 50)], T8, depth=9, length=15))


def seats() -> tp.Job:
    front = [pins(), tp.hollow(tp.ellipse(90, 60, (95, 70)), [T1, T5], depth=7, scallop=0.1)]
    tray = tp.rectangle(80, 50, (110, 70), corner_radius=12)
    tray_back = tp.hollow(tray, T10, section=tp.Section.arc(depth=5, width=24), scallop=0.15, pattern="along the grain")
    return sides("Seats", front, [tray_back], turned="top to bottom")


def carved() -> tp.Job:
    ring = tp.circle(100, (100, 70)) - tp.circle(93, (100, 70))
    return gripped(
        "Carved",
        tp.v_carve([_star(5, 22, 5, 100, 70), ring], T3),
        tp.v_carve([tp.rectangle(30, 18, (25, 30)), tp.circle(15, (25, 100))], [T2, T3], depth_limit=2),
    )


def straight_inlaid() -> tp.Job:
    inlay = tp.straight_inlay(STAR, [T1, T2], gap=0.05, depth=4, thickness=5, at=(100, 70), tabs=TABS, turned_deg=13)
    thin = tp.Board(width=160, height=130, thickness=5, name="veneer", wood="maple")
    veneer = tp.Fixture(board=thin, grips=(thin.outline,))
    return tp.Job("Inlay", [tp.Setup(GRIPPED, inlay.recess), tp.Setup(veneer, inlay.insert)], inlays=[inlay])


def tapered_inlaid() -> tp.Job:
    inlay = tp.tapered_inlay(
        _star(5, 26, 14, 100, 70),
        [T1, T3],
        start_depth=3,
        glue=0.4,
        proud=1.5,
        at=(80, 65),
        tabs=tp.Tabs(width=3, height=3, count=2),
    )
    thin = tp.Board(width=160, height=130, thickness=8, name="maple", wood="maple")
    other = tp.Fixture(board=thin, grips=(thin.outline,))
    return tp.Job("Tapered", [tp.Setup(GRIPPED, inlay.recess), tp.Setup(other, inlay.insert)], inlays=[inlay])


def any_order() -> tp.Job:
    """Ties everywhere: four alike in a square, holes at equal distances."""
    places = tp.grid(2, 2, (60, 50), (70, 45))
    work = [
        (
            tp.pocket(tp.rectangle(24, 24, place), [T1, T2], depth=3, name=f"square {k}"),
            tp.drill(
                [(place[0] + x, place[1] + y) for x in (-16, 16) for y in (-16, 16)], T4, depth=6, name=f"holes {k}"
            ),
        )
        for k, place in enumerate(places, 1)
    ]
    return gripped("Ties", tp.any_order(*(each for pair in work for each in pair)))


def many_parts() -> tp.Job:
    outline = tp.regular_polygon(6, 26)
    tag = tp.Template(
        "tag",
        [tp.drill([(0, 6)], T4, depth=tp.through(0.3)), tp.contour(outline, T1, depth=tp.through(0.3), tabs=TABS)],
        back=[tp.chamfer(outline, T6, width=1)],
    )
    bare = tp.Fixture(board=BOARD, spoilboard_depth=6)
    layout = tp.in_rows([(tag, 6)], bare, margin=20)
    front = tp.Setup(bare, [layout.front])
    back = tp.Setup(bare.turned_over("left to right"), [layout.back], after=front)
    on_pins = tp.proposed_dowels([front, back], "left to right", diameter=6, depth=5)
    held = tp.proposed_screws(
        on_pins.setups(T2), head_diameter=8, height=3, shank_diameter=3.5, length=30, held_meanwhile="two clamps"
    )
    return tp.Job("Tags", held.setups(T4, pilot_depth=10))


def letters() -> tp.Job:
    strokes = tp.centre_on(tp.stroke_letters("Oak 7", 30), (100, 70))
    wide = tp.centre_on(
        shapely.buffer(tp.stroke_letters("Ash", 24), 2, cap_style="square", join_style="mitre"), (100, 105)
    )
    return gripped("Letters", tp.groove(strokes, T2, depth=1.5), tp.v_carve(wide, T3))


def from_a_drawing() -> tp.Job:
    drawing = tp.read_svg(HERE.parents[1] / "samples" / "house_sign.svg")
    drawn = tp.centre_on(tp.resize(shapely.union_all(drawing.areas(name="landscape")), width=150), (100, 70))
    return gripped("Drawn", tp.contour(drawn, T2, depth=4), tp.pocket(drawn, [T1, T2], depth=3))


def gauge() -> tp.Job:
    scrap = tp.Board(width=170, height=130, thickness=18)
    front = tp.Fixture(board=scrap, grips=(scrap.outline,))
    return tp.test_cut(T1, front).job


def relieved() -> tp.Job:
    area = tp.relieve_corners(tp.rectangle(84.3, 60.7, (100, 70)), T1)
    return gripped("Relieved", tp.pocket(tp.rotate(area, 17.3), T1, depth=8), units="inch")


JOBS: dict[str, Callable[[], tp.Job]] = {
    job.__name__: job
    for job in (
        contours, leaf, skin, rooms, rows_along_the_grain, within_an_angle, holes, faced, edges, hangers, seats, carved,
        straight_inlaid, tapered_inlaid, any_order, many_parts, letters, from_a_drawing, gauge, relieved,
    )
}  # fmt: skip
