"""A cone, the mouth of a countersunk hole: judged as any other feature, though no check names it."""

from __future__ import annotations

import ast
import pickle
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from planted_cone import BOARD, FRONT, PART, RACK, SOUND, judge
from shapely import MultiPoint, Point, box

import toolpaths
from toolpaths import Cone, Cutter, InputError, Part, Recess, flat, simulate, tolerance_study, v_point, verify
from toolpaths.facts.features.slack import Slack
from toolpaths.judging.checks.part.target import highest, lowest

HEAD = "G21 G17 G90 G94\nG0 Z20\nT{} M6\nM3 S12000\nG4 P2\n"
TAIL = "G0 Z20\nM5\nM30\n"


@pytest.mark.parametrize("cell", [0.2, 0.5, 2.0])
def test_sound_countersinks_are_not_blamed(cell):
    report = judge(SOUND, cell)
    assert report.ok, str(report)


@pytest.mark.long
@settings(max_examples=25, deadline=None)
@given(
    x=st.floats(15, 105), y=st.floats(15, 65), angle=st.sampled_from([60.0, 82.0, 90.0, 118.0]),
    diameter=st.floats(5, 11.5), off=st.floats(-0.2, 0.2), cell=st.sampled_from([0.4, 1.7]),
)  # fmt: skip
def test_a_countersink_is_found_too_small_or_too_deep_by_more_than_the_part_allows(x, y, angle, diameter, off, cell):
    """Plunged `off` too deep: within the 0.03 sideways and in height nothing is found, well past them it is."""
    cutter = Cutter(3, v_point(12, angle), 900, 12000, step_down=12, plunge_mm_min=300)
    cone = Cone(places=Point(x, y), diameter=diameter, angle_deg=angle)
    part = Part(board=BOARD, front=[cone])
    text = HEAD.format(3) + f"G0 X{x:.4f} Y{y:.4f}\nZ2\nG1 Z{-cone.height - off:.4f} F300\n" + TAIL
    codes = {f.code for f in simulate(text, FRONT, [cutter], cell=cell, part=part).findings} & {"gouge", "leftover"}
    # 0.03 in height, and the height of 0.03 sideways on the cone's slope.
    allowed = 0.03 + 0.03 / np.tan(np.radians(angle / 2))
    if abs(off) < 0.029:
        assert not codes
    elif off > allowed + 0.005:
        assert codes == {"gouge"}
    elif off < -allowed - 0.02:
        assert codes == {"leftover"}


@pytest.mark.long
@settings(max_examples=20, deadline=None)
@given(turn=st.floats(0, 360), cell=st.sampled_from([0.4, 1.7]))
def test_a_countersink_off_its_place_is_a_gouge_on_one_side_and_a_leftover_on_the_other(turn, cell):
    x, y = 80 + 0.2 * np.cos(np.radians(turn)), 30 + 0.2 * np.sin(np.radians(turn))
    report = judge(SOUND.replace("G0 X80", f"G0 X{x:.3f} Y{y:.3f}"), cell)
    assert set(report.codes()) == {"gouge", "leftover"}
    assert all("screw heads" in f.message or "pilot holes" in f.message for f in report.findings if f.line == 0)


def test_the_band_of_a_cone_is_its_surface_a_little_wider_and_a_little_narrower():
    """At rest distance r from its axis a cone of 9 at 90 degrees lies r - 4.5 below the face."""
    slack = Slack(BOARD, -BOARD.thickness, 0.03, np.zeros((0, 6)))
    part = Part(board=BOARD, front=[Cone(places=Point(40, 30), diameter=9, angle_deg=90)])
    r = np.linspace(0.1, 4.4, 40)
    places = np.column_stack([40 + r, np.full(40, 30.0)])
    low, high = lowest(part, FRONT, slack).at(places), highest(part, FRONT, slack).at(places)
    assert low == pytest.approx(np.maximum(r - 0.03, 0) - 4.5)
    assert high == pytest.approx(r + 0.03 - 4.5)
    beyond = (
        lowest(part, FRONT, slack).at(np.array([[44.6, 30.0]])),
        highest(part, FRONT, slack).at(np.array([[44.6, 30]])),
    )
    assert (beyond[0][0], beyond[1][0]) == (0.0, np.inf)


