"""Faults against the part meant: gouges, leftovers, cuts that do not part, webs too thin."""

from __future__ import annotations

from functools import cache, partial

from planted import Fault, edited, line_of
from shapely import LineString, MultiPoint, box

from toolpaths import (
    Board,
    CutAlong,
    Cutter,
    Fixture,
    Part,
    Parting,
    Recess,
    ball,
    circle,
    drill_point,
    flat,
    screws,
    simulate,
    v_point,
)

BOARD = Board(width=200, height=120, thickness=18, name="beech")
CORNERS = [(8, 8), (192, 8), (8, 112), (192, 112)]
FRONT = Fixture(board=BOARD, screws=screws(CORNERS, head_diameter=9, height=2), spoilboard_depth=0.5)
BACK = FRONT.turned_over("left to right", screws=FRONT.screws)
RACK = [
    Cutter(1, flat(6), 1500, 16000, step_down=6, plunge_mm_min=500, cutting_length=25),
    Cutter(2, ball(6), 1500, 16000, step_down=6, plunge_mm_min=500, cutting_length=25),
    Cutter(3, drill_point(4), 600, 8000, plunge_mm_min=300, cutting_length=30),
    Cutter(4, v_point(12, 90), 1500, 16000, step_down=6, plunge_mm_min=500),
    Cutter(5, flat(1), 900, 20000, step_down=1, plunge_mm_min=300, cutting_length=6),
]
# A tray 40 x 20 and 5 deep, a bead of grooves, two holes, a sign of V lines, an opening 24 wide.
TRAY = box(30, 40, 70, 60)
PART = Part(
    board=BOARD,
    front=[
        Recess(area=TRAY, depth=5, corners=3, name="tray"),
        CutAlong(line=LineString([(30, 80), (90, 80)]), profile=ball(6), depth=2, name="bead"),
        CutAlong(line=MultiPoint([(110, 80), (120, 80)]), profile=drill_point(4), depth=10, name="holes"),
        CutAlong(line=LineString([(30, 95), (50, 95), (50, 105)]), profile=v_point(12, 90), depth=1.5, name="sign"),
        Parting(area=circle(24, (150, 60)), waste="inside", tabs=0, name="opening"),
        Recess(area=LineString([(100, 30), (120, 30)]).buffer(0.5, quad_segs=32), depth=1, name="hair line"),
    ],
    back=[Recess(area=box(26, 36, 74, 64), depth=9, corners=3, name="hollow")],
)
SLUG = Fixture(board=BOARD, screws=screws([*CORNERS, (150, 60)], head_diameter=9, height=2), spoilboard_depth=0.5)

SOUND = """(a tray, a bead, holes, a sign, an opening)
G21 G17 G90 G94
G0 Z20
T1 M6
M3 S16000
G4 P2
G0 X34 Y44
G0 Z2
G1 Z-5 F400
G1 X66 F1500
G1 Y48
G1 X34
G1 Y52
G1 X66
G1 Y56
G1 X34
G1 Y44
G1 X33 Y43
G1 X67
G1 Y57
G1 X33
G1 Y43
G0 Z20
G0 X141 Y60
G0 Z2
G1 Z-6 F400
G3 X141 Y60 I9 J0 F1500
G1 Z-12 F400
G3 X141 Y60 I9 J0 F1500
G1 Z-18.3 F400
G3 X141 Y60 I9 J0 F1500
G0 Z20
T2 M6
M3 S16000
G4 P2
G0 X30 Y80
G0 Z2
G1 Z-2 F400
G1 X90 F1500
G0 Z20
T3 M6
M3 S8000
G4 P2
G98 G83 X110 Y80 Z-10 R2 Q4 F300
X120
G80
T4 M6
M3 S16000
G4 P2
G0 X30 Y95
G0 Z2
G1 Z-1.5 F400
G1 X50 F1500
G1 Y105
G0 Z20
T5 M6
M3 S20000
G4 P2
G0 X100 Y30
G0 Z2
G1 Z-1 F300
G1 X120 F900
G0 Z20
M5
M30
"""
SOUND_BACK = """(a hollow below the tray)
G21 G17 G90 G94
G0 Z20
T1 M6
M3 S16000
G4 P2
G0 X130 Y40
G0 Z2
G1 Z-4.5 F400
{}
G1 Z-9 F400
{}
G0 Z20
M5
M30
""".replace("{}", "\n".join(
    ["G1 X129 Y39 F1500", *(f"G1 X{x}\nG1 Y{y}" for y, x in ((43, 171), (47, 129), (51, 171), (55, 129), (59, 171))),
     "G1 X129", "G1 Y61", "G1 X171", "G1 Y39", "G1 X129", "G1 Y61"]
))  # fmt: skip


