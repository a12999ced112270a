"""Sound programs written by hand in many styles (hand_written/*.nc), each with its board, fixture and cutters.

They imitate no writer, least of all ours: a careful person at a small machine typed them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, pi, sin
from pathlib import Path

from shapely import LineString, MultiLineString, MultiPoint, MultiPolygon, Polygon, box

import toolpaths as tp
from toolpaths import inch
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.profile import Profile
from toolpaths.judging.report import Report
from toolpaths.judging.wood.field import Wood

FOLDER = Path(__file__).parent / "hand_written"


@dataclass(frozen=True, eq=False)
class HandProgram:
    """One side of one job.

    meant : the features of this side, from which the part meant is made; none for a shape that has no word for it
    front : the program whose wood this one, for the back, starts from
    """

    name: str
    fixture: tp.Fixture
    cutters: tuple[tp.Cutter, ...]
    meant: tuple[Feature, ...] = ()
    front: HandProgram | None = None

    @property
    def text(self) -> str:
        return (FOLDER / f"{self.name}.nc").read_text()

    def judge(self, text: str) -> Report:
        """The text on this program's board, at the cell that the library takes by itself."""
        return tp.simulate(text, self.fixture, self.cutters, stock=self.stock(), part=self.part())

    def part(self) -> tp.Part | None:
        if not self.meant:
            return None
        front, back = (self.front.meant, self.meant) if self.front else (self.meant, ())
        if self.fixture.turned and not self.front:
            front, back = (), self.meant
        return tp.Part(board=self.fixture.board, front=front, back=back)

    def stock(self) -> Wood | None:
        if self.front is None:
            return None
        return self.front.judge(self.front.text).stock.turned_over(self.fixture.turned)


def board(width: float, height: float, thickness: float, name: str) -> tp.Board:
    return tp.Board(width=width, height=height, thickness=thickness, name=name)


def corners(of: tp.Board, inset: float, height: float = 2.5) -> tuple[tp.Screw, ...]:
    places = [(x, y) for x in (inset, of.width - inset) for y in (inset, of.height - inset)]
    return tp.screws(places, head_diameter=9, height=height)


FLAT_6 = tp.Cutter(1, tp.flat(6), 1400, 16000, plunge_mm_min=600, cutting_length=25)
FLAT_8 = tp.Cutter(2, tp.flat(8), 1500, 15000, cutting_length=25)
QUARTER = tp.Cutter(1, tp.flat(inch("1/4")), inch(50), 16000, cutting_length=inch(1.125))
DRILL_3 = tp.Cutter(2, tp.drill_point(3), 400, 8000, plunge_mm_min=400, cutting_length=33)
DRILL_8 = tp.Cutter(1, tp.drill_point(8), 450, 6000, plunge_mm_min=450, cutting_length=60)
VEE_90 = tp.Cutter(3, tp.v_point(12, 90), 1000, 16000)


def taped(of: tp.Board, **more: object) -> tp.Fixture:
    return tp.Fixture(board=of, grips=(of.outline,), **more)


def ring(centre: tuple[float, float], inner: float, outer: float) -> Polygon:
    """Between two radii."""
    return tp.circle(2 * outer, centre).difference(tp.circle(2 * inner, centre))


def along(lines: list[list[tuple[float, float]]], profile: Profile, depth: Depth) -> tp.CutAlong:
    return tp.CutAlong(line=MultiLineString(lines), profile=profile, depth=depth)


def holes_at(places: list[tuple[float, float]], profile: Profile, depth: Depth) -> tp.CutAlong:
    return tp.CutAlong(line=MultiPoint(places), profile=profile, depth=depth)


def _key_rack() -> Iterable[HandProgram]:
    ply = board(240, 90, 9, "birch ply")
    slots = along([[(x, 55), (x, 70)] for x in (40, 80, 120, 160, 200)], tp.flat(6), 4)
    outline = tp.Parting(area=box(28, 28, 212, 75), waste="outside", tabs=4)
    yield HandProgram("key_rack", tp.Fixture(board=ply, screws=corners(ply, 9)), (FLAT_6,), (slots, outline))


