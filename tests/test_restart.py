"""A program that goes on where one of a job was stopped: the same motion, the same part, and no guess."""

from __future__ import annotations

import pickle
from itertools import chain

import numpy as np
import own_reader
import pytest
from restart_job import FRONT, MILL, job
from sound_jobs import jobs

import toolpaths as tp
from toolpaths.job.restart.safe_lines import SafeLines

CELL = 2.0
# mm: as printed the ends of an arc lie 0.00028 mm nearer to its centre or further than the arc (number_format.py),
# and the cutter is let down at such an end; a V of 60 degrees makes 1.7 times as much of it in height.
PRINTED = 5e-4


def safe(of: tp.Job, name: str) -> list[int]:
    where = SafeLines(of._job_program(name))
    return [
        line for line in range(1, len(where.of.lines) + 1) if line > where._first_cut_line and not where.why_not(line)
    ]


def line_of(text: str, words: str) -> int:
    return text.splitlines().index(words) + 1


def motions(text: str) -> list[tuple]:
    """All motions as the tests' own reader has them, in exact decimals, with the cutter, its speed and feed; from where
    each comes follows from the one before."""
    acts = chain.from_iterable(done.acts for done in own_reader.read(text))
    return [
        (m.kind, m.end, m.centre, m.turn, m.seconds,
         m.kind == "feed" and (m.after.spindle, m.after.speed, m.after.feed, m.after.cutter), m.line)
        for m in acts if isinstance(m, own_reader.Motion)
    ]  # fmt: skip


@pytest.mark.sample(1, long=5)
@pytest.mark.parametrize("begin", range(16))
@pytest.mark.parametrize(
    ("change", "units", "cycles"),
    [("M6", "mm", "canned"), ("stop", "inch", "canned"), ("files", "mm", "spelled out"), ("M6", "inch", "spelled out")],
)
def test_from_every_safe_line_on_the_motion_is_the_same_to_the_last_digit(change, units, cycles, begin, monkeypatch):
    of = job(change, units, cycles)
    monkeypatch.setattr("toolpaths.job.restart.board_at_line.board_at_line", lambda *_: (None, ()))
    monkeypatch.setattr("toolpaths.job.restart.restart_report.restart_report", lambda *_, **__: None)
    for name, text in of.programs().items():
        whole = motions(text)
        for line in safe(of, name)[begin::16]:
            again = of.restart(name, line=line)
            rest = [each for each in whole if each[-1] >= again.entry]
            tail = motions(again.text)[-len(rest) :]
            assert [each[:-1] for each in tail] == [each[:-1] for each in rest], (name, line)
            assert again.entry <= line and again.text.endswith("M30\n")


def assert_same_part(of: tp.Job, name: str, line: int, cell: float) -> None:
    """What the lines before it and the restart leave is what the program leaves, and nothing new is found."""
    whole = of.report(cell=cell)
    again = of.restart(name, line=line, cell=cell)
    stock = dict(whole.sides)[name].stock
    assert set(again.report.codes()) <= set(whole.codes()), f"{name} {line}: {again.report}"
    for face in ("top", "bottom"):
        assert np.abs(getattr(again.report.stock, face) - getattr(stock, face)).max() < PRINTED, (name, line)


def test_it_makes_the_same_part():
    of = job()
    text = of.programs()["front"]
    for words in ("G83 X8", "G1 Y51.6"):  # in a row of holes, and in a level cut
        assert_same_part(of, "front", line_of(text, words), CELL)


@pytest.mark.sample(0, long=1)
@pytest.mark.parametrize("seed", range(0, 60, 10))
def test_random_sound_jobs_go_on_from_lines_by_lot(seed):
    (made,), _ = jobs(1, seed)
    rng = np.random.default_rng(seed)
    canned = all(side.setup.fixture.machine.codes >= tp.CYCLES for side in made.sides)
    of = tp.Job(
        f"Job {seed}", [side.setup for side in made.sides], units=str(rng.choice(["mm", "inch"])),
        cycles="canned" if canned else "spelled out", tool_change=str(rng.choice(["M6", "stop", "files"])),
    )  # fmt: skip
    for name in of.programs():
        lines = safe(of, name)
        for line in rng.choice(lines, min(3, len(lines)), replace=False).tolist():
            assert_same_part(of, name, line, 1.0)


def test_the_head_says_what_it_is_and_what_is_to_be_looked_after():
    of = job()
    again = of.restart("front", after="tray", cell=CELL)
    lines = again.text.splitlines()
    assert lines[0] == f"(Restart of front, set {of.identity}, from line {again.line})"
    head = "\n".join(lines[: lines.index("(hole)")])
    for said in (
        "Find X0 Y0 and Z0 again", "Look what has come free", "set its Z anew", "Screws in before this program",
        "1. hole", "2. outline", "G17 G21 G40 G49 G54 G80 G90 G94\nG0 Z25", "T1 M6 (flat 6)", "M3 S18000\nG4 P3",
    ):  # fmt: skip
        assert said in head
    assert "tray" not in head.replace("Tray", "") and "T2" not in head
    assert again.report.ok and "Taken to be done: Drive the screws." in again.notes
    assert pickle.loads(pickle.dumps(again)) == again


