"""The plug-in costs nothing until it is used; golden programs are kept, renewed and compared by motion."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import toolpaths as tp
from toolpaths import testing
from toolpaths.testing import assert_golden, assert_same_motion

# What a run of pytest inside of this one imports it forgets at its end: all of it is imported before.
ASSERTIONS = {name: getattr(testing, name) for name in testing.__all__}
pytest_plugins = ["pytester"]
ROOT = Path(__file__).resolve().parents[1]
PLUGIN = "toolpaths.testing.pytest_plugin"
BOARD = tp.Board(width=120, height=80, thickness=18)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
T2 = tp.Cutter(2, tp.drill_point(3), feed_mm_min=600, spindle_rpm=8000)
SIDE = tp.Fixture(board=BOARD, grips=[BOARD.outline])
TESTS = """
def test_golden(job_of_script, golden_programs):
    golden_programs(job_of_script("hole.py"))
"""
SCRIPT = """
import toolpaths as tp
board = tp.Board(width=120, height=80, thickness=18)
cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
fixture = tp.Fixture(board=board, grips=[board.outline])
job = tp.Job("Hole", [tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])])
"""


def hole(depth: float = 6, **options: object) -> tp.Job:
    work = [tp.bore([(30, 40)], 9, T1, depth=depth), tp.drill([(60, 40), (80, 40)], T2, depth=14)]
    return tp.Job("Hole", [tp.Setup(SIDE, work)], **options)


def test_a_run_that_does_not_use_it_loads_none_of_the_libraries(tmp_path: Path) -> None:
    """In a fresh process, with the plug-in loaded and a test run: neither numpy nor shapely is imported."""
    (tmp_path / "test_other.py").write_text("def test_other(): pass\n")
    heavy = "numpy", "shapely", "pyclipper", "hypothesis.strategies", "toolpaths.job.job"
    code = (
        f"import sys, pytest; done = pytest.main(['-q', '-p', 'no:hypothesispytest', '-p', '{PLUGIN}', '.']); "
        f"print([name for name in {heavy} if name in sys.modules], '{PLUGIN}' in sys.modules, done)"
    )
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path, env={"PYTHONPATH": str(ROOT)}
    )
    assert found.stdout.splitlines()[-1] == "[] True 0", found.stdout + found.stderr


def test_pytest_finds_it_where_the_package_is_installed() -> None:
    """The entry point names the module, under the name by which `-p` would ask for it."""
    assert f'[project.entry-points.pytest11]\n"{PLUGIN}" = "{PLUGIN}"\n' in (ROOT / "pyproject.toml").read_text()


def test_golden_programs_are_missing_then_kept_then_compared(pytester: pytest.Pytester) -> None:
    """A missing one fails with the words how it is made; --renew-golden makes it and says so."""
    pytester.makepyfile(test_hole=TESTS, hole=SCRIPT)

    def run(*options: str) -> tuple[int, str]:
        result = pytester.runpytest_inprocess("-p", PLUGIN, "-p", "no:xdist", *options)
        return int(result.ret), result.stdout.str()

    kept = pytester.path / "golden" / "Hole" / "front.nc"
    failed, said = run()
    assert failed and "There is no golden program" in said and "--renew-golden" in said
    failed, said = run("--renew-golden")
    assert not failed and re.search(r"golden/Hole/front.nc is now golden: look at it", said), said
    assert kept.read_text().startswith("(Hole: front)")
    assert run()[0] == 0 and "golden programs renewed" not in run("--renew-golden")[1]
    kept.write_text(kept.read_text().replace("Z-6 ", "Z-5.5 ", 1))
    failed, said = run()
    assert failed and re.search(r"0.500 mm too low.*-->.*Z-6.*-->.*Z-5.5", said, re.S), said


def test_a_golden_program_that_the_job_makes_no_more_is_said(tmp_path: Path) -> None:
    assert [path.name for path in assert_golden(hole(), tmp_path, renew=True)] == ["front.nc"]
    (tmp_path / "Hole" / "back.nc").write_text("M2\n")
    with pytest.raises(AssertionError, match="makes no program back any more"):
        assert_golden(hole(), tmp_path)
    assert assert_golden(hole(), tmp_path, renew=True) == ()
    assert assert_golden(hole(), tmp_path) == ()


def written_otherwise(text: str) -> str:
    """The same motion in another writing: lines numbered, no comments, words spelled out with zeros."""
    lines = [re.sub(r"\([^)]*\)", "", line).strip() for line in text.splitlines()]
    lines = [re.sub(r"\b([GM])(\d)\b", r"\g<1>0\2", line) for line in lines if line]
    return "\n".join(f"N{10 * number} {line}" for number, line in enumerate(lines, start=1)) + "\n"


@pytest.mark.parametrize("way", ["written otherwise", "spelled out", "inches"])
def test_programs_are_compared_by_motion_and_not_by_bytes(way: str) -> None:
    text = hole().programs()["front"]
    other = {
        "written otherwise": lambda: written_otherwise(text),
        "spelled out": lambda: hole(cycles="spelled out").programs()["front"],
        "inches": lambda: hole(units="inch").programs()["front"],
    }[way]()
    assert other != text
    assert_same_motion(other, text, within=0.004, feed_within_share=0.01)
    assert_same_motion(text, other, within=0.004, feed_within_share=0.01)
    with pytest.raises(AssertionError, match="moves otherwise"):
        assert_same_motion(other, hole(6.1).programs()["front"], within=0.004, feed_within_share=0.01)


def test_one_move_or_arc_in_several_is_the_same_motion() -> None:
    """Split at places of the line and the circle themselves; and not at places beside them."""
    whole = "G21 G90 G17\nG1 X30 Y40 F600\nG2 X30 Y60 I0 J10\nM2"
    parts = "G21 G90 G17\nG1 X3 Y4 F600\nX15 Y20\nX30 Y40\nG2 X20 Y50 J10\nX30 Y60 I10\nM2"
    assert_same_motion(parts, whole)
    assert_same_motion(whole, parts)
    with pytest.raises(AssertionError, match="2 motions new, a straight cut"):
        assert_same_motion(parts.replace("X15 Y20", "X15 Y20.01"), whole)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("G1 X10 F600", "G1 X10.002 F600", "0.002 mm too far right"),
        ("F600", "F606", "a feed of 606 mm/min"),
        ("M8\n", "", "coolant is off, in place of flood"),
        ("G4 P2", "G4 P3", "a wait of 3 s, in place of 2 s"),
        ("M0 (MSG,turn)", "M1 (MSG,turn)", "M1"),
        ("T1 M6", "T2 M6", "cutter T2 is put in"),
        ("G54", "G55", "G55"),
        ("G2 X20 Y0 I5", "G3 X20 Y0 I5", "turns the other way"),
        ("G2 X20 Y0 I5", "G2 X20 Y0 R5.5", "centre of the arc"),
    ],
)
def test_what_a_machine_would_do_otherwise_is_a_difference(old: str, new: str, said: str) -> None:
    text = "G21 G90 G17 G54\nT1 M6\nM3 S9000\nM8\nG4 P2\nG1 X10 F600\nG2 X20 Y0 I5\n(MSG,turn)\nM0\nG0 Z9\nM5\nM2\n"
    text = text.replace("(MSG,turn)\nM0\n", "M0 (MSG,turn)\n")
    assert old in text
    with pytest.raises(AssertionError, match=re.escape(said)):
        assert_same_motion(text.replace(old, new), text)