def _coaster() -> Iterable[HandProgram]:
    cutter = tp.Cutter(4, tp.flat(8), 1100, 14000)
    recess = tp.Recess(area=tp.circle(90, (60, 60)), depth=3)
    yield HandProgram("coaster", taped(board(120, 120, 12, "maple"), zero_at="centre"), (cutter,), (recess,))


def _hinge_plate() -> Iterable[HandProgram]:
    poplar = board(inch(8), inch(5), inch("3/4"), "poplar")
    seat = tp.rectangle(inch(3), inch(1.5), (inch(4), inch(2.5)), corner_radius=inch("1/4"))
    fixture = tp.Fixture(board=poplar, screws=corners(poplar, inch("1/2")))
    yield HandProgram("hinge_plate", fixture, (QUARTER,), (tp.Recess(area=seat, depth=inch("1/8")),))


def _pilot_holes() -> Iterable[HandProgram]:
    fixture = tp.Fixture(
        board=board(300, 160, 18, "spruce"), clamps=(tp.Clamp(area=box(205, 125, 245, 160), height=15),)
    )
    rows = [(x, y) for y in (20, 80) for x in range(30, 271, 30)]
    last = [(x, 140) for x in (30, 60, 90, 120, 150, 180, 270)]
    holes = (holes_at(rows, DRILL_3.profile, 12), holes_at(last, DRILL_3.profile, 12))
    yield HandProgram("pilot_holes", fixture, (DRILL_3,), holes)


def _peg_rail() -> Iterable[HandProgram]:
    ash = board(320, 70, 20, "ash")
    vee = tp.Cutter(2, tp.v_point(12, 90), 900, 15000, plunge_mm_min=300)
    screws = tp.screws([(10, 35), (310, 35)], head_diameter=8, height=3)
    places = [(x, 35) for x in range(40, 281, 60)]
    holes = (holes_at(places, DRILL_8.profile, 15), holes_at(places, vee.profile, 5))
    yield HandProgram("peg_rail", tp.Fixture(board=ash, screws=screws), (DRILL_8, vee), holes)


def _house_number() -> Iterable[HandProgram]:
    vee = tp.Cutter(3, tp.v_point(10, 60), 900, 16000)
    mdf = board(200, 120, 16, "MDF")
    two = tp.Outline((110, 75)).arc_through((125, 90), (140, 75)).arc_to((137, 66), centre=(125, 75), clockwise=True)
    seven = [(40, 90), (80, 90), (60, 30)]
    digits = tp.CutAlong(
        line=two.line_to((110, 30)).line_to((140, 30)).line.union(LineString(seven)), profile=vee.profile, depth=2
    )
    frame = tp.CutAlong(line=box(20, 15, 180, 105).exterior, profile=vee.profile, depth=1.8)
    fixture = tp.Fixture(board=mdf, zero_on="spoilboard", screws=corners(mdf, 7))
    yield HandProgram("house_number", fixture, (vee,), (digits, frame))


def _tray() -> Iterable[HandProgram]:
    facing = tp.Cutter(
        7, tp.flat(22), 1800, 10000, cutting_length=15, shank_diameter=8, step_down=2, centre_cutting=False
    )
    cherry = board(180, 130, 20, "cherry")
    level = tp.Recess(area=cherry.outline, depth=0.8)
    tray = tp.Recess(area=tp.rectangle(128, 78, (90, 65), corner_radius=4), depth=6.8)
    yield HandProgram("tray_front", taped(cherry, overhang=24), (facing, FLAT_8), (level, tray))


def _lid() -> Iterable[HandProgram]:
    walnut = board(220, 140, 15, "walnut")
    dowels = tuple(tp.Dowel(x=x, y=70, diameter=8, depth=6) for x in (12, 208))
    front = tp.Fixture(board=walnut, dowels=dowels, screws=corners(walnut, 8))
    recess = tp.Recess(area=tp.slot((100, 70), (120, 70), 20), depth=5)
    holes = tp.Recess(area=MultiPolygon([tp.circle(8, (x, 70)) for x in (12, 208)]), depth=tp.through())
    one = HandProgram("lid_front", front, (FLAT_6,), (holes, recess))
    yield one
    rebate = tp.Recess(area=box(30, 25, 190, 115).difference(box(40, 35, 180, 105)), depth=6)
    free = tp.Parting(area=box(30, 25, 190, 115), waste="outside", tabs=4)
    back = front.turned_over("left to right", screws=corners(walnut, 8))
    yield HandProgram("lid_back", back, (FLAT_6,), (rebate, free), one)


