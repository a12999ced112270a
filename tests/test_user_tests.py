"""A user's own test file, run by pytest with the plug-in, on sound programs and on programs spoilt in many ways.

Every spoiling has to fail some test, with a message that says what is wrong in words, shows the lines of the program,
and a picture where there is a place.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import pytest

from toolpaths import testing
from toolpaths.testing.script_job import script_job

# What a run of pytest inside of this one imports it forgets at its end: all of it is imported before.
ASSERTIONS = {name: getattr(testing, name) for name in testing.__all__}
pytest_plugins = ["pytester"]
PLUGIN = "toolpaths.testing.pytest_plugin"

# A key tray: a pocket and an edge on the front, cut out over tabs; a slot for a hanger and pilots on the back.
SCRIPT = """
import toolpaths as tp

board = tp.Board(width=180, height=120, thickness=18.2, wood="white ash")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, plunge_mm_min=500, spindle_rpm=18000, step_down=3, cutting_length=26)
T2 = tp.Cutter(2, tp.v_point(12, angle_deg=90), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=16000)
T3 = tp.Cutter(3, tp.drill_point(3), feed_mm_min=600, plunge_mm_min=300, spindle_rpm=8000, cutting_length=30)
T4 = tp.Cutter(4, tp.flat(4), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=18000, cutting_length=26)
middle = (90, 60)
corners = [(10, 10), (170, 10), (10, 110), (170, 110)]
pins = [(10, 60), (170, 60), (90, 7)]
tray = tp.rectangle(80, 50, middle, corner_radius=8)
screws = tp.screws(corners, head_diameter=8, height=3)
front_side = tp.Fixture(board=board, screws=screws, dowels=tp.dowels(pins, diameter=6, depth=6))
back_side = front_side.turned_over("left to right", screws=screws)
front = tp.Setup(front_side, [
    tp.pocket(tray, T1, depth=9, name="tray"),
    tp.chamfer(tray, T2, width=1, side="inside", name="edge"),
    tp.bore(pins, 6.1, T4, depth=tp.through(6), name="pin holes"),
    tp.contour(tp.rectangle(124, 84, middle, corner_radius=14), T1, depth=tp.through(0.3),
               tabs=tp.Tabs(count=4, width=8, height=4), name="outline"),
])
back = tp.Setup(back_side, [
    tp.pocket(tp.slot((80, 95), (100, 95), 10), T1, depth=6, name="hanger"),
    tp.drill([(40, 40), (140, 40), (40, 80), (140, 80)], T3, depth=10, peck=3, name="feet"),
], after=front)
job = tp.Job("Key tray", [front, back])
"""

USER_TESTS = """
import pytest

from toolpaths.testing import (
    assert_clear_of_hold_downs, assert_depth_at, assert_held_above, assert_job_safe, assert_time_below,
    assert_tabs_stand, assert_volume_removed, assert_webs_above, assert_wood_left_at,
)


@pytest.fixture
def made(job_of_script, simulate_job):
    return simulate_job(job_of_script("key_tray.py"), folder="out", cell=0.5)


def test_safe(made):
    assert_job_safe(made)


def test_golden(made, golden_programs):
    golden_programs(made)


def test_tray(made):
    for place in [(90, 60), (53, 60), (127, 60), (90, 40), (90, 80), (53.5, 38.5)]:
        assert_depth_at(made, place, depth=9)
    assert_depth_at(made, (45, 60), depth=0)


def test_cut_out(made):
    for place in [(25, 50), (155, 50), (90, 15), (90, 105)]:
        assert_wood_left_at(made, place, thickness=0)
    assert_tabs_stand(made, count=4, height=4, width=8)


def test_back(made):
    assert_depth_at(made, (90, 95), depth=6, face="back")
    assert_depth_at(made, (40, 40), depth=10, face="back")


def test_sums(made):
    assert_volume_removed(made, volume_cm3=83.2)
    assert_time_below(made, minutes=8)


def test_margins(made):
    assert_clear_of_hold_downs(made, margin=4)
    assert_held_above(made, times_force=3)
