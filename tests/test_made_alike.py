"""What a user makes is the same value however its numbers are spelled, shown in a line, and checked anew by replace."""

from __future__ import annotations

import copy
import pickle
from collections.abc import Callable
from dataclasses import FrozenInstanceError, fields, is_dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
import shapely

import toolpaths as tp

Number = Callable[[float], Any]
LONG = "n" * 199


def board(n: Number = float) -> tp.Board:
    return tp.Board(width=n(200), height=n(140), thickness=n(18), grain_deg=n(45))


def cutter(n: Number = float, number: int = 1, wide: float = 6) -> tp.Cutter:
    return tp.Cutter(
        number, tp.flat(n(wide)), feed_mm_min=n(1500), spindle_rpm=n(18000), plunge_mm_min=n(250), step_down=n(2),
        cutting_length=n(25), stick_out=n(40), chip_load_mm=[n(0.0625), n(0.125)],
    )  # fmt: skip


def vee(n: Number = float) -> tp.Cutter:
    return tp.Cutter(2, tp.v_point(n(12), n(90), n(0.5)), feed_mm_min=n(1200), spindle_rpm=n(16000))


def fixture(n: Number = float) -> tp.Fixture:
    return tp.Fixture(
        board=board(n),
        screws=list(tp.screws([(n(10), n(10))], head_diameter=n(9), height=n(3))),
        clamps=[tp.Clamp(area=tp.rectangle(n(20), n(10), (n(100), n(5))), height=n(12))],
        dowels=list(tp.dowels([[n(100), n(70)]], diameter=n(8), depth=n(6), standing=n(10))),
        grips=[tp.rectangle(n(60), n(40), (n(100), n(70)))],
        wait_at=[n(0), n(20)], safe_height=n(20), link_height=n(3), wait_height=n(60), overhang=n(5),
        spoilboard_thickness=n(20),
        zero_in_machine=[n(100), n(50), n(-20)],
        machine=tp.Machine(travel=[n(700), n(400), n(80)], spindle_rpm=[n(6000), n(24000)], rapid_mm_min=n(4000)),
    )  # fmt: skip


def hole(n: Number = float) -> tp.Bore:
    return tp.bore([(n(20), n(70))], n(8), cutter(n), depth=n(5), from_depth=n(0))


def setup(n: Number = float) -> tp.Setup:
    return tp.Setup(fixture(n), [hole(n), tp.stop("Turn the clamp")], tolerance=n(0.015625))


LINE = ((20, 20), (100, 20))
MADE: dict[str, Callable[[Number], Any]] = {
    "profile": lambda n: tp.bull_nose(n(6), n(1)),
    "drill point": lambda n: tp.drill_point(n(5), n(120)),
    "board": board,
    "cutter": cutter,
    "screw": lambda n: tp.Screw(x=n(10), y=n(20), head_diameter=n(9), height=n(3)),
    "dowel": lambda n: tp.Dowel(x=n(10), y=n(20), diameter=n(9), depth=n(3)),
    "fixture": fixture,
    "hold downs": lambda n: fixture(n).standing(),
    "through": lambda n: tp.through(n(5)),
    "tabs": lambda n: tp.Tabs(width=n(8), height=n(3), points=[(n(10), n(20))], slope_deg=n(30)),
    "bore": hole,
    "drill": lambda n: tp.drill([[n(20), n(70)]], tp.Cutter(3, tp.drill_point(n(5)), n(300), n(8000)), depth=n(5)),
    "countersink": lambda n: tp.countersink([(n(20), n(70))], vee(n), diameter=n(8), from_depth=n(1)),
    "chamfer": lambda n: tp.chamfer([tp.circle(n(40), (n(60), n(60)))], vee(n), width=n(1.5)),
    "groove": lambda n: tp.groove([(n(x), n(y)) for x, y in LINE], cutter(n), depth=n(5), from_depth=n(1)),
    "face": lambda n: tp.face([tp.rectangle(n(80), n(60), (n(100), n(70)))], cutter(n), depth=n(1)),
    "pocket": lambda n: tp.pocket(
        [tp.circle(n(60), (n(100), n(70)))],
        [cutter(n), cutter(n, 2, 3)],
        depth=n(5),
        stepover=n(0.25),
        islands=[tp.circle(n(10), (n(100), n(70)))],
        engagement_deg=n(90),
        finish=n(0.5),
        finish_floor=n(0.25),
    ),
    "contour": lambda n: tp.contour(
        tp.rectangle(n(80), n(60), (n(100), n(70))),
        cutter(n),
        depth=tp.through(n(0.5)),
        finish=n(0.5),
        start=[n(100), n(40)],
        tabs=tp.Tabs(width=n(8), height=n(3), spacing=n(60)),
    ),
    "recess": lambda n: tp.Recess(area=tp.rectangle(n(40), n(20), (n(50), n(30))), depth=n(5), corners=n(3)),
    "cut along": lambda n: tp.CutAlong(line=[(n(x), n(y)) for x, y in LINE], profile=tp.flat(n(6)), depth=n(5)),
    "parting": lambda n: tp.Parting(area=tp.rectangle(n(40), n(20), (n(50), n(30))), waste="outside", skin=n(0.5)),
    "cone": lambda n: tp.Cone(places=[(n(20), n(70))], diameter=n(8), angle_deg=n(90), from_depth=n(1)),
    "part": lambda n: tp.Part(board=board(n), front=[], within=n(0.0625)),
    "work in any order": lambda n: tp.any_order(hole(n), tp.stop("Look")),
    "template": lambda n: tp.Template("plate", [hole(n)]),
    "layout": lambda n: tp.repeat_at(tp.Template("plate", [hole(n)]), [(n(20), n(70))], turned_deg=n(45)),
    "setup": setup,
    "job": lambda n: tp.Job("Tray", [setup(n)], within=n(0.0625), thinnest_web=n(2)),
}  # fmt: skip