def test_in_wood_the_cutter_is_let_down_at_the_feed_of_a_plunge_before_the_joint():
    of = job()
    line = line_of(of.programs()["front"], "G1 Y51.6")
    again = of.restart("front", line=line, cell=CELL)
    lines = again.text.splitlines()
    down = lines.index("G1 Z-2.5 F450")
    assert lines[down - 1] == "Z2" and lines[down - 2].startswith("G0 X")
    assert again.entry < line and "F1500" in lines[down + 1]
    assert MILL.running.plunge_mm_min == 450


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("G17 G21 G40", "G17 G40"), ("M3 S18000\n", "S18000\n"), ("S18000", "S1800"), ("T1 M6", "T2 M6"),
        ("Z-2.5 F450", "Z-2.5"), ("X8 Y8, X122", "X9 Y8, X122"), ("G0 Z25\nX0 Y0\n", "X0 Y0\n"),
    ],
)  # fmt: skip
def test_a_mode_left_out_of_the_text_is_found(said, left, monkeypatch):
    """Each is one small edit of a text in which nothing is found."""
    from toolpaths.job.restart import restart_text as module
    from toolpaths.making.writer.program import ProgramText

    of, made = job(), module.restart_text
    line = line_of(of.programs()["front"], "G1 Y51.6")

    def edited(*arguments, **words):
        text = made(*arguments, **words)
        assert said in text.text
        return ProgramText(text.text.replace(said, left, 1), text.sections)

    monkeypatch.setattr(module, "restart_text", edited)
    assert not of.restart("front", line=line, cell=CELL).report.ok


TEXT = job().programs()["front"]


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("Y23 Z-2.3059 F1500", "on the way down into the wood"),
        ("X92 Z-4.9393 I2", "on the way down into the wood"),
        ("X37.8729", "on the way up out of the wood"),
        ("Z-9.84 F450", "lifted there"),
        ("X92 I2", "in the middle of an arc"),
        ("M0", "message of this stop"),
        ("X0 Y0", "nothing is cut before it"),
        ("M30", "nothing is left to be cut"),
    ],
)
def test_where_it_is_not_safe_it_is_said_with_the_nearest_lines_that_are(words, why):
    """The error's own lines are safe, and none between is."""
    line = line_of(TEXT, words)
    with pytest.raises(tp.InputError, match=f"line {line}, {words!r}.*{why}".replace("(", r"\(")) as error:
        job().restart("front", line=line)
    lines = safe(job(), "front")
    for near in [n for n in (max((n for n in lines if n < line), default=0), min(
        (n for n in lines if n > line), default=0)) if n]:  # fmt: skip
        assert f"{near} " in str(error.value).split("nearest")[1]


@pytest.mark.parametrize(
    "line", [n for n, each in enumerate(job("M6", "mm", "spelled out").programs()["front"].splitlines(), 1)
             if each in ("G1 Z-6", "Z-2.054", "Z-1.746")],
)  # fmt: skip
def test_between_two_pecks_it_is_not_begun(line):
    with pytest.raises(tp.InputError, match=r"pecks|rapid"):
        job("M6", "mm", "spelled out").restart("front", line=line)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"line": 100_000}, "beyond the end of front, which has"),
        ({"line": 5}, "in its head"),
        ({"line": 0}, "whole number, 1 or more"),
        ({"line": 60.5}, "whole number"),
        ({"line": True}, "whole number"),
        ({}, "Give line=.*or after="),
        ({"line": 60, "after": "tray"}, "Give line=.*or after="),
        ({"after": "lid"}, "none of the work of front: 1\\. pilots, 2. Drive the screws, 3. tray"),
        ({"after": 6}, "none of the work of front"),
        ({"after": 2.5}, "none of the work of front"),
        ({"after": "outline"}, "nothing is left to be cut"),
    ],
)
def test_bad_input_is_refused_in_words(words, said):
    with pytest.raises(tp.InputError, match=said):
        job().restart("front", **words)


def test_a_name_that_no_program_has_is_refused_with_those_that_there_are():
    with pytest.raises(tp.InputError, match=r"'middle' is not one of 'front'"):
        job().restart("middle", line=60)
    with pytest.raises(tp.InputError, match="'front 1-T2', 'front 2-T1'"):
        job("files").restart("front", line=60)


def test_after_names_an_operation_its_number_or_a_stop():
    of = job()
    by_name, by_number, stop = (
        of.restart("front", after=after, cell=CELL) for after in ("tray", 3, "Drive the screws")
    )
    assert by_name == by_number
    assert stop.line == line_of(TEXT, "M0") + 1 and "M0" not in stop.text.splitlines()
    before = of.restart("front", after=1, cell=CELL)
    assert "M0" in before.text.splitlines() and "Screws in before" not in before.text and before.report.ok


def test_it_is_written_whole_or_not_at_all(tmp_path):
    of = job()
    of.write(tmp_path, cell=CELL)
    again = of.restart("front", after="tray", cell=CELL)
    with pytest.raises(tp.InputError, match="program of set"):
        again.write(tmp_path / "front.nc")
    again.write(tmp_path / "again.nc")
    assert (tmp_path / "again.nc").read_text() == again.text
    assert of.compare(tmp_path) == ()
    finding = tp.simulate(again.text.replace("M3 ", "M5 "), FRONT, [MILL], cell=CELL).findings[0]
    bad = tp.Restart(
        "front", again.line, again.entry, again.text, tp.JobReport((), (tp.SideFinding("front", finding),)), ()
    )
    with pytest.raises(tp.NotSafeError):
        bad.write(tmp_path / "bad.nc")
    assert not (tmp_path / "bad.nc").exists()
