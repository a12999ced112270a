"""What the programs in `hand_written/` are meant to make that were written later, in still other styles."""

from __future__ import annotations

from math import cos, pi, sin

from hand_programs import (
    DRILL_3,
    FLAT_6,
    FLAT_8,
    QUARTER,
    VEE_90,
    HandProgram,
    along,
    board,
    corners,
    holes_at,
    ring,
    taped,
)
from shapely import LineString, MultiLineString, MultiPoint, MultiPolygon, box

import toolpaths as tp
from toolpaths import inch

BALL_8 = tp.Cutter(5, tp.ball(8), 1200, 16000, cutting_length=30)
VEE_60 = tp.Cutter(3, tp.v_point(10, 60), 900, 16000)
DRILL_6 = tp.Cutter(1, tp.drill_point(6), 350, 6000, plunge_mm_min=350, cutting_length=50)
DRILL_10 = tp.Cutter(2, tp.drill_point(10), 350, 5000, plunge_mm_min=350, cutting_length=60)
FLAT_10 = tp.Cutter(4, tp.flat(10), 1200, 14000, cutting_length=25)


def _screwed(of: tp.Board, inset: float = 8, **more: object) -> tp.Fixture:
    return tp.Fixture(board=of, screws=corners(of, inset), **more)


def _round(diameter: float, *places: tuple[float, float]) -> MultiPolygon:
    return MultiPolygon([tp.circle(diameter, place) for place in places])