def _clock_ring() -> Iterable[HandProgram]:
    """The skin of 0.4 is meant: it holds the ring until it is sanded through."""
    ply = board(160, 160, 10, "ply")
    rings = [tp.Recess(area=ring((80, 80), r - 3, r + 3), depth=9.6) for r in (27, 68)]
    hours = [(80 + 52 * cos(pi * k / 6), 80 + 52 * sin(pi * k / 6)) for k in range(12)]
    fixture = taped(ply, zero_at="centre", zero_on="spoilboard")
    yield HandProgram("clock_ring", fixture, (FLAT_6,), (*rings, holes_at(hours, tp.flat(6), 2)))


def _pen_trough() -> Iterable[HandProgram]:
    ball = tp.Cutter(4, tp.ball(12), 1400, 14000, cutting_length=30)
    oak = board(200, 80, 25, "oak")
    yield HandProgram("pen_trough", tp.Fixture(board=oak, screws=corners(oak, 8)), (ball,))


def _trivet() -> Iterable[HandProgram]:
    lattice = along([[(25, y), (155, y)] for y in range(30, 133, 17)], tp.flat(6), 7)
    yield HandProgram("trivet", taped(board(180, 180, 15, "beech")), (FLAT_6,), (lattice,))


def _mirror_frame() -> Iterable[HandProgram]:
    oak = board(210, 150, 19, "oak")
    recess = tp.Recess(area=box(55, 45, 155, 105), depth=6)
    rim = tp.CutAlong(line=box(55.5, 45.5, 154.5, 104.5).exterior, profile=VEE_90.profile, depth=2)
    fixture = tp.Fixture(board=oak, screws=corners(oak, 10), machine=tp.Machine(spin_up_s=2))
    yield HandProgram("mirror_frame", fixture, (FLAT_6, VEE_90), (recess, rim))


def _sliding_stop() -> Iterable[HandProgram]:
    ply = board(260, 100, 12, "beech ply")
    cutter = tp.Cutter(5, tp.flat(10), 1000, 14000, cutting_length=25, centre_cutting=False)
    slots = along([[(50, y), (210, y)] for y in (35, 65)], tp.flat(10), tp.through(0.2))
    fixture = tp.Fixture(board=ply, zero_at="upper left", screws=corners(ply, 10))
    yield HandProgram("sliding_stop", fixture, (cutter,), (slots,))


def _drawer_pull() -> Iterable[HandProgram]:
    walnut = board(inch(6), inch(4), inch(1), "walnut")
    recess = tp.Recess(area=ring((inch(3), inch(2)), inch(0.5), inch(0.75)), depth=inch(0.3))
    bolts = MultiPolygon([tp.circle(inch("3/8"), (inch(x), inch(2))) for x in (1, 5)])
    fixture = tp.Fixture(board=walnut, screws=corners(walnut, 10))
    yield HandProgram("drawer_pull", fixture, (QUARTER,), (recess, tp.Recess(area=bolts, depth=tp.through())))


def _cable_panel() -> Iterable[HandProgram]:
    mdf = board(280, 180, 12, "MDF")
    clamps = tuple(tp.Clamp(area=box(x, 75, x + 20, 105), height=12) for x in (0, 260))
    discs = tp.screws([(90, 90), (190, 90)], head_diameter=8, height=3, driven_at="DRIVE A SCREW IN EACH DISC")
    drill = tp.Cutter(2, tp.drill_point(3), 400, 8000, cutting_length=33)
    openings = tuple(tp.Parting(area=tp.circle(60, (x, 90)), waste="inside", tabs=0) for x in (90, 190))
    yield HandProgram("cable_panel", tp.Fixture(board=mdf, clamps=clamps, screws=discs), (FLAT_6, drill), openings)


