"""One sound call of everything public, each argument given: what is then replaced, one argument at a time."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import numpy as np
from open_fonts import DEJAVU_SANS
from shapely import LineString, Point, Polygon

import toolpaths as tp
from toolpaths import testing

BOARD = tp.Board(width=120, height=80, thickness=18, wood="oak")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
LONG_T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=26)
T2 = tp.Cutter(2, tp.flat(3), feed_mm_min=900, spindle_rpm=18000)
T4 = tp.Cutter(4, tp.drill_point(4), feed_mm_min=600, spindle_rpm=8000)
T6 = tp.Cutter(6, tp.v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000)
VEE_82 = tp.Cutter(6, tp.v_point(12, 82), feed_mm_min=1200, spindle_rpm=16000)
T8 = tp.Cutter(8, tp.undercut(9.5, 3.2, 4.8), feed_mm_min=800, spindle_rpm=16000)
T7 = tp.Cutter(7, tp.flat(16), feed_mm_min=1500, spindle_rpm=12000)
ROUNDER = tp.Cutter(9, tp.rounding(3, 4), feed_mm_min=1200, spindle_rpm=16000)
BULL = tp.Cutter(10, tp.bull_nose(8, 3), feed_mm_min=1200, spindle_rpm=16000)
SCREWS = tp.screws([(6, 6), (114, 6)], head_diameter=8, height=3)
DOWELS = tp.dowels([(6, 40), (114, 40)], diameter=6, depth=5)
MACHINE = tp.Machine(name="router")
FRONT = tp.Fixture(board=BOARD, machine=MACHINE, screws=SCREWS, dowels=DOWELS, zero_in_machine=(10, 10, -60))
BACK = FRONT.turned_over("left to right", screws=SCREWS)
AREA = tp.rectangle(40, 24, (60, 40))
TRAY = tp.pocket(AREA, T1, depth=4, name="tray")
FIRST = tp.Setup(FRONT, [TRAY])
SECOND = tp.Setup(BACK, [tp.bore([(30, 20)], 8, T1, depth=4, name="hole")], after=FIRST)
TEXT = tp.program_text(FIRST)
PANE = tp.goes_in(AREA, 3, fit=0.5)
JOB = tp.Job("Tray", [FIRST])
PART = tp.intended_part(FIRST)
WOOD = tp.simulate(TEXT, FRONT, [T1], cell=2.0).stock
ADVICE = tp.advise(tp.flat(6), wood="oak", machine=MACHINE)
SCRAP = tp.Fixture(board=tp.Board(width=164, height=120, thickness=18))
GAUGE = tp.test_cut(T1, SCRAP)
READ = {"slot width": 6.04, "over slots X": 134.1}
TONGUE = tp.Outline((10, 10), heading_deg=0).line_to((60, 10))
SEEN = np.where(np.hypot(*(np.mgrid[:40, :60] - [[[20]], [[30]]])) < 15, 20, 230)
TABS = tp.Tabs(width=5, height=3, count=2)
INLAID = tp.straight_inlay(AREA, T2, gap=0.05, depth=4, thickness=5, at=(60, 40), tabs=TABS)
INLAID_JOB = tp.Job(
    "Inlay",
    [tp.Setup(FRONT, INLAID.recess),
     tp.Setup(tp.Fixture(board=tp.Board(width=120, height=80, thickness=5, name="veneer")), INLAID.insert)],
)  # fmt: skip
BORE = tp.bore([(60, 40)], 8, T1, depth=5)
DRAWN_SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50">
<g id="outline"><rect id="plate" x="20" y="10" width="40" height="30" fill="none" stroke="red"/></g><g id="holes">
<circle id="hole" cx="40" cy="25" r="3" fill="none" stroke="blue"/></g></svg>"""
DRAWN_DXF = b"\n".join(
    [b"0", b"SECTION", b"2", b"ENTITIES", b"0", b"CIRCLE", b"8", b"holes", b"10", b"40", b"20", b"25", b"40", b"3",
     b"0",
     b"ENDSEC", b"0", b"EOF", b""]
)  # fmt: skip
# Where tasks are run that might be run elsewhere.
ONE_THREAD = ThreadPoolExecutor(1)
FOLDER = Path(mkdtemp(prefix="arguments-"))
SCREW_STOP = tp.stop("Drive the screws")
DRIVEN = tp.Fixture(board=BOARD, screws=tp.screws([(6, 6)], head_diameter=8, height=3, driven_at="Drive the screws"))