def _programs() -> list[HandProgram]:
    pine, side = board(160, 120, 19, "pine"), board(inch(12), inch(9), inch("3/4"), "birch ply")
    plate, desk = board(150, 60, 10, "walnut"), board(200, 150, 18, "spruce")
    plaque = board(inch(9), inch(6), inch("3/4"), "cherry")
    rack, ply = board(220, 80, 16, "maple"), board(120, 100, 6, "birch ply")
    return [
        HandProgram("bookend", _screwed(pine), (FLAT_6,), (tp.Recess(area=box(48, 56, 112, 64), depth=6, corners=3),)),
        HandProgram("shelf_pins", _screwed(side, 12), (_PIN_DRILL,), _shelf_pins()),
        HandProgram("nameplate", taped(plate), (VEE_60,), (along([
            [(30, 15), (30, 45)], [(50, 15), (50, 45)], [(30, 30), (50, 30)], [(70, 15), (70, 45)],
            [(90, 45), (90, 15), (110, 15)]], VEE_60.profile, 1.5),)),
        HandProgram("grommet", tp.Fixture(board=desk, screws=(*corners(desk, 8), *tp.screws(
            [(100, 75)], head_diameter=9, height=3))), (FLAT_8,),
            (tp.Parting(area=tp.circle(50, (100, 75)), waste="inside", tabs=0),)),
        HandProgram("hook_board", _screwed(board(200, 80, 18, "oak")), (FLAT_6,),
                    (tp.Recess(area=_round(10, (50, 40), (150, 40)), depth=4),)),
        HandProgram("game_square", taped(board(130, 130, 12, "maple")), (FLAT_6,),
                    (tp.Recess(area=box(50, 50, 80, 80), depth=2, corners=3),)),
        HandProgram("spice_rack", tp.Fixture(board=rack, clamps=tuple(
            tp.Clamp(area=box(x, 25, x + 16, 55), height=12) for x in (0, 204))), (FLAT_8,),
            (tp.Recess(area=_round(44, (50, 40), (110, 40), (170, 40)), depth=4),)),
        HandProgram("tablet_stand", _screwed(board(200, 100, 22, "beech")), (FLAT_8,),
                    (tp.Recess(area=box(36, 44, 164, 56), depth=9, corners=4),)),
        HandProgram("box_lid", taped(board(120, 80, 12, "cherry"), overhang=12), (FLAT_8,),
                    (tp.Recess(area=box(0, 0, 120, 80) - box(6, 6, 114, 74), depth=4),)),
        HandProgram("vent_grille", _screwed(ply, 8), (FLAT_6,), (along(
            [[(30, y), (90, y)] for y in (25, 40, 55, 70)], tp.flat(6), tp.through(0.2)),)),
        HandProgram("coat_hooks", tp.Fixture(board=board(310, 90, 20, "ash"), clamps=(
            tp.Clamp(area=box(150, 30, 200, 90), height=15),)), (DRILL_3,),
            (holes_at([(x, 50) for x in (30, 80, 130, 230, 280)], DRILL_3.profile, 14),)),
        HandProgram("drawer_front", _screwed(board(inch(8), inch(5), inch("3/4"), "poplar"), 10), (QUARTER, VEE_90), (
            along([[(inch(x), inch(y)) for x, y in ((1, 1), (7, 1), (7, 4), (1, 4), (1, 1))]], VEE_90.profile,
                   inch(0.06)),
            tp.Recess(area=tp.circle(inch(1), (inch(4), inch(2.5))), depth=inch(0.2)))),
        HandProgram("fluted_leg", _screwed(board(300, 60, 30, "oak"), 8), (BALL_8,)),
        HandProgram("soap_dish", taped(board(120, 100, 20, "teak")), (BALL_8,)),
        HandProgram("speaker_ring", _screwed(board(200, 160, 18, "MDF")), (FLAT_8,),
                    (tp.Recess(area=ring((100, 80), 35, 47), depth=3),)),
        HandProgram("template_disc", _screwed(board(160, 140, 6, "birch ply")), (FLAT_6,),
                    (tp.Parting(area=tp.circle(80, (80, 70)), waste="outside", tabs=3),)),
        HandProgram("puzzle_frame", _screwed(board(160, 120, 8, "birch ply")), (FLAT_6,),
                    (tp.Parting(area=box(40, 35, 120, 85), waste="inside", tabs=2),)),
        HandProgram("clock_back", taped(board(150, 150, 19, "walnut")).turned_over(
            "left to right", grips=(box(0, 0, 150, 150),)), (FLAT_8,),
            (tp.Recess(area=box(47, 47, 103, 103), depth=4, corners=4),)),
        HandProgram("maker_mark", taped(board(120, 80, 15, "maple"), zero_at="upper right").turned_over(
            "top to bottom", grips=(box(0, 0, 120, 80),)), (VEE_90,),
            (along([[(80, 20), (90, 40), (100, 20)], [(84, 28), (96, 28)]], VEE_90.profile, 0.8),)),
        *_lamp(),
        HandProgram("counterbore", _screwed(board(160, 80, 15, "beech"), spoilboard_depth=2.5),
                    (_renumbered(DRILL_6, 4), FLAT_6), (
            holes_at([(30, 40), (130, 40)], DRILL_6.profile, tp.through(2.5)),
            tp.Recess(area=_round(12, (30, 40), (130, 40)), depth=5))),
        HandProgram("wall_strip", _screwed(board(200, 50, 18, "pine"), 8), (DRILL_3, VEE_90), (
            holes_at([(x, 25) for x in (30, 100, 170)], DRILL_3.profile, 15),
            tp.Cone(places=MultiPoint([(x, 25) for x in (30, 100, 170)]), diameter=8, angle_deg=90))),
        HandProgram("offset_lengths", _screwed(board(120, 90, 16, "beech")), (FLAT_6, DRILL_3), (
            along([[(30, 30), (90, 30)]], FLAT_6.profile, 3), holes_at([(30, 60), (90, 60)], DRILL_3.profile, 8))),
        HandProgram("dust_air", _screwed(board(120, 90, 16, "oak")), (FLAT_6,),
                    (along([[(25, y), (95, y)] for y in (30, 60)], FLAT_6.profile, 5),)),
        HandProgram("phone_dock", _screwed(board(120, 80, 20, "ash"), zero_at="centre", zero_on="spoilboard"),
                    (FLAT_6,), (along([[(25, 40), (95, 40)]], FLAT_6.profile, 9),)),
        HandProgram("corner_shelf", taped(board(140, 120, 18, "pine"), zero_at="upper right", overhang=12),
                    (FLAT_10,), (tp.Recess(area=box(75, 0, 85, 120), depth=6, overrun=12),)),
        HandProgram("incense_holder", _screwed(board(250, 60, 20, "beech")), (BALL_8,),
                    (along([[(30, 30), (220, 30)]], BALL_8.profile, 4),)),
        HandProgram("half_round", taped(board(90, 80, 24, "lime")), (BALL_8,)),
        HandProgram("blank_words", _screwed(board(140, 90, 15, "oak")), (FLAT_6,),
                    (along([[(40, 30), (100, 30), (100, 60), (40, 60), (40, 30)]], FLAT_6.profile, 2),)),
        HandProgram("key_fob", taped(board(150, 64, 4, "birch ply")), (FLAT_6,), (along(
            [_fob(20), _fob(90)], FLAT_6.profile, 3.6),)),
        HandProgram("stepped_seat", _screwed(board(150, 120, 18, "oak")), (FLAT_8,), (
            tp.Recess(area=tp.circle(60, (75, 60)), depth=2), tp.Recess(area=tp.circle(40, (75, 60)), depth=5))),
        HandProgram("mitre_ruler", taped(board(120, 50, 8, "maple")), (VEE_90,), (along(
            [[(20 + 10 * k, 30), (20 + 10 * k, 15 if k in (0, 5) else 22)] for k in range(6)], VEE_90.profile, 0.6),)),
        HandProgram("letter_tray", _screwed(board(150, 100, 18, "walnut")), (_BULL,),
                    (tp.Recess(area=box(40, 30, 110, 70), depth=6),)),
        HandProgram("flag_stop", tp.Fixture(board=board(120, 100, 10, "birch ply"), screws=(
            *corners(board(120, 100, 10, "birch ply"), 8),
            *tp.screws([(60, 50)], head_diameter=8, height=3, driven_at="screw the middle down"))),
            (_renumbered(DRILL_3, 1), _renumbered(FLAT_6, 2)),
            (tp.Parting(area=tp.circle(40, (60, 50)), waste="inside", tabs=0),)),
        HandProgram("trunk_lid", _trunk(), (FLAT_6,), (
            along([[(60, 0), (60, 100)], [(180, 100), (180, 0)]], FLAT_6.profile, tp.through(0.3)),)),
        HandProgram("peg_spots", _screwed(board(120, 80, 15, "beech"), 7), (DRILL_3,), (holes_at(
            [(x, y) for y in (20, 60) for x in (20, 40, 60, 80, 100)], DRILL_3.profile, 4),)),
        HandProgram("pinned_tray", _screwed(board(120, 100, 18, "cherry")), (FLAT_6,),
                    (tp.Recess(area=box(40, 36, 80, 64), depth=4, corners=3),)),
        HandProgram("wall_plaque", taped(plaque).turned_over("left to right", grips=(plaque.outline,)), (_KEYHOLE,),
                    (tp.Keyhole(line=MultiLineString([[(inch(x), inch(3)), (inch(x), inch(3.6))] for x in (2, 7)]),
                                profile=_KEYHOLE.profile, depth=inch(0.3125)),)),
        HandProgram("hook_slot", _screwed(board(120, 90, 18, "beech")), (FLAT_6, _KEYHOLE), (
            tp.Recess(area=tp.circle(10, (60, 30)), depth=8),
            tp.Keyhole(line=LineString([(60, 30), *_HOOK, (75, 51)]), profile=_KEYHOLE.profile, depth=8))),
    ]  # fmt: skip