def _spoon_rest() -> Iterable[HandProgram]:
    """Turned top to bottom, Y as typed is the Y seen from the front with its sign changed."""
    maple = board(150, 110, 18, "maple")
    nose = tp.Cutter(6, tp.bull_nose(6, 1.5), 1300, 15000, cutting_length=22)
    rows = [[(55, y), (95, y)] for y in (43, 47, 51, 55, 59, 63, 67)]
    foot = along([*rows, [(55, 43), (55, 67)], [(95, 43), (95, 67)]], nose.profile, 2.5)
    initial = along([[(130, 20), (130, 30), (122, 30)]], nose.profile, 0.3)
    back = taped(maple, zero_at="upper right").turned_over("top to bottom", grips=(maple.outline,))
    yield HandProgram("spoon_rest", back, (nose,), (foot, initial))


def _ruler_stop() -> Iterable[HandProgram]:
    softwood = board(120, 90, 28, "softwood")
    rebate = tp.Recess(area=box(0, 81, 120, 90), depth=5)
    slots = along([[(x, 30), (x, 60)] for x in (30, 90)], tp.flat(6), 6)
    yield HandProgram("ruler_stop", taped(softwood, overhang=4), (FLAT_6,), (rebate, slots))


def _cupboard_knob() -> Iterable[HandProgram]:
    """Cutters changed by hand; which one is in at first stands in a comment at the head."""
    blank = board(120, 120, 15, "beech")
    driven = "drive the middle screw and put in T2"
    held = (
        *tp.screws([(10, 10), (110, 110)], head_diameter=8, height=3),
        *tp.screws([(60, 60)], head_diameter=9, height=4, driven_at=driven),
    )
    drill = tp.Cutter(1, tp.drill_point(4), 300, 6000, cutting_length=40)
    cutter = tp.Cutter(2, tp.flat(6), 1200, 16000, cutting_length=22)
    hole = holes_at([(60, 60)], drill.profile, tp.through(0.3))
    knob = tp.Parting(area=tp.circle(60, (60, 60)), waste="outside", tabs=0)
    yield HandProgram("cupboard_knob", tp.Fixture(board=blank, screws=held), (drill, cutter), (hole, knob))


def _draining_board() -> Iterable[HandProgram]:
    """Grooves across the board, joined beyond its edges at full depth."""
    maple = board(150, 100, 15, "maple")
    clamps = tuple(tp.Clamp(area=box(x, 40, x + 12, 60), height=8) for x in (0, 138))
    round_nose = tp.Cutter(1, tp.ball(8), 1200, 16000)
    grooves = along([[(x, 0), (x, 100)] for x in (30, 60, 90, 120)], round_nose.profile, 3)
    yield HandProgram("draining_board", tp.Fixture(board=maple, overhang=13, clamps=clamps), (round_nose,), (grooves,))


def _label_border() -> Iterable[HandProgram]:
    """Lifted to the machine's own zero by G53, whose place is known."""
    machine = tp.Machine(travel=(400.0, 300.0, 80.0))
    fixture = taped(board(100, 60, 10, "lime"), machine=machine, zero_in_machine=(-350.0, -250.0, -60.0))
    cutter = tp.Cutter(1, tp.flat(6), 1200, 16000)
    border = tp.CutAlong(line=box(20, 20, 80, 40).exterior, profile=cutter.profile, depth=2)
    yield HandProgram("label_border", fixture, (cutter,), (border,))


def _leg_mortise() -> Iterable[HandProgram]:
    oak = tp.Board(width=300, height=60, thickness=30, name="oak", wood="hardwood")
    fixture = tp.Fixture(
        board=oak, machine=tp.Machine(spindle_rpm=(3000.0, 24000.0)), grips=(box(0, 0, 300, 15),), safe_height=8
    )
    drill = tp.Cutter(1, tp.drill_point(9), 300, 4000, cutting_length=70)
    cutter = tp.Cutter(2, tp.flat(8), 1000, 14000, cutting_length=35)
    mortise = tp.Recess(area=box(100, 25, 150, 35), depth=tp.through(0.2), name="mortise")
    yield HandProgram("leg_mortise", fixture, (drill, cutter), (mortise,))


PROGRAMS = {
    program.name: program
    for job in (
        _key_rack, _coaster, _hinge_plate, _pilot_holes, _peg_rail, _house_number, _tray, _lid, _clock_ring,
        _pen_trough, _trivet, _mirror_frame, _sliding_stop, _drawer_pull, _cable_panel, _spoon_rest, _ruler_stop,
        _cupboard_knob, _draining_board, _label_border, _leg_mortise,
    )
    for program in job()
}  # fmt: skip
