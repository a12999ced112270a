"""Sound programs written by hand in many styles (hand_written/*.nc), each with its board, fixture and cutters.

They imitate no writer, least of all ours: a careful person at a small machine typed them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from shapely import box

import toolpaths as tp
from toolpaths.simulate import Report, Stock

FOLDER = Path(__file__).parent / "hand_written"


@dataclass(frozen=True, eq=False)
class HandProgram:
    """One side of one job. front : the program whose wood this one, for the back, starts from."""

    name: str
    fixture: tp.Fixture
    cutters: tuple[tp.Cutter, ...]
    front: HandProgram | None = None

    @property
    def text(self) -> str:
        return (FOLDER / f"{self.name}.nc").read_text()

    def judge(self, text: str) -> Report:
        """The text on this program's board, at the cell that the library takes by itself."""
        return tp.simulate(text, self.fixture, self.cutters, stock=self.stock())

    def stock(self) -> Stock | None:
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
QUARTER = tp.Cutter(1, tp.flat(tp.inch("1/4")), tp.inch(50), 16000, cutting_length=tp.inch(1.125))
DRILL_3 = tp.Cutter(2, tp.drill_point(3), 400, 8000, plunge_mm_min=400, cutting_length=33)
DRILL_8 = tp.Cutter(1, tp.drill_point(8), 450, 6000, plunge_mm_min=450, cutting_length=60)
VEE_90 = tp.Cutter(3, tp.v_point(12, 90), 1000, 16000)


def _taped(of: tp.Board, **more: object) -> tp.Fixture:
    return tp.Fixture(board=of, grips=(of.outline,), **more)  # type: ignore[arg-type]


def _key_rack() -> Iterable[HandProgram]:
    ply = board(240, 90, 9, "birch ply")
    yield HandProgram("key_rack", tp.Fixture(board=ply, screws=corners(ply, 9)), (FLAT_6,))


def _coaster() -> Iterable[HandProgram]:
    cutter = tp.Cutter(4, tp.flat(8), 1100, 14000)
    yield HandProgram("coaster", _taped(board(120, 120, 12, "maple"), zero_at="centre"), (cutter,))


def _hinge_plate() -> Iterable[HandProgram]:
    poplar = board(tp.inch(8), tp.inch(5), tp.inch("3/4"), "poplar")
    yield HandProgram("hinge_plate", tp.Fixture(board=poplar, screws=corners(poplar, tp.inch("1/2"))), (QUARTER,))


def _pilot_holes() -> Iterable[HandProgram]:
    clamp = tp.Clamp(area=box(205, 125, 245, 160), height=15)
    yield HandProgram("pilot_holes", tp.Fixture(board=board(300, 160, 18, "spruce"), clamps=(clamp,)), (DRILL_3,))


def _peg_rail() -> Iterable[HandProgram]:
    ash = board(320, 70, 20, "ash")
    vee = tp.Cutter(2, tp.v_point(12, 90), 900, 15000, plunge_mm_min=300)
    screws = tp.screws([(10, 35), (310, 35)], head_diameter=8, height=3)
    yield HandProgram("peg_rail", tp.Fixture(board=ash, screws=screws), (DRILL_8, vee))


def _house_number() -> Iterable[HandProgram]:
    vee = tp.Cutter(3, tp.v_point(10, 60), 900, 16000)
    mdf = board(200, 120, 16, "MDF")
    yield HandProgram("house_number", tp.Fixture(board=mdf, zero_on="spoilboard", screws=corners(mdf, 7)), (vee,))


def _tray() -> Iterable[HandProgram]:
    facing = tp.Cutter(
        7, tp.flat(22), 1800, 10000, cutting_length=15, shank_diameter=8, step_down=2, centre_cutting=False
    )
    yield HandProgram("tray_front", _taped(board(180, 130, 20, "cherry"), overhang=24), (facing, FLAT_8))


def _lid() -> Iterable[HandProgram]:
    walnut = board(220, 140, 15, "walnut")
    dowels = tuple(tp.Dowel(x=x, y=70, diameter=8, depth=6) for x in (12, 208))
    front = tp.Fixture(board=walnut, dowels=dowels, screws=corners(walnut, 8))
    one = HandProgram("lid_front", front, (FLAT_6,))
    yield one
    yield HandProgram("lid_back", front.turned_over("left to right", screws=corners(walnut, 8)), (FLAT_6,), one)


def _clock_ring() -> Iterable[HandProgram]:
    ply = board(160, 160, 10, "ply")
    yield HandProgram("clock_ring", _taped(ply, zero_at="centre", zero_on="spoilboard"), (FLAT_6,))


def _pen_trough() -> Iterable[HandProgram]:
    ball = tp.Cutter(4, tp.ball(12), 1400, 14000, cutting_length=30)
    oak = board(200, 80, 25, "oak")
    yield HandProgram("pen_trough", tp.Fixture(board=oak, screws=corners(oak, 8)), (ball,))


def _trivet() -> Iterable[HandProgram]:
    yield HandProgram("trivet", _taped(board(180, 180, 15, "beech")), (FLAT_6,))


def _mirror_frame() -> Iterable[HandProgram]:
    oak = board(210, 150, 19, "oak")
    yield HandProgram("mirror_frame", tp.Fixture(board=oak, screws=corners(oak, 10)), (FLAT_6, VEE_90))


def _sliding_stop() -> Iterable[HandProgram]:
    ply = board(260, 100, 12, "beech ply")
    cutter = tp.Cutter(5, tp.flat(10), 1000, 14000, cutting_length=25, centre_cutting=False)
    yield HandProgram("sliding_stop", tp.Fixture(board=ply, zero_at="upper left", screws=corners(ply, 10)), (cutter,))


def _drawer_pull() -> Iterable[HandProgram]:
    walnut = board(tp.inch(6), tp.inch(4), tp.inch(1), "walnut")
    yield HandProgram("drawer_pull", tp.Fixture(board=walnut, screws=corners(walnut, 10)), (QUARTER,))


def _cable_panel() -> Iterable[HandProgram]:
    mdf = board(280, 180, 12, "MDF")
    clamps = tuple(tp.Clamp(area=box(x, 75, x + 20, 105), height=12) for x in (0, 260))
    discs = tp.screws([(90, 90), (190, 90)], head_diameter=8, height=3, driven_at="DRIVE A SCREW IN EACH DISC")
    drill = tp.Cutter(2, tp.drill_point(3), 400, 8000, cutting_length=33)
    yield HandProgram("cable_panel", tp.Fixture(board=mdf, clamps=clamps, screws=discs), (FLAT_6, drill))


def _spoon_rest() -> Iterable[HandProgram]:
    maple = board(150, 110, 18, "maple")
    nose = tp.Cutter(6, tp.bull_nose(6, 1.5), 1300, 15000, cutting_length=22)
    back = _taped(maple, zero_at="upper right").turned_over("top to bottom", grips=(maple.outline,))
    yield HandProgram("spoon_rest", back, (nose,))


def _ruler_stop() -> Iterable[HandProgram]:
    yield HandProgram("ruler_stop", _taped(board(120, 90, 28, "softwood"), overhang=4), (FLAT_6,))


PROGRAMS = {
    program.name: program
    for job in (
        _key_rack, _coaster, _hinge_plate, _pilot_holes, _peg_rail, _house_number, _tray, _lid, _clock_ring,
        _pen_trough, _trivet, _mirror_frame, _sliding_stop, _drawer_pull, _cable_panel, _spoon_rest, _ruler_stop,
    )
    for program in job()
}  # fmt: skip
