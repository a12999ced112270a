"""The catalogue of planted faults in every form of writing: a fault stays found, on its line, and sound stays sound."""

from __future__ import annotations

import importlib
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path

import pytest
from forms import ALL_FORMS, FORMS, Apart, other_zero, text_of
from hand_programs import PROGRAMS
from hand_programs_more import MORE
from judged_in_forms import FormJudge, in_form, judge_in
from own_reader import Motion, NotRead, line_of_words, read
from planted import Fault, all_faults

BY_HAND = {**PROGRAMS, **MORE}
TOPICS = sorted(path.stem for path in Path(__file__).parent.glob("planted_*.py"))

# (form, code, begin of what) and why the fault is none, or no longer to be seen, in that form. The test holds that
# each of them is needed.
_HEADS_GONE = "the comments that differ are stripped"
NOT_A_FAULT_THERE = {
    ("other hand", "unreadable", "line number too long"): "lines are numbered anew",
    ("other units", "unreadable", "line number too long"): "line numbers are left out",
    ("other zero", "unreadable", "line number too long"): "line numbers are left out",
    ("no cycles", "unknown-code", "pecks"): "the pecks are spelled out",
    ("no cycles", "unknown-code", "a cycle"): "the cycle is spelled out",
    ("incremental", "unknown-code", "incremental"): "the controller knows no G91 at all: nothing is sound there",
    ("by cutter", "after-end", "words after the closing"): "the programs end where the cutter was changed",
    ("by cutter", "head-differs", "depth of an operation"): "the program of another cutter may cut it so deep",
    ("by cutter", "spin-up", ""): "from where the cutter waits the way to the wood takes long enough",
    ("other arcs", "head-differs", ""): _HEADS_GONE,
    ("other arcs", "sides-differ", "back of an older set"): _HEADS_GONE,
    ("other arcs", "sides-differ", "one program of two"): _HEADS_GONE,
    ("other units", "other-units", ""): "the wrong units go over to others as what they are not",
    ("other zero", "other-units", ""): "the zero is moved in the units that the text names, which are the wrong ones",
    ("other zero", "head-differs", ""): _HEADS_GONE,
    ("other zero", "sides-differ", "back of an older set"): _HEADS_GONE,
    ("other zero", "sides-differ", "one program of two"): _HEADS_GONE,
    ("other zero", "sides-differ", "zero at a corner"): "both zeros are moved to the middle, which fits both ways",
}
# Sound texts for which a form is none on their machine.
NOT_SOUND_THERE = {"incremental": ("N10 G17 G21 G90 G94 G40 G49 G80",)}


# Faults that one test goes through.
_AT_ONCE = 12


def _topics() -> list[tuple[str, int]]:
    """Each topic, and from which of its faults on, so many at a time."""
    return [(topic, first) for topic in TOPICS for first in range(0, len(_of(topic)), _AT_ONCE)]


def _of(topic: str) -> list[Fault]:
    return list(importlib.import_module(topic).FAULTS)


def _faults(topic: tuple[str, int]) -> list[Fault]:
    name, first = topic
    return _of(name)[first : first + _AT_ONCE]


def _excused(form: str, fault: Fault, by: Iterable[tuple[str, str, str]] = tuple(NOT_A_FAULT_THERE)) -> bool:
    """Faults of a program by hand are named for it first."""
    what = fault.what.split(", ", 1)[-1] if fault.what.split(", ", 1)[0] in PROGRAMS else fault.what
    return any((form, fault.code) == key[:2] and what.startswith(key[2]) for key in by)


def _not_sound(form: str, text: str) -> bool:
    return any(line in text for line in NOT_SOUND_THERE.get(form, ()))


@pytest.mark.sample(1, long=12)
@pytest.mark.parametrize("topic", _topics(), ids="{0[0]}-{0[1]}".format)
@pytest.mark.parametrize("form", ALL_FORMS)
def test_faults_are_found_in_every_form(form, topic):
    with in_form(form) as judge:
        for fault in _faults(topic):
            if not _excused(form, fault):
                seen, report = _seen(judge, fault)
                assert seen, f"{fault.code}: {fault.what}, line {fault.line}, {form}:\n{report}"


