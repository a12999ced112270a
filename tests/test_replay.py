"""The replay: a page whose numbers cut the board as the judge does, and in which nothing a user wrote is a tag."""

from __future__ import annotations

import json
import re
from base64 import b64decode
from dataclasses import replace
from pathlib import Path

import headless
import numpy as np
import pytest
from restart_job import FRONT, MILL
from restart_job import job as tray
from test_sheet import job as two_sides

import toolpaths as tp
from toolpaths.job.replay import Replay
from toolpaths.judging.simulate import read_for, run_on, uncut
from toolpaths.judging.trial.case import make_case
from toolpaths.show.palette import contrast
from toolpaths.show.replay import page
from toolpaths.show.replay.frames import frames_of
from toolpaths.show.replay.page import ReplayPage
from toolpaths.show.replay.wood_changes import LEVEL, levels

HOSTILE = """</script><script>alert'1'</script> "tray" & lid <!--"""


def shipped(html: str) -> dict:
    (found,) = re.findall(r'<script type="application/json" id="what-happens">(.*?)</script>', html)
    return json.loads(found)


def unpacked(text: str) -> np.ndarray:
    """As the page reads it: seven bits to a byte, the low ones first."""
    found, value, shift = [], 0, 0
    for byte in b64decode(text):
        value |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            found.append(value)
            value = shift = 0
    return np.array(found)