"""


class Spoiling(NamedTuple):
    """A change of a program's text, or of the script after which the programs are written anew.

    file : "front.nc", "back.nc" or the script; `old` is a pattern in it, of which the place `nth` becomes `new`
    said : a pattern that a failure has to hold, in the words of a woodworker
    fails : the tests that have to fail, those that know what is wrong; others may too
    """

    file: str
    old: str
    new: str
    said: str
    fails: tuple[str, ...]
    nth: int = 0


FRONT, BACK, MADE_ANEW = "out/front.nc", "out/back.nc", "key_tray.py"
SPOILT = {
    "a sign": Spoiling(BACK, r"G1 X99.9997", "G1 X-99.9997", "199.999 mm too far left", ("safe", "golden")),
    "too deep": Spoiling(FRONT, r"Y57.2 Z-9 ", "Y57.2 Z-11 ", "2.000 mm too deep", ("safe", "golden", "tray", "sums")),
    "too shallow": Spoiling(BACK, r"Z-10 R2", "Z-1 R2", "9.000 mm too shallow", ("safe", "golden", "back")),
    "a hole left out": Spoiling(BACK, r"G83 X140\n", "", "100.000 mm too far left", ("safe", "golden")),
    "a lost line of the outline": Spoiling(
        FRONT, r"G1 Y37.5713 Z-18.5\n", "", "cannot be read.*The arc needs",
        ("safe", "golden")),
    "a lost retract": Spoiling(FRONT, r"G0 Z8\nZ25\n", "Z25\n", "rapid|missing", ("safe", "golden")),
    "lost lines of the last pass over a tab": Spoiling(
        FRONT, r"Z-14.2\nX120.3125\nZ-18.5 F500\n", "X120.3125 F500\n", r"tab", ("safe", "golden")),
    "a feed ten times as fast": Spoiling(
        FRONT, "F1800\n", "F18000\n", r"a feed of 18000 mm/min \(F\), in place of 1800", ("golden",)),
    "a feed a tenth as fast": Spoiling(FRONT, "F1800\n", "F180\n", r"to take less than 8 min 00 s", ("golden", "sums")),
    "a feed of the last pass": Spoiling(FRONT, "F1800", "F900", r"a feed of 900 mm/min", ("golden",), -1),
    "a wrong tool": Spoiling(FRONT, r"T4 M6", "T2 M6", "cutter T2 is put in, in place of: cutter T4",
                             ("safe", "golden")),
    "a drill for a cutter": Spoiling(BACK, r"T1 M6", "T3 M6", "cutter T3 is put in", ("safe", "golden", "back")),
    "G0 for G1": Spoiling(BACK, r"G1 X80\n", "G0 X80\n", r"a rapid \(G0\) in place of a straight cut at feed \(G1\)",
                          ("safe", "golden")),
    "G0 down into the wood": Spoiling(FRONT, r"G1 Y37.5713 Z-5.2857", "G0 Y37.5713 Z-5.2857", "rapid-in-wood",
                                      ("safe", "golden")),
    "G3 for G2": Spoiling(FRONT, r"G2 X121.996 Y35.5", "G3 X121.996 Y35.5", "turns the other way, G3 for G2",
                          ("safe", "golden")),
    "I off": Spoiling(FRONT, r"I17\nG1 X138", "I21\nG1 X138", "cannot be read|radius", ("safe", "golden")),
    "J off by a hair": Spoiling(FRONT, r"J-2.7\n", "J-2.6985\n", r"centre of the arc \(I, J\) lies 0.00. mm off",
                                ("golden",)),
    "an offset": Spoiling(FRONT, "G49 G54", "G49 G55", "G55 .where zero is", ("safe", "golden")),
    "a shifted zero": Spoiling(BACK, r"\(hanger\)", "G92 X10 Y0", "G92", ("safe", "golden")),
    "inches": Spoiling(FRONT, "G21", "G20", "its numbers are inches, those of the other mm", ("safe", "golden")),
    "incremental": Spoiling(
        BACK, "G90", "G91", r"from the place before \(G91\), the other from zero", ("safe", "golden")),
    "the spindle at rest": Spoiling(FRONT, r"M3 S18000", "S18000", r"the spindle is at rest", ("safe", "golden")),
    "the spindle the other way": Spoiling(FRONT, r"M3 S", "M4 S", r"anticlockwise", ("safe", "golden")),
    "the spindle too slow": Spoiling(FRONT, r"S18000", "S1800", r"1800 rpm \(S\), in place of 18000", ("golden",)),
    "the program cut short": Spoiling(
        FRONT, r"\nG0 X25 Y88(.|\n)*", "\nM5\nM30\n", "missing", ("safe", "golden", "cut_out")),
    "work in another order": Spoiling(
        BACK, r"(G83 Y80\n)(G83 X140\n)", r"\2\1", "moves otherwise than the golden program", ("golden",)),
    "an operator stop left in": Spoiling(BACK, r"G80\n", "G80\nM0\n", "new here: a stop, M0", ("golden",), -1),
    "coolant": Spoiling(BACK, r"M3 S8000", "M3 S8000 M8", r"coolant is flood \(M8\), in place of off", ("golden",)),
    "the script: a depth": Spoiling(
        MADE_ANEW, "depth=9,", "depth=8,", "1.000 mm too shallow", ("golden", "tray", "sums")),
    "the script: a shape drawn smaller": Spoiling(
        MADE_ANEW, r"rectangle\(80, 50", "rectangle(70, 44", "nothing is cut there", ("golden", "tray", "sums")),
    "the script: a corner rounder": Spoiling(
        MADE_ANEW, "corner_radius=8", "corner_radius=16", "moves otherwise", ("golden", "tray")),
    "the script: no tabs": Spoiling(
        MADE_ANEW, r",\s+tabs=tp.Tabs\(count=4, width=8, height=4\)", "", "loose-piece", ("safe", "golden")),
    "the script: a tab less": Spoiling(
        MADE_ANEW, "count=4", "count=3", "4 tabs are to hold what is cut out of Key tray, and 3 tabs do",
        ("golden", "cut_out")),
    "the script: lower tabs": Spoiling(MADE_ANEW, "height=4", "height=2.5", "1.500 mm too low", ("golden", "cut_out")),
    "the script: a place": Spoiling(MADE_ANEW, r"\(40, 40\), \(140", "(42, 40), (140", "nothing is cut there",
                                    ("golden", "back")),
    "the script: another zero": Spoiling(
        MADE_ANEW, "board=board, screws", 'board=board, zero_at="centre", screws', "moves otherwise", ("golden",)),
    "the script: work left out": Spoiling(
        MADE_ANEW, r" +tp.chamfer\(.*\n", "", "cutter T2 is put in|missing", ("golden",)),
    "the script: a cutter ground thinner": Spoiling(
        MADE_ANEW, r"flat\(6\)", "flat(5.8)", "moves otherwise", ("golden",)),
    "the script: climb and conventional": Spoiling(
        MADE_ANEW, r'T1, depth=9,', 'T1, depth=9, direction="climb",', "moves otherwise", ("golden",)),
    "the script: a screw moved": Spoiling(
        MADE_ANEW, r"\(10, 110\), \(170, 110\)", "(20, 101), (170, 110)", r"to be clear of the screw at X20 Y101",
        ("margins",)),
    "a screw moved after the programs were written": Spoiling(
        "key_tray.py, facts alone", r"\(10, 110\), \(170, 110\)", "(20, 101), (170, 110)",
        "head-differs.*clear of the screw", ("safe", "margins")),
    "a thicker board": Spoiling(
        "key_tray.py, facts alone", "thickness=18.2", "thickness=19.2", "not-parted|head-differs", ("safe", "cut_out")),
}  # fmt: skip


def written_project(pytester: pytest.Pytester) -> Path:
    """A user's folder: script, tests, programs written to out/, and the golden ones."""
    folder = pytester.path
    (folder / "key_tray.py").write_text(SCRIPT)
    (folder / "test_key_tray.py").write_text(USER_TESTS)
    texts = script_job(folder / "key_tray.py").programs()
    for kept in (folder / "out", folder / "golden" / "Key-tray"):
        kept.mkdir(parents=True)
        for name, text in texts.items():
            (kept / f"{name}.nc").write_text(text)
    return folder