_KEYHOLE = tp.Cutter(3, tp.undercut(inch(3 / 8), inch(1 / 8), inch(3 / 16)), 700, 15000, plunge_mm_min=260)
# A quarter of a circle of 6 mm, upwards and then to the right.
_HOOK = [(66 - 6 * cos(pi / 2 * k / 64), 45 + 6 * sin(pi / 2 * k / 64)) for k in range(65)]
_PIN_DRILL = tp.Cutter(1, tp.drill_point(inch("1/4")), 320, 4000, plunge_mm_min=320, cutting_length=60)
_BULL = tp.Cutter(6, tp.bull_nose(6, 1.5), 1300, 16000, cutting_length=22)


def _renumbered(cutter: tp.Cutter, number: int) -> tp.Cutter:
    return tp.Cutter(number, cutter.profile, cutter.feed_mm_min, cutter.spindle_rpm,
                     plunge_mm_min=cutter.plunge_mm_min, cutting_length=cutter.cutting_length)  # fmt: skip


def _shelf_pins() -> tuple[tp.CutAlong, ...]:
    places = [(inch(x), inch(1 + 1.25 * k)) for x in (2, 7) for k in range(6)]
    return (holes_at(places, _PIN_DRILL.profile, inch(0.45)),)


def _lamp() -> list[HandProgram]:
    foot = board(120, 120, 18, "beech")
    pins = tp.dowels([(10, 60), (110, 60)], diameter=6, depth=5)
    front = tp.Fixture(board=foot, dowels=pins, grips=(box(0, 80, 120, 120), box(0, 0, 120, 40)))
    hole = holes_at([(60, 60)], DRILL_10.profile, 10)
    one = HandProgram("lamp_front", front, (DRILL_6, DRILL_10),
                      (holes_at([(10, 60), (110, 60)], DRILL_6.profile, tp.through(5)), hole))  # fmt: skip
    back = front.turned_over("left to right", grips=(box(0, 80, 120, 120), box(0, 0, 120, 40)))
    back = tp.Fixture(board=foot, dowels=pins, turned="left to right", grips=back.grips, overhang=10)
    flat = _renumbered(FLAT_8, 3)
    two = HandProgram("lamp_back", back, (DRILL_10, flat), (
        holes_at([(60, 60)], DRILL_10.profile, 12),
        tp.CutAlong(line=LineString([(60, 60), (60, 125)]), profile=flat.profile, depth=6)), one)  # fmt: skip
    return [one, two]


def _fob(x: float) -> list[tuple[float, float]]:
    """The axis round a plate 40 x 20 with corners of 5, its left end at x."""
    centre = tp.rectangle(46, 26 - 6, (x + 20, 32), corner_radius=8)
    return list(centre.exterior.coords)


def _trunk() -> tp.Fixture:
    blank = board(240, 100, 12, "birch ply")
    return tp.Fixture(board=blank, screws=corners(blank, 10), overhang=10, safe_height=15, clamps=(
        tp.Clamp(area=box(100, 0, 140, 14), height=8), tp.Clamp(area=box(100, 86, 140, 100), height=8)))  # fmt: skip


MORE = {program.name: program for program in _programs()}