def whole(value: float) -> Any:
    """As people write it: 5, but 0.5."""
    return int(value) if value == int(value) else value


def of_array(value: float) -> Any:
    return np.int64(value) if value == int(value) else np.float64(value)


SPELLED: list[Number] = [whole, of_array, np.float32, Fraction]


@pytest.mark.parametrize("name", MADE)
def test_the_same_value_however_its_numbers_are_spelled(name):
    made = MADE[name](float)
    for spelled in SPELLED:
        other = MADE[name](spelled)
        assert other == made and hash(other) == hash(made), spelled
        for again in (pickle.loads(pickle.dumps(other)), copy.deepcopy(other)):
            assert again == made and hash(again) == hash(made), spelled


@pytest.mark.parametrize("name", [name for name in MADE if hasattr(MADE[name](float), "__dict__")])
def test_what_was_worked_out_is_not_pickled(name):
    """What goes to another process is what the user said, and what was planned, however much was asked of it before."""
    made = MADE[name](float)
    if isinstance(made, tp.Operation):
        assert made.parts(0.01)
    if isinstance(made, tp.Job):
        assert made.parts and made.identity
    planned = {tp.Setup: {"_plan"}, tp.Job: {"_programs"}}.get(type(made), set())
    assert pickle.loads(pickle.dumps(made)).__dict__.keys() == {field.name for field in fields(made)} | planned


@pytest.mark.parametrize("name", ["pocket", "contour", "chamfer", "face"])
def test_replace_takes_what_the_maker_takes(name):
    """A list of shapes, as a list, left a value that has no hash; and a shape is checked anew."""
    made, other = MADE[name](float), tp.circle(50, (100, 70))
    for shape in (other, [other], (other,)):
        again = replace(made, shape=shape)
        assert again == replace(made, shape=other) and hash(again) == hash(replace(made, shape=other)), shape
        assert again != made and pickle.loads(pickle.dumps(again)) == again
    with pytest.raises(tp.ShapeError):
        replace(made, shape=shapely.Polygon())


def test_replace_takes_cutters_and_lines_as_the_makers_do():
    made = MADE["pocket"](float)
    for cutters in (cutter(), [cutter()], (cutter(),)):
        assert hash(replace(made, cutters=cutters)) == hash(replace(made, cutters=(cutter(),)))
    groove = MADE["groove"](float)
    assert replace(groove, line=[list(place) for place in LINE]) == groove


def plain(value: object, trail: str) -> list[str]:
    """Where a value keeps numbers that are not Python's own."""
    if is_dataclass(value):
        return [bad for f in fields(value) if hasattr(value, f.name)
                for bad in plain(getattr(value, f.name), f"{trail}.{f.name}")]  # fmt: skip
    if isinstance(value, tuple):
        return [bad for number, each in enumerate(value) for bad in plain(each, f"{trail}[{number}]")]
    return [trail] if isinstance(value, (np.generic, Fraction)) else []


@pytest.mark.parametrize("name", MADE)
@pytest.mark.parametrize("spelled", SPELLED[1:], ids=["arrays", "single", "fractions"])
def test_a_value_keeps_numbers_that_count_as_numbers_do(name, spelled):
    """float32 adds up to another place than the one it came from, and uint8 turns over at its end."""
    assert plain(MADE[name](spelled), name) == []