@pytest.mark.parametrize(("tip", "found"), [(1.0, set()), (0.0, {"leftover"}), (1.5, {"gouge"})])
def test_a_blunt_cutter_leaves_a_flat_that_the_part_has_to_have(tip, found):
    """A V with a flat of 1, plunged to 4 and so 9 wide at the face, where no hole takes its point away."""
    blunt = Cutter(3, v_point(12, 90, 1.0), 900, 12000, step_down=12, plunge_mm_min=300)
    cone = Cone(places=Point(60, 40), diameter=9, angle_deg=90, tip_diameter=tip)
    text = HEAD.format(3) + "G0 X60 Y40\nZ2\nG1 Z-4 F300\n" + TAIL
    report = simulate(text, FRONT, [blunt], cell=0.2, part=Part(board=BOARD, front=[cone]))
    assert {"gouge", "leftover"} & set(report.codes()) == found, str(report)


def test_a_countersink_in_the_floor_of_a_recess():
    """Its mouth lies where the recess ends, and its point as much deeper."""
    tray = Recess(area=box(20, 15, 100, 45), depth=5, corners=3, name="tray")
    cone = Cone(places=MultiPoint([(40, 30), (80, 30)]), diameter=8, angle_deg=90, from_depth=5)
    flute = Cutter(4, flat(6), 1500, 16000, step_down=6, plunge_mm_min=500)
    rows = "".join(f"Y{y}\nX{(97, 23)[n % 2]}\n" for n, y in enumerate((18, 22, 26, 30, 34, 38, 42)))
    level = f"G0 X23 Y18\nZ2\nG1 Z-5 F400\nF1500\n{rows}X23\nY18\nX97\nY42\nG0 Z20\n"
    sunk = "T2 M6\nM3 S12000\nG4 P2\n" + "".join(f"G0 X{x} Y30\nZ2\nG1 Z-{{z}} F300\nG0 Z20\n" for x in (40, 80))
    text = HEAD.format(4) + level + sunk + TAIL
    part = Part(board=BOARD, front=[tray, cone])
    for z, found in (("9", set()), ("9.1", {"gouge"}), ("8.9", {"leftover"})):
        report = simulate(text.replace("{z}", z), FRONT, [flute, RACK[1]], cell=0.5, part=part)
        assert {"gouge", "leftover"} & set(report.codes()) == found, str(report)


def test_countersinks_on_the_back_lie_where_they_were_drawn():
    back = FRONT.turned_over("left to right", grips=FRONT.grips)
    part = replace(PART, front=(), back=PART.front)
    mirrored = SOUND.replace("X40", "X#").replace("X80", "X40").replace("X#", "X80")
    off = mirrored.replace("G0 X40", "G0 X40.2")
    assert verify([(mirrored, back)], RACK, part=part).ok
    assert {"gouge", "leftover"} <= set(verify([(off, back)], RACK, part=part).codes())


def test_a_study_judges_countersinks_as_well():
    study = tolerance_study([(SOUND, FRONT)], RACK, part=PART, zero_z=0.1)
    assert study.corners == 2
    assert not study.findings, str(study)


def test_cones_are_values():
    cone = Cone(places=Point(40, 30), diameter=9, angle_deg=90)
    again = Cone(places=Point(40, 30), diameter=9, angle_deg=90)
    assert cone == again and hash(cone) == hash(again) and pickle.loads(pickle.dumps(cone)) == cone
    assert cone != replace(cone, diameter=8)
    assert "\n" not in repr(cone) and "countersink" in repr(cone)
    with pytest.raises(InputError, match="angle_deg"):
        replace(cone, angle_deg=200)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"diameter": 0}, "diameter"), ({"angle_deg": 5}, "angle_deg"), ({"from_depth": -1}, "from_depth"),
        ({"places": box(0, 0, 1, 1)}, "Point or MultiPoint"), ({"places": MultiPoint()}, "Point or MultiPoint"),
        ({"places": Point(1e6, 0)}, "beyond every board"), ({"name": "a (b)"}, "name"),
    ],
)  # fmt: skip
def test_a_cone_says_what_is_wrong_with_it(change, words):
    with pytest.raises(InputError, match=words):
        Cone(**{"places": Point(40, 30), "diameter": 9, "angle_deg": 90, **change})


def test_no_check_and_no_plan_names_a_feature_but_the_one_that_parts_the_board():
    """Judge and makers ask the features; only operations make them."""
    package = Path(toolpaths.__file__).parent
    sources = [*(package / "judging").rglob("*.py"), *(package / "making" / "plan").rglob("*.py")]
    assert len(sources) > 50
    nodes = [node for path in sources for node in ast.walk(ast.parse(path.read_text()))]
    named = {getattr(node, field, None) for node in nodes for field in ("id", "name", "attr")}
    assert "Parting" in named and not named & {"Recess", "CutAlong", "Cone"}
    assert not [path.name for path in sources if re.search(r"isinstance\([^)]*Parting", path.read_text())]