def given(**arguments: Any) -> dict[str, Any]:
    """Arguments by name, as a call has them."""
    return arguments


@dataclass(frozen=True)
class Call:
    """A sound call. Of `several`, which are given one by one, the first is replaced."""

    name: str
    function: Callable[..., Any]
    arguments: dict[str, Any]
    several: str = ""

    def with_(self, name: str, value: Any) -> Any:
        """The result with one argument replaced; as it is where none is named."""
        all_given = {**self.arguments, name: value} if name else self.arguments
        if not self.several:
            return self.function(**all_given)
        first = [value] if name == self.several else [self.arguments[self.several][0]]
        rest = {key: each for key, each in all_given.items() if key != self.several}
        return self.function(*first, *self.arguments[self.several][1:], **rest)


def _told(listener: Any) -> None:
    """Within the with block of progress() an argument counts when that is entered."""
    with tp.progress(listener):
        pass


def _all_that_come(function: Callable[..., Iterator[Any]]) -> Callable[..., tuple[Any, ...]]:
    """Of results that come one by one all count."""
    return lambda **arguments: tuple(function(**arguments))


def _calls() -> Iterator[Call]:
    def call(name: str, several: str = "", /, **arguments: Any) -> Call:
        return Call(name, getattr(tp, name), arguments, several)

    def method(name: str, of: Any, several: str = "", /, **arguments: Any) -> Call:
        return Call(name, getattr(of, name.partition(".")[2]), arguments, several)

    # Shapes.
    yield call("circle", diameter=30, centre=(60, 40), tolerance=0.01)
    yield call("ellipse", width=40, height=30, centre=(60, 40), tolerance=0.01)
    yield call("rectangle", width=40, height=30, centre=(60, 40), corner_radius=5, tolerance=0.01)
    yield call("slot", start=(40, 40), end=(70, 40), width=12, tolerance=0.01)
    yield call("regular_polygon", sides=6, across_flats=30, centre=(60, 40), angle_deg=10)
    yield call("move", shape=AREA, dx=3, dy=-2)
    yield call("centre_on", shape=AREA, place=(55, 42))
    yield call("rotate", shape=AREA, angle_deg=30, about=(60, 40))
    yield call("mirror", shape=AREA, about="vertical", at=60)
    yield call("resize", shape=AREA, width=30, height=20)
    yield call("mirror_half", half=[(60, 20), (90, 20), (90, 50), (60, 50)], about="vertical", at=60, tolerance=0.01)
    yield call("mirror_quarter", quarter=[(60, 55), (80, 55), (90, 40)], middle=(60, 40), tolerance=0.01)
    yield call("symmetrised", shape=AREA, lines=[((60, 0), (60, 1))], most_off=5, tolerance=0.02)
    yield call("offset", shape=AREA, distance=2, tolerance=0.01)
    yield call("repeat_around", sector=[(90, 40), (70, 50)], times=4, middle=(60, 40), mirrored=True, tolerance=0.01)
    yield call("relieve_corners", shape=AREA, radius=2, bite="centred", near=[(40, 28)], tolerance=0.01)
    yield call("round_corners", shape=AREA, radius=3, near=[(40, 28)], tolerance=0.01)
    yield call("chamfer_corners", shape=AREA, setback=3, near=[(40, 28)])
    yield call("ring", outer_diameter=40, inner_diameter=20, centre=(60, 40), tolerance=0.01)
    yield call("arc_slot", centre=(60, 40), radius=20, width=6, start_deg=0, sweep_deg=90, tolerance=0.01)
    yield call("slot_along", line=[(30, 30), (60, 30), (60, 50)], width=6, tolerance=0.01)
    keyed = given(centre=(60, 40), angle_deg=90, tolerance=0.01)
    yield call("keyed_hole", diameter=20, key_width=6, across=23, **keyed)
    yield call("flatted_hole", diameter=20, across=15, **keyed)
    yield call("place_from_corner", shape=AREA, corner=(40, 28), toward=(80, 28), along=10, outside=4)
    yield call("place_from_wall", shape=AREA, wall=(60, 20), outside=4)
    yield call("row", count=3, pitch=20, start=(10, 50), direction_deg=30)
    yield call("grid", columns=2, rows=3, pitch=(20, 15), start=(10, 50), turned_deg=30)
    yield call("bolt_circle", count=5, diameter=40, centre=(60, 40), first_deg=90)
    yield call("spaced_along", line=[(30, 30), (60, 30)], count=3, inset=2)
    yield call("spaced_along", line=[(30, 30), (60, 30)], at_most=12)
    yield call("system_32", count=4, lowest=64, back=224, front_edge=3)
    written = given(place=(60, 40), align="centre", along=None, letter_spacing=0.5, line_spacing=1.6)
    yield call("letters", text="Oak", font=DEJAVU_SANS, capital_height=8, tolerance=0.01, **written)
    yield call("stroke_letters", text="Oak", capital_height=8, face="futural", **written)
    yield call("measures", shape=AREA, tolerance=0.01)
    yield call("shape_faults", shape=AREA, within=0.01)
    yield call("repaired", shape=AREA, within=0.01)
    yield call("join_lines", lines=[LineString([(30, 30), (60, 30)])], gap=0.1)
    yield call("Outline", start=(10, 10), heading_deg=0, tolerance=0.01, chords=(np.array([[60.0, 10.0]]),))
    yield method("Outline.line_to", TONGUE, end=(60, 50))
    yield method("Outline.arc_to", TONGUE, end=(60, 30), centre=(60, 20), clockwise=False)
    yield method("Outline.arc_through", TONGUE, middle=(70, 20), end=(60, 30))
    yield method("Outline.tangent_arc_to", TONGUE, end=(60, 30))
    yield method("Outline.smooth_through", TONGUE, places=[(70, 20), (60, 40)], tangent=True)
    yield method("Outline.close_smoothly", TONGUE.line_to((60, 50)), arrival_deg=0)

    # Drawings.
    read = given(width=None, gap=0.01, tolerance=0.01)
    yield call("read_svg", source=DRAWN_SVG, unit="mm", **read)
    yield call("read_svg", source=DRAWN_SVG, unit=None, **{**read, "width": 40})
    yield call("read_dxf", source=DRAWN_DXF, unit="mm", **read)
    drawn = tp.read_svg(DRAWN_SVG)
    chosen = given(layer="outline", colour="red", name="plate")
    yield method("Drawing.select", drawn, **chosen)
    yield method("Drawing.areas", drawn, **chosen, fill_rule="evenodd")
    yield method("Drawing.lines", drawn, **chosen)
    yield method("Drawing.circles", drawn, layer="holes", colour="#00f", name="hole", diameter=6)

    yield call("write_svg", path=FOLDER / "drawn.svg", drawn={"area": AREA}, tolerance=0.01)
    yield call("write_dxf", path=FOLDER / "drawn.dxf", drawn={"area": AREA}, tolerance=0.01)

    # Pictures.
    of_width = given(width=40.0, marks=None, distance=None, corners=None, rectangle=None)
    of_marks = {**of_width, "width": None, "marks": [(5, 5), (35, 5)], "distance": 30.0}
    of_corners = {**of_width, "width": None, "corners": [(0, 39), (59, 39), (59, 0), (0, 0)], "rectangle": (59, 39)}
    for known in (of_width, of_marks, of_corners):
        yield call("read_picture", picture=SEEN, **known, level=[(5, 5), (35, 6)], dark=True, threshold=120.0)
    seen = tp.read_picture(SEEN, width=40)
    yield call("write_picture_grid", path=FOLDER / "grid.html", picture=seen, drawn=AREA, area=(0, 0, 60, 40))
    yield method("Picture.outlines", seen, least_mm2=1.0, tolerance=0.05)
    yield method("Picture.to_mm", seen, places=[(5, 5)])
    yield method("Picture.to_pixels", seen, places=[(5, 5)])

    # Facts.
    lies = given(face="front", name="pane", below=0.5, spread=0.1, play=0.5)
    yield call("goes_in", shape=AREA, thickness=3, fit=0.5, **lies)
    yield call("screwed_in", places=[(60, 70)], length=10, above=1, face="front", name="clip", least_left=2)
    yield call("turning_clip", place=(60, 56), reach=10, over=PANE, hold=3, name="clip")
    yield call("inch", value="3/4")
    yield call("Board", width=120, height=80, thickness=18, name="oak", wood="oak", grain_deg=0)
    screw = given(head_diameter=8, height=3, shank_diameter=4, length=30)
    yield call("Screw", x=6, y=6, driven_at="Drive the screws", **screw)
    yield call("Screw", x=6, y=6, driven_at="", **screw)
    yield call("screws", places=[(6, 6)], driven_at="Drive the screws", **screw)
    yield call("Grip", area=AREA, by="vacuum")
    yield call("Dowel", x=60, y=72, diameter=6, depth=5, standing=2)
    yield call("dowels", places=[(60, 72)], diameter=6, depth=5, standing=2)
    yield call("Clamp", area=tp.rectangle(10, 10, (8, 8)), height=12)
    yield call("through", beyond=0.3)
    yield call("flat", diameter=6)
    yield call("ball", diameter=6)
    yield call("bull_nose", diameter=6, corner_radius=1)
    yield call("v_point", diameter=12, angle_deg=90, tip_diameter=0.2)
    yield call("drill_point", diameter=4, angle_deg=118)
    yield call("undercut", head_diameter=9.5, head_height=3.2, neck_diameter=4.8)
    yield call("rounding", radius=3, tip_diameter=4)
    plain = given(head_height=0, neck_diameter=0)
    yield call("Profile", kind="bull nose", diameter=6, corner_radius=1, angle_deg=180, tip_diameter=0, **plain)
    yield call("Profile", kind="V", diameter=12, corner_radius=0, angle_deg=90, tip_diameter=0.5, **plain)
    yield call(
        "Profile", kind="undercut", diameter=9.5, corner_radius=0, angle_deg=180, tip_diameter=0, head_height=3.2,
        neck_diameter=4.8,
    )  # fmt: skip
    yield call(
        "Cutter", number=1, profile=tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, plunge_mm_min=500, step_down=3,
        flutes=2, cutting_length=24, stick_out=34, shank_diameter=6, nut_diameter=19, centre_cutting=True,
        ramp_angle_deg=3, ramp_mm_min=1000, deepest_pass=4, deepest_peck=9, deepest_hole=18,
        fastest_plunge_mm_min=600, steepest_ramp_deg=5,
        widest_cut=1.0, chip_load_mm=(0.01, 0.1),
    )  # fmt: skip
    yield call(
        "Machine", name="router", travel=(750, 450, 90), rapid_mm_min=5000, acceleration_mm_s2=500,
        spindle_rpm=(6000, 24000), spin_up_s=1, change_s=90, stop_s=60, rigid=False, corner_rounding=0.05,
        codes=tp.ALL_CODES,
    )  # fmt: skip
    clamps = (tp.Clamp(area=tp.rectangle(8, 8, (60, 75)), height=9),)
    fixture = given(
        board=BOARD, machine=MACHINE, turned="", levelled=0.5, spoilboard_thickness=18,
        zero_at="lower left", zero_on="top", safe_height=30, link_height=20,
        spoilboard_depth=0.5, overhang=0, screws=SCREWS, clamps=clamps,
        dowels=DOWELS, grips=(tp.rectangle(60, 40, (60, 40)),), held_meanwhile="", wait_at=(0, 0),
        wait_height=40, zero_in_machine=(10, 10, -60),
    )  # fmt: skip
    yield call("Fixture", **fixture)
    yield call("Fixture", **{**fixture, "turned": "left to right"})
    yield method(
        "Fixture.turned_over", FRONT, turned="left to right", levelled=0.5, zero_at="centre", safe_height=20,
        link_height=10, screws=SCREWS, clamps=(), grips=(), held_meanwhile="",
    )  # fmt: skip
    yield call("species", name="red oak")
    yield Call("progress", _told, {"listener": print})
    yield call("wood_movement", wood="red oak", width=200, moisture_change=4)

    # The part meant.
    yield call("Recess", area=AREA, depth=4, corners=3, foot=1, overrun=0.5, name="tray")
    no_tabs = given(tabs=0, tab_length=30, tab_width=0, tab_height=0)
    some_tabs = given(tabs=2, tab_length=20, tab_width=5, tab_height=3)
    yield call(
        "CutAlong", line=AREA.boundary, profile=tp.flat(6), depth=4, name="a", edge_of=AREA, waste=AREA, **some_tabs
    )
    yield call(
        "CutAlong",
        line=[(20, 40), (90, 40)],
        profile=tp.flat(6),
        depth=4,
        name="line",
        waste=Polygon(),
        **no_tabs,
    )
    yield call("Parting", area=AREA, waste="outside", skin=0.4, corners=3, name="part", **some_tabs)
    yield call("Cone", places=Point(60, 40), diameter=8, angle_deg=90, from_depth=1, tip_diameter=0.2, name="head")
    yield call("Keyhole", line=[(50, 30), (50, 50)], profile=T8.profile, depth=8, from_depth=0, name="hanger")
    arc = tp.Section.arc(width=15, depth=4)
    carved = given(area=AREA, angle_deg=60, depth=4, from_depth=1, tip_diameter=0.5, ridges=0.02, name="a")
    yield call("Carving", **carved)
    yield call("Dish", area=AREA, section=arc, from_depth=1, profile=tp.ball(6), ridges=0.02, name="seat")
    yield call("Section", pieces=arc.pieces, words="arc")
    yield method("Section.slope", arc, width=6, depth=2)
    yield method("Section.round_over", arc, radius=5)
    yield method("Section.cove", arc, radius=5, depth=12)
    yield method("Section.arc", arc, depth=4, width=15, radius=None)
    yield method("Section.arc", arc, depth=4, width=None, radius=30)
    yield method("Section.ellipse", arc, width=15, depth=4, rim_deg=70)
    yield method("Section.spline", arc, places=[(0, 0), (5, 3), (9, 4)])
    yield call("Part", board=BOARD, front=[tp.Recess(area=AREA, depth=4)], back=[], within=0.03, contents=[PANE])
    yield method("Part.cut_from", PART, side="front")
    yield method("Part.partings", PART, "sides", sides=("front", "back"))
    yield call("intended_part", "setups", setups=(FIRST, SECOND), within=0.03, contents=[PANE])

    # Operations, by the function and by the class.
    bore = given(
        places=[(60, 40)], diameter=8, cutter=T1, depth=5, from_depth=1, direction="climb", order="short", name="a"
    )
    yield call("bore", **bore)
    yield call("Bore", **bore, part_name="plate 1")
    drill = given(
        places=[(60, 40), (40, 40)], cutter=T4, depth=5, from_depth=1, depth_of="tip", peck=3, dwell_s=1, order="short",
        name="a",
    )  # fmt: skip
    yield call("drill", **drill)
    yield call("Drill", **drill, part_name="plate 1")
    sunk = given(places=[(60, 40)], cutter=T6, angle_deg=90, from_depth=0, order="short", name="a")
    yield call("countersink", diameter=8, screw=None, **sunk)
    yield call("countersink", diameter=None, screw=4, **sunk)
    yield call("countersink", diameter=None, screw="#8", **{**sunk, "cutter": VEE_82, "angle_deg": 82})
    yield call("Countersink", diameter=8, **sunk, part_name="plate 1")
    hanger = given(
        places=[(60, 30)], cutter=T8, depth=8, length=15, heading_deg=90, from_depth=0, order="short", name="a"
    )
    yield call("keyhole_slot", **hanger)
    yield call("KeyholeSlot", **hanger, part_name="plate 1")
    groove = given(
        line=[(30, 40), (90, 40)], cutter=T1, depth=4, from_depth=1, direction="climb", entry="auto", order="short",
        name="a",
    )  # fmt: skip
    yield call("groove", **groove, width=None)
    yield call("groove", **groove, width=7)
    yield call(
        "hinge_cup", edge=[(0, 70), (0, 0)], along=[36], cutter=T1, pilot=T4, depth=12.5, to_edge=5, diameter=35,
        screws_apart=45, screws_further_in=9.5, pilot_depth=9, name="hinges",
    )  # fmt: skip
    T9 = tp.Cutter(9, tp.ball(6), feed_mm_min=2000, spindle_rpm=18000)
    hollowed = given(
        from_depth=0, scallop=0.05, finish=0.5, stepover=0.4, direction="climb", pattern="rings", name="seat"
    )
    arc = tp.Section.arc(width=12, depth=4)
    yield call("hollow", shape=AREA, cutters=[T1, T9], depth=None, section=arc, **hollowed)
    yield call("hollow", shape=AREA, cutters=T9, depth=4, section=None, **hollowed)
    yield call("Hollow", shape=AREA, cutters=(T9,), section=arc, part_name="left", **hollowed)
    yield call("Groove", **groove, part_name="plate 1")
    contour = given(
        shape=AREA, cutter=T1, depth=tp.through(0.3), from_depth=1, side="outside", direction="climb", entry="auto",
        tabs=TABS, finish=0.2, start=(60, 28), name="a",
    )  # fmt: skip
    for name, more in (("contour", {}), ("Contour", {"part_name": "plate 1"})):
        yield call(name, **contour, skin=0, **more)
        yield call(name, **{**contour, "tabs": None}, skin=0.5, **more)
    pocket = given(
        shape=AREA, cutters=[T1, T2], depth=4, from_depth=1, islands=[tp.circle(5, (60, 40))],
        cleared=[tp.circle(4, (48, 34))], direction="climb", entry="auto", pattern="auto", stepover=0.4, finish=0.2,
        finish_floor=0.2, name="a",
    )  # fmt: skip
    for name, more in (("pocket", {}), ("Pocket", {"part_name": "plate 1"})):
        yield call(name, **pocket, engagement_deg=None, **more)
    chamfer = given(shape=AREA, cutter=T6, width=1.5, from_depth=0.5, side="outside", direction="climb", name="a")
    yield call("chamfer", **chamfer)
    yield call("Chamfer", **chamfer, part_name="plate 1")
    for name, cutter in (("round_edge", ROUNDER), ("cove_edge", BULL)):
        edge = given(shape=AREA, cutter=cutter, from_depth=0.5, side="outside", direction="climb", finish=0.3, name="a")
        yield call(name, **edge)
        yield call("RoundEdge" if name == "round_edge" else "CoveEdge", **edge, part_name="plate 1")
    carving = given(shape=AREA, cutters=(T1, T6), depth_limit=1.5, from_depth=0.5, direction="climb", name="a")
    yield call("v_carve", **carving)
    yield call("VCarve", **carving, part_name="plate 1")
    face = given(
        shape=AREA, cutter=T7, depth=0.8, from_depth=0.2, angle_deg=10, stepover=0.4, direction="both", name="a"
    )
    yield call("face", **face)
    yield call("Face", **face, part_name="plate 1")
    inlaid = given(
        cutters=[T1, T2], gap=0.05, depth=4, thickness=5, at=(60, 40), turned_deg=10, face="front", tabs=TABS,
        beyond=0.3, name="leaf",
    )  # fmt: skip
    yield call("straight_inlay", shape=AREA, **inlaid)
    yield call("StraightInlay", drawn=AREA, **inlaid)
    tapered = given(
        cutters=[T1, T2, T6], start_depth=2, glue=0.5, proud=1.5, at=(60, 40), turned_deg=10, face="front", tabs=TABS,
        beyond=0.3, name="leaf",
    )  # fmt: skip
    yield call("tapered_inlay", shape=AREA, **tapered)
    yield call("TaperedInlay", drawn=AREA, **tapered)
    yield call(
        "TaperedInsert", area=AREA, start_depth=2, depth=4, angle_deg=60, around=8, ridges=0.5, name="leaf"
    )  # fmt: skip
    yield call("Tabs", width=5, height=3, count=2, spacing=0, points=(), slope_deg=60)
    yield call("Tabs", width=5, height=3, count=0, spacing=40, points=(), slope_deg=60)
    yield call("Tabs", width=5, height=3, count=0, spacing=0, points=[(60, 28)], slope_deg=60)
    yield method("Operation.moved", BORE, dx=3, dy=-2, turned_deg=10)
    yield method("Operation.toolpaths", BORE, fixture=FRONT, tolerance=0.01)

    # Work, texts, jobs.
    yield call("stop", message="Drive the screws")
    yield call("any_order", "work", work=(BORE, TRAY), keeping=[])
    yield call("any_order", "work", work=(BORE, TRAY), keeping=[(TRAY, BORE)])
    yield call("Template", name="plate", front=[TRAY], back=[BORE])
    plate = tp.Template("plate", [tp.contour(tp.circle(20), T1, depth=tp.through(0.3), tabs=TABS)])
    yield call("repeat_at", template=plate, places=[(30, 40), (70, 40)], turned_deg=[0, 90])
    rows = given(web=4, margin=4, keep_out=[tp.rectangle(8, 8, (60, 60))], across_grain=True)
    yield call("in_rows", wanted=[(plate, 2)], sides=[FRONT, BACK], **rows)
    bare = tp.Fixture(board=BOARD, spoilboard_depth=6)
    cut_free = tp.contour(tp.rectangle(60, 36, (60, 40)), LONG_T1, depth=tp.through(0.3), tabs=TABS)
    planned = tp.Setup(bare, [cut_free])
    screw_facts = given(head_diameter=8, height=3, shank_diameter=4, length=30)
    proposal = given(count=4, clearance=1, edge=6, in_part=False, held_meanwhile="clamps", **screw_facts)
    yield call("proposed_screws", setups=[planned], driven_at="Drive the screws", **proposal)
    held = tp.proposed_screws(planned, **screw_facts)
    yield method("ProposedScrews.pilots", held, cutter=T4, depth=10)
    yield method("ProposedScrews.setups", held, cutter=T4, pilot_depth=10)
    pins = given(diameter=6, depth=5, standing=0, count=2, clearance=3)
    yield call("proposed_dowels", setups=[planned], turned="left to right", **pins)
    on_pins = tp.proposed_dowels(planned, "left to right", diameter=8, depth=5, clearance=3)
    yield method("ProposedDowels.holes", on_pins, cutter=LONG_T1)
    yield method("ProposedDowels.setups", on_pins, cutter=LONG_T1)
    yield call("Setup", fixture=FRONT, work=[TRAY], name="front", after=None, tolerance=0.01)
    yield call("Setup", fixture=BACK, work=[BORE], name="back", after=FIRST, tolerance=0.01)
    yield call("Setup", fixture=DRIVEN, work=[SCREW_STOP, BORE], name="front", after=None, tolerance=0.01)
    yield call("program_text", setup=FIRST, title="Tray", units="mm", cycles="canned", tool_change="M6")
    yield call("texts_by_cutter", setup=FIRST, title="Tray", units="mm", cycles="canned")
    yield call(
        "Job", title="Tray", setups=[FIRST], accept=[], units="mm", cycles="canned", tool_change="M6", within=0.03,
        contents=[], inlays=[],
        thinnest_web=1.0, afterwards=["Oil it"],
    )  # fmt: skip
    yield call("Accept", code="loose-piece", operation="tray", reason="It is held.")
    yield method("Job.report", JOB, cell=2.0)
    yield method("Job.fit", INLAID_JOB, inlay=INLAID)
    yield method("Job.write", JOB, folder=FOLDER / "written", suffix=".nc", cell=2.0)
    yield method("Job.sheet", JOB, report=JOB.report(cell=2.0), suffix=".nc")
    yield method("Job.replay", JOB, program="front", report=JOB.report(cell=2.0))
    yield method("Replay.write", JOB.replay("front", report=JOB.report(cell=2.0)), path=FOLDER / "front.html")
    yield method("Job.wood_after", JOB, program="front", after=1, cell=2.0)
    yield method("Job.compare", JOB, folder=FOLDER / "written", suffix=".nc")
    yield method("Job.sheet", JOB, report=JOB.report(cell=2.0), suffix=".nc")
    yield method("Job.restart", JOB, program="front", line=60, after=None, cell=2.0)
    yield method("Restart.write", JOB.restart("front", line=60, cell=2.0), path=FOLDER / "restart.nc")
    ranges = given(
        thickness=0.2,
        flip_line=0.0,
        dowel_clearance=0.0,
        cutter_diameter=0.0,
        zero_z=0.0,
        width=0.0,
        height=0.0,
        flip_angle_deg=0.0,
        cell=4.0,
    )
    yield method("Job.study", JOB, **ranges, executor=ONE_THREAD)
    for name, more in (("judge_all", {}), ("write_all", given(folder=FOLDER / "all", suffix=".nc"))):
        everything = _all_that_come(getattr(tp, name))
        yield Call(name, everything, given(jobs=[JOB], executor=ONE_THREAD, cell=2.0, **more))

    # The test cut.
    for name in ("test_cut", "GaugePiece"):
        yield call(name, cutter=T1, front=SCRAP, back=SCRAP.turned_over("left to right"))
    tenon = given(name="tenon", drawn=40, along="X", between="outsides", cutter=T1)
    yield call("Size", **tenon)
    peg, hole = tp.Size(**tenon), tp.Size(**{**tenon, "between": "walls"})
    for name, readings in (("measured", READ), ("Measured", tuple(READ.items()))):
        yield call(name, piece=GAUGE, readings=readings, finished=[(peg, 39.9)], calliper=0.02)
    read = tp.measured(GAUGE, READ)
    yield method("Measured.cutter", read, cutter=T1)
    yield method("Measured.ranges", read, corrected=True)
    yield method("Measured.foretold", read, size=peg)
    yield method("Measured.clearance", read, hole=hole, peg=peg)

    # Judging.
    judged = given(cell=2.0, part=PART, thinnest_web=1.0)
    uncut = tp.simulate("G21 G90\nM2", FRONT, [T1], cell=2.0).stock
    yield call("simulate", text=TEXT, fixture=FRONT, cutters=[T1], stock=uncut, **judged)
    yield call("verify", sides=[(TEXT, FRONT)], cutters=[T1], **judged)
    yield call("tolerance_study", sides=[(TEXT, FRONT)], cutters=[T1], part=PART, thinnest_web=1.0, executor=ONE_THREAD,
               **ranges)  # fmt: skip
    yield call(
        "read", text=TEXT, start=(0, 0, 10), controller=inspect.signature(tp.read).parameters["controller"].default
    )
    yield call("part_svg", part=PART)
    yield call("section_svg", wood=WOOD, start=(10, 40), end=(110, 40))
    yield call("relief_png", wood=WOOD, pixels=60, within=AREA)
    yield method("Wood.turned_over", WOOD, turned="left to right")
    yield method("Wood.cell_at", WOOD, x=10, y=10)
    tried = testing.simulated(JOB, cell=2.0)
    folder = mkdtemp()
    for name, text in JOB.programs().items():
        (Path(folder) / f"{name}.nc").write_text(text)
    for name, more in (
        ("assert_safe", given(text=TEXT, fixture=FRONT, cutters=[T1], stock=uncut, **judged)),
        ("assert_job_safe", given(job=tried, cell=2.0)),
        ("assert_same_motion", given(found=TEXT, expected=TEXT, within=0.01, feed_within_share=0.01, found_name="mine",
                                     expected_name="other")),
        ("assert_golden", given(job=tried, folder=mkdtemp(), renew=True, name="tray", within=0.01,
                                feed_within_share=0.01)),
        ("assert_depth_at", given(job=tried, place=(60, 40), depth=4, face="front", within=0.1, after="front")),
        ("assert_wood_left_at", given(job=tried, place=(60, 40), thickness=14, within=0.1, after="front")),
        ("assert_volume_removed", given(job=tried, volume_cm3=3.8, within_share=0.1, program="front")),
        ("assert_time_below", given(job=tried, minutes=5, program="front")),
        ("assert_clear_of_hold_downs", given(job=tried, margin=1, program="front")),
        ("assert_webs_above", given(job=tried, thickness=1)),
        ("assert_held_above", given(job=tried, times_force=0.1, program="front")),
        ("assert_tabs_stand", given(job=tried, count=0, height=1, width=1, piece=None, program="front")),
        ("simulated", given(job=JOB, texts=JOB.programs(), cell=4.0)),
        ("programs_in", given(folder=folder, job=JOB, suffix=".nc")),
    ):  # fmt: skip
        yield Call(f"testing.{name}", getattr(testing, name), more)

    # Feeds.
    yield call("check_cutter", cutter=T1, wood="oak", machine=MACHINE)
    yield call(
        "advise", profile=tp.flat(6), wood="oak", machine=MACHINE, flutes=2, widest_cut=0.4, chip_load_mm=(0.02, 0.1),
        cutting_length=20, spindle_rpm=None, feed_mm_min=None, plunge_mm_min=300, ramp_mm_min=600, step_down=2,
        ramp_angle_deg=3,
    )  # fmt: skip
    yield call(
        "advise", profile=tp.flat(6), wood="oak", machine=MACHINE, flutes=2, widest_cut=1, chip_load_mm=None,
        cutting_length=None, spindle_rpm=16000, feed_mm_min=1200, plunge_mm_min=None, ramp_mm_min=None, step_down=None,
        ramp_angle_deg=None,
    )  # fmt: skip
    yield method("Advice.cutter", ADVICE, number=1, feed_mm_min=1000, step_down=2, stick_out=40)


CALLS = tuple(_calls())