def _seen(judge: FormJudge, fault: Fault) -> tuple[bool, object]:
    """Whether a fault is found on its line, and the report."""
    report = judge_in(judge, fault.judge, fault.text)
    found = [finding for finding in report.findings if finding.code == fault.code]
    return bool(found) and (not fault.line or any(fault.line in (f.line, *f.lines) for f in found)), report


@pytest.mark.sample(2)
@pytest.mark.parametrize("excuse", NOT_A_FAULT_THERE, ids=": ".join)
def test_each_excuse_is_needed(excuse):
    """Some fault that it excuses is not found."""
    form, code, _ = excuse
    with in_form(form) as judge:
        faults = [fault for fault in all_faults() if fault.code == code and _excused(form, fault, [excuse])]
        assert not all(_seen(judge, fault)[0] for fault in faults)


@pytest.mark.sample(3, long=9)
@pytest.mark.parametrize("topic", _topics(), ids="{0[0]}-{0[1]}".format)
@pytest.mark.parametrize("form", ALL_FORMS)
def test_sound_stays_sound_in_every_form(form, topic):
    sound = {(fault.sound, fault.judge): fault for fault in _faults(topic) if fault.sound}
    with in_form(form) as judge:
        for text, judged in sound:
            if not _not_sound(form, text):
                report = judge_in(judge, judged, text)
                assert report.ok, f"before {sound[text, judged].what}, {form}:\n{report}"


@pytest.mark.sample(3, long=39)
@pytest.mark.parametrize("name", BY_HAND)
@pytest.mark.parametrize("form", ALL_FORMS)
def test_a_sound_program_by_hand_is_sound_in_every_form(form, name):
    with in_form(form) as judge:
        report = judge_in(judge, BY_HAND[name].judge, BY_HAND[name].text)
        assert report.ok, f"{form}:\n{report}"


SOUND = sorted({fault.sound for fault in all_faults() if fault.sound and "G" in fault.sound.upper()})


@pytest.mark.sample(1)
@pytest.mark.parametrize("form", ["incremental", "other units", "other hand", "no cycles", "capitals", "small letters"])
def test_a_form_moves_alike(form):
    """The tests' own reader finds the same motions in every text and its form, within what six decimals can say."""
    written = 0
    for text in SOUND:
        try:
            (program,) = FORMS[form](text)
        except Apart:
            continue
        written += 1
        _same(_motions(text), _motions(text_of(program)))
    assert written > 10


def _motions(text: str) -> list[Motion]:
    return [act for done in read(text) for act in done.acts if isinstance(act, Motion) and act.start != act.end]


def _same(before: list[Motion], after: list[Motion]) -> None:
    assert [(m.kind, m.turn) for m in before] == [(m.kind, m.turn) for m in after]
    for one, other in zip(before, after, strict=True):
        assert _numbers(one) == pytest.approx(_numbers(other), abs=0.0005)


def _numbers(motion: Motion) -> list[float]:
    feed = motion.after.feed if motion.kind == "feed" else 0
    return [float(number or 0) for number in (*motion.end, *motion.centre, feed)]


def test_a_zero_moved_there_and_back_is_the_same():
    by = Decimal("12.5"), Decimal(-7), Decimal(18)
    text = PROGRAMS["pilot_holes"].text
    there = text_of(other_zero(text, by)[0])
    back = text_of(other_zero(there, tuple(-way for way in by))[0])
    assert there != text
    _same(_motions(text), _motions(back))


@pytest.mark.parametrize(
    "text", ["G1 X1 X2", "G1 X1.2.3", "G1 X--1", "X", "G1 (a (b)", "hello", "G1 X1 ; y", "G1 X1e3"]
)
def test_the_own_reader_refuses_what_is_no_line(text):
    with pytest.raises(NotRead):
        line_of_words(1, text)


def test_the_own_reader_reads_blanks_case_and_comments():
    line = line_of_words(3, "/n10 g 01 x- 1 .5 (Drive the  Screws) m3")
    assert [word.code for word in line.words] == ["G1", "X-1.5", "M3"]
    assert (line.comments, line.skip) == (("(Drive the  Screws)",), True)