def front(text: str, cell: float = 0.5, part: Part = PART):
    return simulate(text, SLUG, RACK, cell=cell, part=part)


# A fault is found at any size of the cells, so also at one wider than most of these cuts.
coarse = partial(front, cell=2.0)


@cache
def _front_stock(cell: float):
    return front(SOUND, cell).stock.turned_over("left to right")


def back(text: str, cell: float = 0.5, thinnest_web: float = 3.0):
    return simulate(text, BACK, RACK, stock=_front_stock(cell), part=PART, thinnest_web=thinnest_web)


FRONT_FAULTS = [
    ("gouge", "0.05 too deep in the tray", "G1 Z-5 F400", "G1 Z-5.05 F400", ""),
    ("gouge", "0.1 into the wall of the tray", "G1 X67", "G1 X67.1", ""),
    ("gouge", "a digit slipped in X", "G1 X67", "G1 X76", ""),
    ("gouge", "bead 0.05 too deep", "G1 Z-2 F400", "G1 Z-2.05 F400", "G1 X90 F1500"),
    ("gouge", "hole in the wrong place", "X120", "X102", ""),
    ("gouge", "V line 0.05 too deep", "G1 Z-1.5 F400", "G1 Z-1.55 F400", "G1 X50 F1500"),
    ("gouge", "V line runs on", "G1 Y105", "G1 Y106", ""),
    ("gouge", "hair line 0.1 to one side", "G1 X120 F900", "G1 X120 Y30.1 F900", ""),
    ("gouge", "opening too wide", "G3 X141 Y60 I9 J0 F1500", "G3 X141 Y60 I9.1 J0 F1500", ""),
    ("laid-wrong", "an offset of 2 mm", "G0 X34 Y44", "G0 X34 Y44\nG92 X36", "G92 X36"),
    ("laid-wrong", "zero named 2 mm off along Y", "G0 X34 Y44", "G0 X34 Y44\nG92 Y46", "G92 Y46"),
    ("leftover", "0.05 too shallow in the tray", "G1 Z-5 F400", "G1 Z-4.95 F400", None),
    ("leftover", "one row forgotten", "G1 X66", "", None),
    ("leftover", "wall 0.1 short", "G1 X67", "G1 X66.9", None),
    ("leftover", "hole not deep enough", "G98 G83 X110 Y80 Z-10 R2 Q4 F300", "G98 G83 X110 Y80 Z-8 R2 Q4 F300", None),
    ("leftover", "second hole forgotten", "X120", "", None),
    ("leftover", "V line left out", "G1 Y105", "", None),
    ("not-parted", "not deep enough", "G1 Z-18.3 F400", "G1 Z-17.3 F400", None),
    ("not-parted", "turned the wrong way round", "G1 Z-18.3 F400\nG3 X141 Y60", "G1 Z-18.3 F400\nG3 X150 Y69", None),
    ("not-parted", "decimal point slipped", "G1 Z-18.3 F400", "G1 Z-1.83 F400", None),
]
BACK_FAULTS = [
    ("thin-web", "a millimetre and a half too deep", "G1 Z-9 F400", "G1 Z-10.5 F400", None),
    ("thin-web", "right through", "G1 Z-9 F400", "G1 Z-13.5 F400", None),
    ("gouge", "hollow too wide", "G1 X171", "G1 X172", ""),
]


def _fault(row, text, judge) -> Fault:
    code, what, old, new, where = row
    if "\n" in old:
        return Fault(code, what, text.replace(old, new), 0, judge, text)
    changed, line = edited(text, old, new)
    if where is None:
        line = 0
    elif where:
        line = line_of(changed, where)
    return Fault(code, what, changed, line, judge, text)


FAULTS = [
    *(_fault(row, SOUND, judge) for row in FRONT_FAULTS for judge in (front, coarse)),
    *(_fault(row, SOUND_BACK, back) for row in BACK_FAULTS),
]