def signed(numbers: np.ndarray) -> np.ndarray:
    return np.where(numbers % 2, -(numbers + 1) // 2, numbers // 2)


def steps(text: str) -> np.ndarray:
    return np.cumsum(signed(unpacked(text)))


def faces(data: dict, until: int) -> tuple[np.ndarray, np.ndarray]:
    """Both faces in steps of height as the page has them when so many frames are done, one row of cells at a time."""
    top, bottom = (np.repeat(steps(data[face]["level"]), unpacked(data[face]["count"])) for face in ("top", "bottom"))
    first, cells = signed(unpacked(data["changes"]["first"])), unpacked(data["changes"]["cells"])
    level, row = steps(data["changes"]["level"]), 0
    levels_until = np.cumsum(cells)
    for rows in unpacked(data["changes"]["rows"])[:until].tolist():
        end = 0
        for _ in range(rows):
            begin = end + first[row]
            end = begin + cells[row]
            fallen = level[levels_until[row] - cells[row] : levels_until[row]]
            assert (top[begin:end] > fallen).all(), "wood only goes away"
            top[begin:end] = fallen
            row += 1
    return top, bottom


@pytest.fixture(scope="module")
def report() -> tp.JobReport:
    return tray().report(cell=2.0)


@pytest.fixture(scope="module")
def made(report) -> Replay:
    return tray().replay("front", report=report)


@pytest.fixture(scope="module")
def data(made) -> dict:
    return shipped(made.page)


@pytest.mark.long
def test_the_page_cuts_the_board_as_the_judge_does_up_to_any_line(data):
    """Within half a step of height, in every cell, at the end and after each piece of work."""
    line = steps(data["frames"]["line"])
    cell = data["grid"]["cell"]
    for work in ("pilots", "tray", "hole"):
        wood = tray().wood_after("front", work, cell=cell)
        (begins,) = (number for number, kind, what in data["marks"] if kind == "work" and what == work)
        follows = min([number for number, kind, _ in data["marks"] if kind == "work" and number > begins])
        top, bottom = faces(data, int(np.searchsorted(line, follows - 1, "right")))
        assert np.abs(top * LEVEL - wood.top.reshape(-1)).max() <= LEVEL / 2 + 1e-3
        assert np.abs(bottom * LEVEL - wood.bottom.reshape(-1)).max() <= LEVEL / 2 + 1e-3
    end = tp.simulate(tray().programs()["front"], FRONT, tray().setups[0].cutters, cell=cell).stock
    assert np.abs(faces(data, len(line))[0] * LEVEL - end.top.reshape(-1)).max() <= LEVEL / 2 + 1e-3


def test_the_page_takes_as_long_as_the_report_says(data, report):
    time = steps(data["frames"]["time"]) * data["frames"]["second"]
    assert time[-1] == pytest.approx(report.sides[0][1].seconds, abs=2e-3) and (np.diff(time) >= 0).all()


def test_it_leads_to_each_piece_of_work_and_each_stop(data):
    text = tray().programs()["front"].splitlines()
    said = {(kind, what): number for number, kind, what in data["marks"]}
    assert [what for kind, what in said if kind == "work"] == ["pilots", "tray", "hole", "outline"]
    assert all(text[number - 1] == f"({what})" for (kind, what), number in said.items() if kind == "work")
    assert text[said["stop", "Drive the screws"] - 1] == "M0"
    assert data["lines"] == text


def test_nothing_that_a_user_wrote_is_taken_for_a_tag():
    operation = replace(tray().setups[0].operations[1], name="a</script><script>alert 2</script>")
    job = tp.Job(HOSTILE, [tp.Setup(replace(FRONT, screws=()), [operation])])
    html = job.replay("front", report=job.report(cell=2.0)).page
    assert html.count("<script") == html.count("</script>") == 2 and "<!--" not in html and html.isascii()
    assert "alert 2" in html and "&lt;script&gt;alert&#x27;1" in html
    assert not re.search(r"https?:|url\(|src=|fetch|XMLHttp|import ", html)


def test_the_same_job_gives_the_same_bytes():
    again = tp.Job("Tray", tray().setups)
    assert again.replay("front", report=again.report(cell=2.0)) == tray().replay(
        "front", report=tray().report(cell=2.0)
    )


def test_it_is_written_whole_and_never_over_a_program(made, tmp_path):
    made.write(tmp_path / "front.html")
    assert (tmp_path / "front.html").read_text("ascii") == made.page and len(list(tmp_path.iterdir())) == 1
    (tmp_path / "front.nc").write_text(tray().programs()["front"])
    with pytest.raises(tp.InputError, match="is a program of set"):
        made.write(tmp_path / "front.nc")


def test_what_cannot_be_played_is_an_error():
    with pytest.raises(tp.InputError, match="program='back'"):
        tray().replay("back")
    other = tp.Job("Other", [replace(tray().setups[0], name="other")])
    with pytest.raises(tp.InputError, match="of another job"):
        tray().replay("front", report=other.report(cell=2.0))
    with pytest.raises(tp.InputError, match="moves nothing"):
        _page("G21 G90\nM30\n")


def test_a_program_of_very_many_movements_is_thinned_and_says_so():
    """So many movements are one frame, and in the end all the wood is gone that the program takes."""
    text = "G21 G90\nT1 M6\nM3 S18000\nG0 X10 Y10 Z5\nG1 Z-2 F600\n"
    text += "".join(f"X{10 + at % 100} Y{10 + at / 100:.2f}\n" for at in range(2000)) + "G0 Z5\nM30\n"
    case = _trial(text).case
    frames = frames_of(case, 500)
    assert len(frames.seconds) <= 500 and frames.every == 5
    assert frames.place[:, -1].tolist() == case.moves.path[3:6, -1].tolist()
    assert frames.seconds[-1] == pytest.approx(frames_of(case).seconds[-1])


def test_findings_are_listed_with_their_lines_and_those_of_the_whole_program_too():
    text = "G21 G90\nT1 M6\nM5\nG0 X10 Y10 Z5\nG1 Z-2 F600\nX60\nG0 Z5\nM30\n"
    found = tp.simulate(text, tp.Fixture(board=FRONT.board), [MILL], cell=1.0).findings
    whole = replace(found[0], line=0, code="whole")
    data = shipped(ReplayPage("Tray", "0", "front", text, _trial(text), (whole, *found)).html()[0])
    said = [(line, what) for line, kind, what in data["marks"] if kind == "finding"]
    assert [line for line, _ in said] == sorted([0, *(each.line for each in found)])
    assert all(any(each.message in what for _, what in said) for each in found)
    many = ReplayPage("Tray", "0", "front", text, _trial(text), found * 300)
    assert f"Of {300 * len(found)} findings the first 200 are listed." in many.html()[1]


def test_what_is_found_against_the_job_as_a_whole_stands_with_its_programs():
    """A pane for which nothing is cut is in no program's way, and whoever plays one has to know of it."""
    pane = tp.goes_in(tp.rectangle(20, 10, (60, 40)), 3, fit=0.2, name="pane")
    job = replace(tray(), contents=[pane])
    report = job.report(cell=1.0)
    (whole,) = [found.finding for found in report.findings if not found.side]
    for name in job.programs():
        marks = shipped(job.replay(name, report=report).page)["marks"]
        assert any(kind == "finding" and line == 0 and whole.message in what for line, kind, what in marks)


@pytest.mark.long
def test_each_program_of_two_sides_cuts_what_the_judge_says_it_cuts():
    job = replace(two_sides(), tool_change="files")
    report = job.report(cell=1.0)
    for number, name in enumerate(job.programs()):
        data = shipped(job.replay(name, report=report).page)
        (_, after) = job.report(cell=data["grid"]["cell"]).sides[number]
        shown = faces(data, len(steps(data["frames"]["time"])))
        for face, wood in zip(shown, (after.stock.top, after.stock.bottom)):
            assert np.abs(face * LEVEL - wood.reshape(-1)).max() <= LEVEL / 2 + 1e-3, name


def _trial(text: str):
    fixture = tp.Fixture(board=FRONT.board)
    return run_on(uncut(fixture, 1.0), make_case(read_for(text, fixture), fixture, [MILL]), None, 0.0)


def _page(text: str) -> ReplayPage:
    return ReplayPage("Tray", "0", "front", text, _trial(text), ())


def test_heights_are_whole_steps():
    assert levels(np.array([0.0, -0.02, -0.03, -12.3])).tolist() == [0, 0, -1, -246]


def test_where_no_browser_is_installed_the_tests_in_one_fail_and_say_how_it_is(monkeypatch):
    monkeypatch.setattr(headless, "which", lambda name: None)
    with pytest.raises(RuntimeError, match="apt-get install chromium chromium-driver"), headless.opened():
        pass


def test_words_and_lines_stand_out_from_what_is_behind_them():
    """By 4.5 to 1 for words, 3 to 1 for the edges of controls (WCAG 2.2, 1.4.3 and 1.4.11)."""
    style = (Path(page.__file__).parent / "replay.css").read_text()
    words = re.findall(r"(?<![-\w])color: (#\w+);", style)
    edges = re.findall(r"(?:border[-\w]*|outline): [^;]*?(#\w+)", style)
    assert len(words) >= 3 and len(edges) >= 5
    behind = ["#ffffff", "#efebe3"]
    six = {colour: "#" + "".join(2 * each for each in colour[1:]) if len(colour) == 4 else colour
           for colour in (*words, *edges)}  # fmt: skip
    assert min(contrast(six[colour], other) for colour in words for other in behind) >= 4.5
    assert min(contrast(six[colour], other) for colour in edges for other in behind) >= 3