def run(pytester: pytest.Pytester, *more: str) -> tuple[set[str], str]:
    """The user's tests that fail, and what pytest prints."""
    result = pytester.runpytest_inprocess("-p", PLUGIN, "-p", "no:xdist", "-p", "no:randomly", "--tb=short", *more)
    said = result.stdout.str()
    return set(re.findall(r"(?:FAILED|ERROR) test_key_tray.py::test_(\w+)", said)), said


def spoil(folder: Path, spoiling: Spoiling) -> None:
    """Change a file of a user's folder."""
    file, _, alone = spoiling.file.partition(", ")
    text = (folder / file).read_text()
    places = list(re.finditer(spoiling.old, text))
    assert places, f"{spoiling.old} does not stand in {file}"
    place = places[spoiling.nth]
    (folder / file).write_text(text[: place.start()] + place.expand(spoiling.new) + text[place.end() :])
    if file == MADE_ANEW and not alone:
        for name, made in script_job(folder / MADE_ANEW).programs().items():
            (folder / "out" / f"{name}.nc").write_text(made)


@pytest.mark.long
def test_sound_programs_pass_all_of_it(pytester: pytest.Pytester) -> None:
    written_project(pytester)
    failed, said = run(pytester)
    assert failed == set() and "7 passed" in said, said


@pytest.mark.sample(0, long=12)
@pytest.mark.parametrize("name", SPOILT)
def test_spoilt_programs_fail_in_words(name: str, pytester: pytest.Pytester) -> None:
    """The tests that know of it fail, and what they print says what is wrong, with lines of the program."""
    spoiling = SPOILT[name]
    spoil(written_project(pytester), spoiling)
    failed, said = run(pytester)
    assert failed >= set(spoiling.fails), (failed, said)
    assert re.search(spoiling.said, " ".join(said.split())), said
    assert "-->" in said, said
    assert "Traceback" not in said and "INTERNALERROR" not in said, said
