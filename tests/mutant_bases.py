"""Small sound programs of every kind of work, by the library and by hand, from which mutants are made."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import shapely
from hand_programs import PROGRAMS, HandProgram
from hand_programs_more import MORE
from shapely import LineString, MultiPoint, box
from shapely.geometry.base import BaseGeometry

import toolpaths as tp


class Base(NamedTuple):
    """A sound job.

    sides : (text, fixture) of each side in order
    kept : the area in which the part's faces are compared, seen from the front; without the waste
    outline : of the part where it is cut out, likewise; empty where it is not
    """

    name: str
    sides: tuple[tuple[str, tp.Fixture], ...]
    cutters: tuple[tp.Cutter, ...]
    part: tp.Part
    kept: BaseGeometry
    outline: BaseGeometry = shapely.Polygon()


FLAT_3 = tp.Cutter(1, tp.flat(3), 900, 18000, plunge_mm_min=300, step_down=2, ramp_angle_deg=5, cutting_length=14,
                   stick_out=25)  # fmt: skip
FLAT_6 = tp.Cutter(2, tp.flat(6), 1500, 18000, plunge_mm_min=500, step_down=4, ramp_angle_deg=5, cutting_length=22,
                   stick_out=34)  # fmt: skip
DRILL_3 = tp.Cutter(3, tp.drill_point(3), 300, 8000, plunge_mm_min=300, cutting_length=30, stick_out=42)
VEE = tp.Cutter(4, tp.v_point(8, 90), 1000, 16000, plunge_mm_min=300, step_down=4, stick_out=24)
BALL = tp.Cutter(5, tp.ball(4), 1000, 18000, plunge_mm_min=300, step_down=2, ramp_angle_deg=5, cutting_length=14,
                 stick_out=25)  # fmt: skip
DEAD = tp.Cutter(6, tp.flat(6), 1300, 16000, step_down=3, ramp_angle_deg=6, centre_cutting=False, cutting_length=20,
                 stick_out=30)  # fmt: skip
RACK = (FLAT_3, FLAT_6, DRILL_3, VEE, BALL, DEAD)

BOARD = tp.Board(width=70, height=50, thickness=8, name="plate", wood="beech")
CORNERS = [(5, 5), (65, 5), (5, 45), (65, 45)]
HELD = tp.screws(CORNERS, head_diameter=6, height=2)
SCREWED = tp.Fixture(board=BOARD, screws=HELD)
TAPED = tp.Fixture(board=BOARD, grips=(BOARD.outline,), overhang=8)


NOWHERE = shapely.Polygon()


def made(name: str, fixture: tp.Fixture, work: list[object], outline: BaseGeometry = NOWHERE, **style: object) -> Base:
    """By the library, one side."""
    setup = tp.Setup(fixture, work)
    kept = BOARD.outline if outline.is_empty else outline
    return Base(name, ((tp.program_text(setup, **style), fixture),), RACK, tp.intended_part(setup), kept, outline)


def by_hand(name: str, text: str, fixture: tp.Fixture, front: list[object], outline: BaseGeometry = NOWHERE) -> Base:
    kept = BOARD.outline if outline.is_empty else outline
    return Base(name, ((text, fixture),), RACK, tp.Part(board=BOARD, front=front), kept, outline)


PLATE = tp.rectangle(40, 28, (35, 25), corner_radius=4)
TABS = tp.Tabs(count=3, width=5, height=2.5)


def _library() -> list[Base]:
    tray = tp.rectangle(24, 14, (35, 25), corner_radius=3)
    driven = "Drive the screw"
    slug = tp.Fixture(board=BOARD, screws=(*HELD, *tp.screws([(35, 25)], head_diameter=6, height=2, driven_at=driven)))
    hole = tp.circle(24, (35, 25))
    inch_board = tp.Fixture(board=BOARD, screws=HELD, zero_at="upper left", zero_on="spoilboard")
    return [
        made("pocket", SCREWED, [tp.pocket(tray, FLAT_3, depth=3)]),
        made("pocket and rest", SCREWED, [tp.pocket(
             tp.rectangle(26, 16, (35, 25), corner_radius=1.6), [FLAT_6, FLAT_3], depth=3)]),
        made("outline on tabs", SCREWED, [tp.contour(PLATE, FLAT_6, depth=tp.through(0.3), tabs=TABS)], PLATE,
             tool_change="stop"),
        made("holes", SCREWED, [tp.drill([(20, 20), (35, 30), (50, 20)], DRILL_3, depth=6)], cycles="canned"),
        made("bores and a groove", inch_board, [tp.bore([(22, 25), (48, 25)], 5.5, FLAT_3, depth=4),
             tp.groove([(28, 25), (42, 25)], FLAT_3, depth=2)], units="inch"),
        made("chamfered plate", SCREWED, [tp.chamfer(PLATE, VEE, width=1),
             tp.groove([(25, 20), (45, 30)], BALL, depth=1.5)]),
        made("levelled", TAPED, [tp.face(BOARD.outline, FLAT_6, depth=0.8),
             tp.pocket(tray, FLAT_6, depth=3, from_depth=0.8)]),
        made("opening with its slug", slug, [tp.drill([(35, 25)], DRILL_3, depth=tp.through(0.2)), tp.stop(driven),
             tp.contour(hole, FLAT_3, side="inside", depth=tp.through(0.3))], BOARD.outline - hole),
        made("screw heads", SCREWED, [tp.drill([(22, 25), (48, 25)], DRILL_3, depth=5),
             tp.countersink([(22, 25), (48, 25)], VEE, diameter=6)], cycles="spelled out"),
        _two_sided(),
    ]  # fmt: skip


def _two_sided() -> Base:
    pins = tp.dowels([(30, 5), (30, 45)], diameter=5, depth=5)
    front = tp.Fixture(board=BOARD, dowels=pins, screws=tp.screws([(5, 25), (65, 25)], head_diameter=6, height=2),
                       spoilboard_depth=0.5)  # fmt: skip
    back = front.turned_over("top to bottom", screws=front.screws, zero_at="lower left")
    recess = tp.rectangle(20, 10, (32, 24), corner_radius=3)
    outline = tp.rectangle(40, 20, (35, 25), corner_radius=4)
    one = tp.Setup(
        front, [tp.bore([(30, 5), (30, 45)], 5, FLAT_3, depth=tp.through(5)), tp.pocket(recess, FLAT_3, depth=2)]
    )
    two = tp.Setup(back, [tp.drill([(22, 22)], DRILL_3, depth=4),
                          tp.contour(outline, FLAT_6, depth=tp.through(0.3),
                                     tabs=TABS)])  # fmt: skip
    kept = outline | MultiPoint([(30, 5), (30, 45)]).buffer(3.5)
    sides = tuple((tp.program_text(setup), setup.fixture) for setup in (one, two))
    return Base("two sides", sides, RACK, tp.intended_part(one, two), kept, outline)


def _along(line: list[tuple[float, float]], cutter: tp.Cutter, depth: float) -> tp.CutAlong:
    return tp.CutAlong(line=LineString(line), profile=cutter.profile, depth=depth)


def _hand() -> list[Base]:
    return [
        by_hand("square recess by hand", SQUARE, SCREWED, [tp.Recess(area=box(25, 15, 45, 35), depth=3)]),
        by_hand("ring by R", RING, TAPED,
                [tp.Recess(area=tp.circle(26, (35, 25)) - tp.circle(14, (35, 25)), depth=2)]),
        by_hand("pecks by hand", PECKS, SCREWED,
                [tp.CutAlong(line=MultiPoint([(15, 25), (35, 25), (55, 25)]), profile=DRILL_3.profile, depth=6)]),
        by_hand("disc on tabs by hand", DISC, SCREWED,
                [tp.Parting(area=tp.circle(30, (35, 25)), waste="outside", tabs=2)], tp.circle(30, (35, 25))),
        by_hand("ramps in a slot", RAMPS, SCREWED, [_along([(15, 25), (55, 25)], FLAT_6, 6)]),
        by_hand("dead centre on a helix", HELIX, SCREWED, [tp.Recess(area=tp.circle(10, (35, 25)), depth=3)]),
        by_hand("letters in inches", LETTERS, TAPED,
                [_along([(25.4, 12.7), (25.4, 38.1)], VEE, 1.27), _along([(38.1, 12.7), (50.8, 38.1)], VEE, 1.27)]),
        by_hand("clamped, zero in the middle", CLAMPED, tp.Fixture(board=BOARD, zero_at="centre", clamps=tuple(
            tp.Clamp(area=box(x, 18, x + 9, 32), height=6) for x in (0, 61))),
                [_along([(20, 12), (50, 12)], FLAT_3, 3.5), _along([(20, 38), (50, 38)], FLAT_3, 3.5)]),
        by_hand("window by hand, screw driven at a stop", WINDOW, tp.Fixture(board=BOARD, zero_on="spoilboard", screws=(
            *HELD, *tp.screws([(35, 25)], head_diameter=6, height=2, driven_at="screw in the middle"))),
                [tp.Parting(area=tp.rectangle(28, 20, (35, 25), corner_radius=3), waste="inside", tabs=0)],
                BOARD.outline - tp.rectangle(28, 20, (35, 25), corner_radius=3)),
        _two_sided_by_hand(),
        by_hand("two cutters by hand", TWO, SCREWED, [tp.Recess(area=box(22, 17, 48, 33), depth=2),
                _along([(15, 40), (55, 40)], BALL, 1.5)]),
    ]  # fmt: skip


def _two_sided_by_hand() -> Base:
    pins = tp.dowels([(6, 22), (64, 22)], diameter=3, depth=5)
    front = tp.Fixture(board=BOARD, dowels=pins, grips=(box(0, 0, 70, 12), box(0, 38, 70, 50)))
    back = front.turned_over("left to right", grips=(box(0, 0, 70, 12), box(0, 38, 70, 50)))
    part = tp.Part(board=BOARD, front=[
        tp.CutAlong(line=MultiPoint([(6, 22), (64, 22)]), profile=DRILL_3.profile, depth=tp.through(5.9)),
        tp.CutAlong(line=MultiPoint([(25, 25)]), profile=DRILL_3.profile, depth=4)],
        back=[tp.Recess(area=tp.circle(10, (25, 25)), depth=2), _along([(40, 15), (40, 35)], VEE, 1)])  # fmt: skip
    return Base("two sides by hand", ((PINS, front), (SEAT, back)), RACK, part, BOARD.outline)


CLAMPED = """%
(two grooves between the clamps; zero in the middle of the board)
N10 G21 G90 G17 G40 G49 G80
N20 G0 Z14
N30 T1 M6
N40 M3 S18000
N50 G4 P2
N60 G0 X-15 Y-13
N70 Z1
N80 G1 Z-1.75 F250
N90 X15 F900
N100 Z-3.5 F250
N110 X-15 F900
N120 G0 Z14
N130 G0 X-15 Y13
N140 Z1
N150 G1 Z-1.75 F250
N160 X15 F900
N170 Z-3.5 F250
N180 X-15 F900
N190 G0 Z14
N200 M5
N210 M30
%
"""
WINDOW = """(window 28 x 20, corners 3; zero on the spoilboard, so the top is Z8)
G21 G90 G17
G0 Z25
T3 M6
M3 S8000
G4 P2
G98 G81 X35 Y25 Z-.2 R10 F300
G80
G0 Z25
M5
(MSG, screw in the middle)
M0
T2 M6
M3 S18000
G4 P2
G0 Z25
G0 X24 Y18
G0 Z9
G1 Z5 F450
G1 X46 F1400
G1 Y32
G1 X24
G1 Y18
G1 Z2 F450
G1 X46 F1400
G1 Y32
G1 X24
G1 Y18
G1 Z-.3 F450
G1 X46 F1400
G1 Y32
G1 X24
G1 Y18
G0 Z25
M5
M30
"""
PINS = """(front: pin holes 3 wide through, and a hole 4 deep)
G21 G90 G17
G0 Z20
T3 M6
M3 S8000
G4 P2
G99 G83 X6 Y22 Z-13.9 R2 Q5 F300
X64
G81 X25 Y25 Z-4 R2
G80
G0 Z20
M5
M30
"""
SEAT = """(back: seat 10 wide over the hole, and a V line)
G21 G90 G17
G0 Z15
T1 M6
M3 S18000
G4 P2
G0 X46 Y25
G0 Z1
G1 Z0 F250
G3 X46 Y25 Z-.5 I-1 J0 F600
G3 X46 Y25 Z-1 I-1 J0
G3 X46 Y25 Z-1.5 I-1 J0
G3 X46 Y25 Z-2 I-1 J0
G3 X46 Y25 I-1 J0
G1 X48.5 F900
G3 X48.5 Y25 I-3.5 J0
G0 Z15
M5
T4 M6
M3 S16000
G4 P2
G0 Z15
G0 X30 Y15
G0 Z1
G1 Z-1 F250
G1 Y35 F900
G0 Z15
M5
M30
"""
SQUARE = """(recess 20 x 20, 3 deep)
G21 G90 G17
G0 Z12
T2 M6
M3 S18000
G4 P2
G0 X30 Y20
G0 Z2
G1 Z-3 F400
G1 X40 F1500
G1 Y30
G1 X30
G1 Y20
G1 X35 Y24
G1 Y26
G1 X28 Y18
G1 X42
G1 Y32
G1 X28
G1 Y18
G0 Z12
M5
M30
"""
RING = """N10 (ring between 14 and 26, arcs by their radius)
N20 G90 G21 G17 G94
N30 G0 Z10
N40 T1 M6
N50 S18000 M3
N60 G4 P2
N70 G0 X45 Y25
N80 G0 Z1
N90 G1 Z-1 F250
N100 G3 X25 Y25 R10 F900
N110 G3 X45 Y25 R10
N120 G1 Z-2 F250
N130 G3 X25 Y25 R10 F900
N140 G3 X45 Y25 R10
N150 G1 X46.5
N160 G3 X23.5 Y25 R11.5
N170 G3 X46.5 Y25 R11.5
N180 G1 X43.5
N190 G2 X26.5 Y25 R8.5
N200 G2 X43.5 Y25 R8.5
N210 G0 Z10
N220 M5
N230 M2
"""
PECKS = """%
(three holes)
g21 g90 g17
g0 z20
t3 m6
m3 s8000
g4 p2
g99 g83 x15 y25 z-6 r2 q2.5 f300
x35
x55
g80
g0 z20
m5
m30
%
"""
DISC = """(disc 30 on two tabs, 6 mm cutter)
G21 G90 G17
G0 Z10
T2 M6
M3 S18000
G4 P2
G0 X53 Y25
G0 Z1
G1 Z-3 F400
G2 X53 Y25 I-18 J0 F1200
G1 Z-5.5 F400
G2 X53 Y25 I-18 J0 F1200
G2 X51.914 Y18.844 I-18 J0
G1 Z-8.3 F400
G2 X18.086 Y18.844 I-16.914 J6.156 F1200
G1 Z-5.5
G2 X18.086 Y31.156 I16.914 J6.156
G1 Z-8.3 F400
G2 X51.914 Y31.156 I16.914 J-6.156 F1200
G0 Z10
M5
M30
"""
RAMPS = """G21 G90 G17 G94 (slot 40 long in three passes)
G0 Z15
T2 M6
M3 S18000
G4 P2
G0 X15 Y25
G0 Z1
G1 Z0 F400
G1 X55 Z-2 F1200
G1 X15
G1 X55 Z-4
G1 X15
G1 X55 Z-6
G1 X15
G0 Z15
M5
M30
"""
HELIX = """(hole 10 wide by a cutter that is dead at its centre)
G90 G21 G17
G0 Z12
T6 M6
M3 S16000
G4 P2
G0 X37 Y25
G0 Z1
G1 Z0 F800
G3 X37 Y25 Z-1 I-2 J0 F1000
G3 X37 Y25 Z-2 I-2 J0
G3 X37 Y25 Z-3 I-2 J0
G3 X37 Y25 I-2 J0
G1 X35
G0 Z12
M5
M30
"""
LETTERS = """(two strokes, inches)
G20 G90 G17
G0 Z.5
T4 M6
M3 S16000
G4 P2
G0 X1 Y.5
G0 Z.1
G1 Z-.05 F10
G1 Y1.5 F40
G0 Z.1
G0 X1.5 Y.5
G1 Z-.05 F10
G1 X2 Y1.5 F40
G0 Z.5
M5
M30
"""
TWO = """(recess and bead)
G17 G21 G90
G0 Z15
T2 M6
M3 S18000
G4 P2
G0 X27 Y22
G0 Z2
G1 Z-2 F400
G91
G1 X16 F1500
G1 Y6
G1 X-16
G1 Y-6
G1 X-2 Y-2
G1 X20
G1 Y10
G1 X-20
G1 Y-10
G90
G0 Z15
M5
T5 M6
M3 S18000
G4 P2
G0 Z15
G0 X15 Y40
G0 Z2
G1 Z-1.5 F250
G1 X55 F900
G0 Z15
M5
M30
"""


# A back needs its front; the place of another only the machine knows; more than one side is cut by one program alone.
_NOT_FOR_THE_MODEL = {"lid_back", "lid_front", "lamp_back", "lamp_front", "label_border"}


@cache
def bases() -> tuple[Base, ...]:
    return (*_library(), *_hand())


@cache
def hand_bases() -> tuple[Base, ...]:
    """The programs by hand for which a part is meant, as far as the model knows their words."""
    programs = {**PROGRAMS, **MORE}
    return tuple(
        _of_hand(programs[name]) for name in programs if name not in _NOT_FOR_THE_MODEL and programs[name].meant
    )


def _of_hand(program: HandProgram) -> Base:
    board, part = program.fixture.board.outline, program.part()
    partings = [feature for feature in program.meant if isinstance(feature, tp.Parting)]
    inside = [feature.area for feature in partings if feature.waste == "inside"]
    outside = [feature.area for feature in partings if feature.waste == "outside"]
    kept = (shapely.union_all(outside) if outside else board) - shapely.union_all(inside)
    sides = ((program.text, program.fixture),)
    return Base(program.name, sides, program.cutters, part, kept, kept if partings else NOWHERE)