@pytest.mark.parametrize("depth", [np.uint8(5), np.int8(5), np.float32(5.3), np.float16(5.3), Fraction(16, 3)])
@pytest.mark.parametrize("make", ["bore", "groove", "face", "contour"])
def test_a_depth_of_any_kind_of_number_is_cut_to_its_z(make, depth):
    side = fixture()
    for lie in (side, side.turned_over("left to right")):
        (path, *_) = replace(MADE[make](float), depth=depth).toolpaths(lie)
        assert min(move.z for move in path.moves) == -float(depth)


def test_nought_has_no_sign():
    assert repr(replace(hole(), from_depth=-0.0)) == repr(hole())
    assert str(replace(hole(), from_depth=-0.0).depths(fixture())) == "(0.0, 5.0)"


def crowded() -> dict[str, Any]:
    """As much as may well be in one job."""
    long_name = tp.Board(width=200, height=140, thickness=18, name=LONG)
    round_area = shapely.Point(100, 70).buffer(40, quad_segs=2500)
    places = [(5 + 9.5 * (i % 20), 5 + 13 * (i // 20)) for i in range(200)]
    side = tp.Fixture(
        board=long_name, screws=tp.screws(places, head_diameter=4, height=1 / 3, driven_at=LONG),
        clamps=(tp.Clamp(area=round_area, height=1 / 3), *[tp.Clamp(area=tp.circle(9), height=2)] * 70),
        grips=(round_area, *[tp.circle(9)] * 50),
        machine=tp.Machine(name=LONG),
    )  # fmt: skip
    rack = [cutter(float, 100 - i, 6 - i / 2) for i in range(8)]
    work = [tp.pocket(tp.circle(30, (100, 70)), rack[:2], depth=5 + i / 3, name=f"{LONG[:190]} {i}") for i in range(60)]
    few = tp.Setup(replace(side, screws=(), clamps=(), grips=()), [hole()], name=LONG[:180])
    accepted = tp.Accept("loose-piece", "bore 8", LONG)
    advice = tp.advise(tp.flat(6), wood="red oak", machine=tp.Machine())
    finding = tp.Finding("loose-piece", "danger", 55, (1.0, 2.0, 3.0), 0.0, 0.0, LONG)
    found = tp.SideFinding("front", finding, (LONG, LONG))
    return {
        "board": long_name, "fixture": side, "screw": side.screws[-1], "clamp": side.clamps[0], "machine": side.machine,
        "hold-down": side.standing()[-1], "operation": work[0], "unnamed": tp.pocket(round_area, rack, depth=16 / 3),
        "any order": tp.any_order(*work), "stop": tp.stop(LONG), "tabs": tp.Tabs(width=8, height=3, points=places),
        "cone": tp.Cone(places=places, diameter=8 / 3, angle_deg=90, name=LONG), "feature": work[0].parts(0.01)[0],
        "part": tp.Part(board=long_name), "accept": accepted, "species": tp.species("oak"),
        "finding": found, "accepted": tp.AcceptedFinding(found, LONG),
        "figure": advice.feed_mm_min,
        "advice": advice, "setup": few,
        "job": tp.Job(LONG[:190], [few]), "dowel": tp.Dowel(x=100 / 3, y=100 / 3, diameter=8 / 3, depth=6 / 7),
    }  # fmt: skip


def test_every_value_is_shown_in_a_line():
    for name, value in crowded().items():
        shown = repr(value)
        assert len(shown) <= 120 and "\n" not in shown, (name, shown)
        assert " object at " not in shown, name


@pytest.mark.parametrize("name", MADE)
def test_nothing_that_was_made_can_be_changed(name):
    made = MADE[name](float)
    for value in [made] if is_dataclass(made) else made:
        assert fields(value)
        for field in fields(value):
            with pytest.raises(FrozenInstanceError):
                setattr(value, field.name, None)


@pytest.mark.parametrize(
    "make",
    [
        lambda: tp.Accept(["loose-piece"], "opening", "held by hand"),
        lambda: tp.Accept("loose-piece", None, "held by hand"),
        lambda: replace(fixture(), zero_at=["lower left"]),
        lambda: replace(fixture(), zero_in_machine=(1, 2)),
        lambda: replace(fixture(), zero_in_machine=(1, 2, True)),
        lambda: tp.Machine(travel=750),
        lambda: tp.Machine(spindle_rpm=(8000, float("nan"))),
        lambda: replace(hole(), depth=Fraction(10**400)),
    ],
)
def test_what_is_no_such_value_is_refused_by_the_check_of_the_argument(make):
    with pytest.raises(tp.InputError):
        make()
