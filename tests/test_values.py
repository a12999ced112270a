"""What judging yields is a value: equal when made alike, pickled whole, not to be written to, shown in a line."""

from __future__ import annotations

import pickle
import subprocess
import sys
from dataclasses import FrozenInstanceError, replace
from math import nan
from pathlib import Path

import pytest
from planted_first import FRONT, RACK, judge_front
from planted_first import SOUND as FRONT_TEXT

from toolpaths import tolerance_study, verify
from toolpaths.base.values import alike
from toolpaths.judging.reader.read import read_all

ROOT = Path(__file__).resolve().parents[1]
FAULTY = (
    FRONT_TEXT.replace("G1 Z-8", "G1 Z-18.8", 1)
    .replace("M30", "X\nG4 P400\nM30")
    .replace("G21 G90 G17 G94", "G21 G90 G17 G94\nT77 M6")
)


def report_of(text: str):
    return judge_front(text)


@pytest.fixture(scope="module", params=[FRONT_TEXT, FAULTY], ids=["sound", "faulty"])
def report(request):
    return report_of(request.param)


def test_a_report_made_twice_is_equal_and_one_of_another_program_is_not(report):
    again = report_of(FRONT_TEXT if report.ok else FAULTY)
    assert again == report and again is not report and hash(again) == hash(report)
    assert report != report_of(FRONT_TEXT.replace("G1 Z-8", "G1 Z-7.9", 1))
    assert report != replace(report, seconds=report.seconds + 1)


def test_a_pickled_report_is_equal_and_still_not_to_be_written_to(report):
    again = pickle.loads(pickle.dumps(report))
    assert again == report and hash(again) == hash(report)
    assert again.findings == report.findings and again.json() == report.json() and str(again) == str(report)
    with pytest.raises(ValueError, match="read-only"):
        again.stock.top[0, 0] = 1
    with pytest.raises(FrozenInstanceError):
        again.seconds = 0


@pytest.mark.long
def test_a_finding_without_a_place_is_equal_to_its_like_from_another_process():
    findings = [finding for finding in report_of(FAULTY) if finding.place[0] != finding.place[0]]
    assert findings, "none has an unknown place: this would hold of nothing"
    code = "import sys, pickle; sys.stdout.buffer.write(pickle.dumps(pickle.load(sys.stdin.buffer)))"
    given = pickle.dumps(findings)
    back = subprocess.run([sys.executable, "-c", code], input=given, capture_output=True, check=True, cwd=ROOT).stdout
    assert pickle.loads(back) == findings


def test_a_report_iterates_over_its_findings(report):
    assert list(report) == list(report.findings)
    assert len(report) == len(report.findings)
    assert (len(report) == 0) == report.ok


def test_a_judgement_is_no_yes_or_no(report):
    of_job = verify([(FRONT_TEXT, FRONT)], RACK, cell=1.0)
    study = tolerance_study([(FRONT_TEXT, FRONT)], RACK, zero_z=0.1, cell=2.0)
    for judgement in (report, of_job, study):
        with pytest.raises(TypeError, match=f"A {type(judgement).__name__} is neither true nor false; ask .ok"):
            bool(judgement)


def test_every_value_is_shown_in_a_line(report):
    program = read_all(FAULTY)
    for value in (report, report.stock, program, program.motions, *report.findings):
        shown = repr(value)
        assert len(shown) <= 120 and "\n" not in shown and shown.startswith(f"<{type(value).__name__}: ")


def test_programs_read_twice_are_equal_and_pickle():
    program = read_all(FAULTY)
    assert program.errors and any(event for event in program.events)
    assert read_all(FAULTY) == program == pickle.loads(pickle.dumps(program))
    assert read_all(FRONT_TEXT) != program
    with pytest.raises(ValueError, match="read-only"):
        program.motions.end[0, 0] = 1


def test_what_says_the_same_is_alike():
    assert alike((nan, (1.0, nan)), (float("nan"), (1.0, float("nan"))))
    assert alike(ValueError("a", 1), ValueError("a", 1))
    assert not alike((nan, 1.0), (nan, 2.0))
    assert not alike((1, 2), (1, 2, 3))
    assert not alike(ValueError("a"), ValueError("b"))
    assert not alike(nan, 1.0)
