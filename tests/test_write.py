"""The written text: read back it is the motion meant, it is plain, and it is safe at every wait.

Language: NISTIR 6556; the sections stand beside the checks (reference section 1).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache
from math import asin, pi, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import (
    BALL,
    BOARD,
    DRILL3,
    FRONT,
    MIDDLE,
    SHAPES,
    T3,
    T6,
    VEE,
    on_circle,
    run_text,
    segments,
)
from shapely import LineString, box

import toolpaths as tp
from samples import examples
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.machine import ALL_CODES, ARCS, CYCLES
from toolpaths.judging.reader.motions import ARC, DWELL, FEED
from toolpaths.judging.reader.motions import RAPID as READ_RAPID
from toolpaths.making.motion.toolpath import CUT, RAPID, Move, Toolpath
from toolpaths.making.operations.operation import Operation, Site
from toolpaths.making.plan.steps import Step
from toolpaths.making.writer.program import _check_lines, program, programs_by_cutter
from toolpaths.shapes.placement import Placement

DIGIT = {"mm": 1e-4, "inch": 2.54e-4}
WORDS = re.compile(r"(?:[GMTXYZIJFSPQR]-?(?:\d+\.?\d*|\.\d+) ?)+(?:\(.*\))?|\(.*\)")
MESSAGE = "Drive the screws"
SCREWED = tp.Fixture(board=BOARD, screws=tp.screws([(12, 12)], head_diameter=9, height=2, driven_at=MESSAGE))


@cache
def whole_job(fixture: tp.Fixture = SCREWED, below: float = 0.0) -> tp.Setup:
    """Every operation there is, four cutters, a stop, tabs."""
    return tp.Setup(
        fixture,
        work=(
            tp.drill([(12, 12), (50, 20)], DRILL3, depth=below + 6, peck=2, from_depth=below),
            tp.stop(MESSAGE),
            tp.drill([(60, 20), (70, 20)], DRILL3, depth=below + 3, dwell_s=0.5, from_depth=below),
            tp.groove(tp.circle(30, (40, 100)), BALL, depth=below + 2, from_depth=below),
            tp.pocket(SHAPES["L"], [T6, T3], depth=below + 4, from_depth=below),
            tp.chamfer(tp.circle(20, (120, 90)), VEE, width=1, side="inside", from_depth=below),
            tp.bore([(150, 100)], 10, T6, depth=below + 5, from_depth=below),
            tp.contour(
                tp.ellipse(150, 110, MIDDLE),
                T6,
                depth=tp.through(0.3),
                tabs=tp.Tabs(width=6, height=3, count=3),
                from_depth=below,
            ),
        ),
    )


def meant(setup: tp.Setup) -> list[tuple[int, tuple[float, float, float], float]]:
    """(kind, end, sweep) of each cut of a setup, holes apart, as the reader should see them."""
    zero = setup.fixture.zero
    found = []
    for step in setup.steps:
        if isinstance(step, Step):
            for _, move, _ in segments(step.path):
                if move.kind == CUT:
                    end = (move.x - zero[0], move.y - zero[1], move.z - zero[2])
                    found.append((ARC if move.sweep else FEED, end, move.sweep))
    return found


@dataclass(frozen=True, kw_only=True, repr=False)
class Moves(Operation):
    """Work whose motion is given."""

    path: Toolpath
    depth: float = 1.0

    def _check(self) -> None:
        pass

    @property
    def cutters_in_turn(self) -> tuple[tp.Cutter, ...]:
        return (self.path.cutter,)

    @property
    def _usual_name(self) -> str:
        return "moves"

    @property
    def drawn(self) -> LineString:
        return LineString([(move.x, move.y) for move in self.path.moves[:1]] * 2)

    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        raise AssertionError("moves are not put elsewhere here")

    def toolpath(self, cutter: tp.Cutter, site: Site) -> Toolpath:
        return self.path

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        return ()


def path_setup(moves: list[Move], fixture: tp.Fixture = FRONT, tolerance: float = 0.01) -> tp.Setup:
    """A setup of nothing but these moves."""
    return tp.Setup(fixture, work=(Moves(path=Toolpath(T6, tuple(moves))),), tolerance=tolerance)


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_program_read_back_is_what_was_meant_within_half_a_digit(units):
    setup = whole_job()
    read = tp.read(tp.program_text(setup, units=units)).motions
    cut = ((read.kind == FEED) | (read.kind == ARC)) & (read.cycle == 0)
    wanted = meant(setup)

    # Moves shorter than a digit are not written, arcs shorter than 0.005 mm as lines.
    assert len(wanted) * 0.9 <= cut.sum() <= len(wanted)
    ends = np.array([end for _, end, _ in wanted])
    index = 0
    for end, sweep, kind in zip(read.end[cut], read.sweep[cut], read.kind[cut]):
        while np.abs(ends[index] - end).max() > DIGIT[units] / 2 + 1e-9:
            index += 1
            assert index < len(ends), f"no move was meant to end at {end}"
        if kind == ARC:
            assert sweep == pytest.approx(wanted[index][2], abs=0.2)
    assert index >= len(ends) - 3


@pytest.mark.long
def test_program_is_the_same_bytes_twice():
    assert tp.program_text(whole_job()) == tp.program_text(whole_job())
    assert tp.texts_by_cutter(whole_job()) == tp.texts_by_cutter(whole_job())


def test_programs_in_mm_and_inches_are_the_same_motion():
    first = tp.read(tp.program_text(whole_job(), units="mm"))
    second = tp.read(tp.program_text(whole_job(), units="inch"))
    a, b = first.motions, second.motions

    assert (first.units, second.units) == ("mm", "inch")
    both = min(len(a), len(b))
    assert abs(len(a) - len(b)) <= 0.01 * both
    if len(a) == len(b):
        assert np.abs(a.end - b.end).max() <= 1e-3
        assert a.feed_mm_min == pytest.approx(b.feed_mm_min, abs=0.5)
    assert a.seconds.sum() == b.seconds.sum()


@pytest.mark.sample(3)
@pytest.mark.parametrize("units", ["mm", "inch"])
@pytest.mark.parametrize("cycles", ["canned", "spelled out"])
@pytest.mark.parametrize("tool_change", ["M6", "stop"])
def test_program_holds_only_words_of_the_subset_on_short_lines(units, cycles, tool_change):
    """At most 256 characters a line (3.3), no exponent, no NaN (3.3.2.1)."""
    text = tp.program_text(whole_job(), units=units, cycles=cycles, tool_change=tool_change)

    assert text.isascii() and text.endswith("M30\n")
    for line in text.splitlines():
        assert len(line) <= 256 and WORDS.fullmatch(line), line
        codes = set(re.findall(r"[GM]\d+", re.sub(r"\(.*\)", "", line)))
        assert codes <= ALL_CODES, line
    assert ("M6" in text) == (tool_change == "M6")


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_program_is_modal_and_short(units):
    """No word is repeated that still holds, no axis word stands where the axis does not move."""
    lines = [re.sub(r"\(.*\)", "", s).strip() for s in tp.program_text(whole_job(), units=units).splitlines()]
    lines = [line for line in lines if line]

    at: dict[str, str] = {}
    for line in lines:
        words = dict(re.findall(r"([XYZF])(-?[\d.]+)", line))
        if line.startswith(("G8", "G98", "G99")) or line == "M0" or "M6" in line:
            # A cycle moves Z by itself; at a wait the cutter may be moved.
            at = {"F": words.get("F", at.get("F", ""))}
            continue
        # An arc must name one end word, even of a half turn back to the same X or Y.
        checked = "ZF" if "I" in line or "J" in line else "XYZF"
        assert not [letter for letter, word in words.items() if letter in checked and at.get(letter) == word], line
        at |= words
    assert not [line for line in lines if re.search(r"\.\d*0( |$)|-0( |$)", line)]


@pytest.mark.long
def test_program_simulated_is_sound():
    for how in ({}, {"units": "inch"}, {"cycles": "spelled out"}, {"tool_change": "stop"}):
        setup = whole_job()
        report = tp.simulate(tp.program_text(setup, **how), SCREWED, setup.cutters, cell=0.5)
        assert report.ok, str(report)


@pytest.mark.parametrize("tool_change", ["M6", "stop"])
def test_program_waits_with_the_spindle_off_and_starts_it_again(tool_change):
    text = tp.program_text(whole_job(), tool_change=tool_change)
    lines = [line for line in text.splitlines() if not line.startswith("(")]

    running = False
    for line in lines:
        if re.match(r"M3 ", line):
            running = True
        elif line == "M5":
            running = False
        elif line == "M0" or "M6" in line or line == "M30":
            assert not running
        elif re.match(r"G[123]\b|G8[123]", line):
            assert running, line
    assert lines[-1] == "M30"


def test_program_dwells_after_every_start_of_the_spindle():
    lines = tp.program_text(whole_job()).splitlines()

    starts = [i for i, line in enumerate(lines) if line.startswith("M3 ")]
    assert len(starts) >= 5
    assert all(re.fullmatch(r"G4 P\d+", lines[i + 1]) for i in starts)


@pytest.mark.parametrize("tool_change", ["M6", "stop"])
def test_program_goes_up_first_after_every_wait(tool_change):
    """The operator may have jogged the cutter or set Z0 anew: no move across before one up (once a fault)."""
    lines = tp.program_text(whole_job(), tool_change=tool_change).splitlines()

    waits = [i for i, line in enumerate(lines) if line == "M0" or re.match(r"T\d+ M6", line)]
    assert len(waits) >= 5
    for i in waits:
        following = next(line for line in lines[i + 1 :] if re.search(r"[XYZ]-?\d", re.sub(r"\(.*\)", "", line)))
        assert re.fullmatch(r"G0 Z\d+(\.\d+)?", following), following


@pytest.mark.long
def test_program_crosses_the_board_by_level_rapids_at_the_link_height_or_higher():
    read = tp.read(tp.program_text(whole_job(), cycles="spelled out")).motions
    rapid = read.kind == READ_RAPID
    across = rapid & (read.start[:, :2] != read.end[:, :2]).any(axis=1)
    # The first move of all is from a place that the text does not know.
    across[:2] = False

    assert across.sum() > 10
    heights = read.start[across][:, 2]
    assert set(heights[heights > 0]) == {SCREWED.link_z, SCREWED.safe_z, SCREWED.wait_z}
    # Below the top only where the wood is gone.
    job = whole_job()
    assert "rapid-in-wood" not in {f.code for f in tp.simulate(tp.program_text(job), SCREWED, job.cutters).findings}
    assert (read.start[across][:, 2] == read.end[across][:, 2]).all()
    assert read.end[rapid][:, 2].min() >= -8


def test_program_follows_a_change_of_speed_without_a_change_of_cutter():
    """The same cutter run at another speed: S anew, no second M6 (both once faults)."""
    slower = replace(T6, spindle_rpm=12000, feed_mm_min=1000)
    work = [tp.contour(SHAPES["circle"], T6, depth=2), tp.contour(box(70, 50, 110, 80), slower, depth=2)]
    text, report = run_text(work)

    assert report.ok, str(report)
    assert text.count(" M6 (") == 1
    assert re.findall(r"M3 S(\d+)", text) == ["18000", "12000"]
    assert set(np.unique(tp.read(text).motions.spindle_rpm)) >= {12000.0, 18000.0}


def test_texts_by_cutter_are_one_program_for_each_run_of_a_cutter():
    setup = whole_job()
    texts = tp.texts_by_cutter(setup)

    assert list(texts) == ["1-T6", "2-T4", "3-T1", "4-T2", "5-T5", "6-T1"]
    together = tp.read(tp.program_text(setup)).motions
    apart = [tp.read(text).motions for text in texts.values()]
    cutting = sum(int(((m.kind == FEED) | (m.kind == ARC)).sum()) for m in apart)
    assert cutting == int(((together.kind == FEED) | (together.kind == ARC)).sum())
    for text in texts.values():
        assert "M6" not in text and text.rstrip().endswith("M30")
        assert len(set(re.findall(r"^\(T(\d+): ", text, re.M))) == 1


THREE = [tp.pocket(box(20 + 60 * n, 40, 60 + 60 * n, 80), T6, depth=depth) for n, depth in enumerate((2, 5, 3))]


@pytest.mark.sample(2)
@pytest.mark.parametrize("how", [{}, {"units": "inch"}, {"cycles": "spelled out"}, {"tool_change": "stop"}], ids=str)
def test_sections_hold_every_cut_of_a_program_and_name_its_step(how):
    setup = whole_job()
    written = program(setup, **how)
    lines = written.text.splitlines()

    assert written.text == tp.program_text(setup, **how)
    steps = [(n, step) for n, step in enumerate(setup.steps) if isinstance(step, Step)]
    assert [(s.step, s.operation, s.cutter) for s in written.sections] == [
        (n, step.name, step.path.cutter.number) for n, step in steps
    ]
    assert [lines[s.first_line - 1] for s in written.sections] == [f"({step.name})" for _, step in steps]
    for before, after in zip(written.sections, written.sections[1:]):
        assert before.first_line < before.last_line < after.first_line
    motions = tp.read(written.text).motions
    cutting = set(motions.line[(motions.kind == FEED) | (motions.kind == ARC)].tolist())
    assert len(cutting) > 100
    assert all(written.section_at(line) for line in cutting)
    waits = [n for n, line in enumerate(lines, start=1) if line in ("M0", "M30") or "M6" in line or line[:3] == "M3 "]
    assert len(waits) > 5 and not any(written.section_at(line) for line in [1, *waits])


@pytest.mark.long
def test_section_at_a_line_tells_operations_of_one_name_apart():
    setup = tp.Setup(FRONT, THREE)
    written = program(setup)

    assert len({section.operation for section in written.sections}) == 1
    motions = tp.read(written.text).motions
    low = motions.end[:, 2] < 0
    at, lines = motions.end[low, 0], motions.line[low].tolist()
    assert len(lines) > 30
    assert [written.section_at(line).step for line in lines] == ((at - 20) // 60).tolist()


def test_sections_of_programs_by_cutter_name_the_steps_of_the_setup():
    setup = whole_job()
    written = programs_by_cutter(setup)

    assert {name: one.text for name, one in written.items()} == tp.texts_by_cutter(setup)
    named = [section.step for one in written.values() for section in one.sections]
    assert named == [n for n, step in enumerate(setup.steps) if isinstance(step, Step)]
    for one in written.values():
        for section in one.sections:
            assert one.text.splitlines()[section.first_line - 1] == f"({setup.steps[section.step].name})"


def test_program_for_a_controller_without_arcs_is_lines_within_the_tolerance():
    """It was refused, with no way on (once a fault)."""
    plain = tp.Fixture(board=BOARD, machine=tp.Machine(codes=ALL_CODES - ARCS))
    shape = tp.circle(70, MIDDLE, tolerance=0.0001)
    text, report = run_text([tp.contour(shape, T6, depth=3, entry="ramp")], fixture=plain)
    read = tp.read(text).motions

    assert report.ok and not re.search(r"^G[23]\b", text, re.M)
    low = (read.kind == FEED) & (read.end[:, 2] == -3) & (read.start[:, 2] == -3)
    for share in (0.0, 0.5):
        at = read.start[low] * (1 - share) + read.end[low] * share
        assert np.abs(np.hypot(at[:, 0] - 100, at[:, 1] - 70) - 38).max() <= 0.01
    assert low.sum() > 100


@pytest.mark.parametrize(("lacking", "screws"), [(CYCLES, ()), ({"G98"}, [(50, 62)]), ({"G99"}, ())])
def test_program_for_a_controller_without_cycles_says_to_spell_them_out(lacking, screws):
    """G98 is written where a screw stands beside the first hole, G99 where none does."""
    standing = tp.screws(screws, head_diameter=19, height=3) if screws else ()
    plain = tp.Fixture(board=BOARD, machine=tp.Machine(codes=ALL_CODES - lacking), screws=standing)
    setup = tp.Setup(plain, work=(tp.drill([(50, 50), (80, 50)], DRILL3, depth=5),))

    with pytest.raises(tp.InputError, match=r"does not understand G\d\d; use cycles='spelled out'"):
        tp.program_text(setup)
    assert tp.read(tp.program_text(setup, cycles="spelled out"))


def test_program_for_a_controller_without_tool_changes_says_to_stop():
    plain = tp.Fixture(board=BOARD, machine=tp.Machine(codes=ALL_CODES - {"M6"}))
    setup = tp.Setup(plain, work=(tp.drill([(50, 50)], DRILL3, depth=5),))

    with pytest.raises(tp.InputError, match="tool_change='stop'"):
        tp.program_text(setup)
    assert "(MSG, Fit T6 drill 3 118 deg" in tp.program_text(setup, tool_change="stop")


@pytest.mark.sample(1, long=4)
@pytest.mark.parametrize("corner", ["lower left", "lower right", "upper left", "upper right", "centre"])
@pytest.mark.parametrize("surface", ["top", "spoilboard"])
def test_zero_anywhere_gives_the_same_cut(corner, surface):
    """The motion differs by the zero alone; the wood left is the same."""
    fixture = replace(SCREWED, zero_at=corner, zero_on=surface)
    here, there = whole_job(), whole_job(fixture)
    a, b = (tp.read(tp.program_text(setup)).motions for setup in (here, there))

    # Before the first move across, X and Y are not known.
    assert len(a) == len(b)
    shift = np.array(fixture.zero)
    assert np.abs(a.end[3:] - b.end[3:] - shift).max() <= 1.01e-4
    first = tp.simulate(tp.program_text(here), SCREWED, here.cutters, cell=0.5)
    second = tp.simulate(tp.program_text(there), fixture, there.cutters, cell=0.5)
    assert second.ok, str(second)
    # A cell whose centre lies within a digit of the cutter's edge may fall to either side.
    assert (np.abs(first.stock.top - second.stock.top) > 1e-3).mean() < 1e-3


arcs = st.tuples(
    st.floats(20, 180), st.floats(20, 120), st.floats(0.001, 3).map(lambda e: 10**e / 10), st.floats(-pi, pi),
    st.one_of(st.floats(0.0001, pi), st.floats(1e-9, 1e-3)), st.booleans(), st.floats(-3, -1),
)  # fmt: skip


@examples(40)
@given(st.lists(arcs, min_size=20, max_size=60), st.sampled_from(["mm", "inch"]))
def test_arcs_of_any_size_pass_the_radius_tolerance_and_keep_their_sweep(drawn, units):
    """0.002 mm, 0.0002 inch (3.5.3.2), read strictly; a short arc never becomes a full turn (once a fault)."""
    moves = [Move(RAPID, 0, 0, 5.0)]
    sweeps = []
    for x, y, radius, angle, size, left, z in drawn:
        start = on_circle((x, y), radius, angle)
        sweep = size if left else -size
        end = on_circle((x, y), radius, angle + sweep)
        moves += [Move(RAPID, *start, 5.0), Move(CUT, *start, z, 500.0)]
        moves += [Move(CUT, *end, z - 0.5, 900.0, (x, y), sweep), Move(RAPID, *end, 5.0)]
        sweeps.append((sweep, radius))
    huge = tp.Board(width=3000, height=3000, thickness=18)
    fixture = tp.Fixture(board=huge, overhang=2000.0)
    read = tp.read(tp.program_text(path_setup(moves, fixture), units=units)).motions

    downs = np.flatnonzero((read.kind == FEED) | (read.kind == ARC))
    # Each arc ends half a millimetre lower than the plunge before it, whether written as arc or line.
    found = [i for i in downs if abs(read.start[i][2] - read.end[i][2] - 0.5) < 1e-3]
    assert len(found) == len(sweeps)
    for i, (sweep, radius) in zip(found, sweeps):
        length = abs(sweep) * radius
        written = abs(read.sweep[i]) * np.hypot(*(read.start[i] - read.centre[i])[:2]) if read.kind[i] == ARC else (
            np.hypot(*(read.end[i] - read.start[i])[:2])
        )  # fmt: skip
        assert written == pytest.approx(length, abs=0.006)


def test_program_with_a_number_that_is_none_is_refused():
    for bad in (float("nan"), float("inf"), 1e9):
        moves = [Move(RAPID, 10, 10, 5.0), Move(CUT, 10, 10, bad, 500.0), Move(RAPID, 10, 10, 5.0)]
        setup = path_setup([*moves[:1], Move(CUT, 10, 10, -1.0, 500.0), moves[2]])
        object.__setattr__(setup.steps[0], "path", Toolpath(T6, tuple(moves)))
        with pytest.raises(tp.InputError, match="no number that a machine can go to"):
            tp.program_text(setup)


@pytest.mark.parametrize(("line", "fits"), [("G1 X1", True), ("(" + 254 * "a" + ")", True), (257 * "x", False),
                                            ("(é)", False)])  # fmt: skip
def test_no_line_is_longer_or_other_than_controllers_read(line, fits):
    """256 characters of plain ASCII; whatever wrote it."""
    if fits:
        return _check_lines(["%", line])
    with pytest.raises(tp.InputError, match="Line 2"):
        _check_lines(["%", line])


def test_program_with_a_feed_that_rounds_to_nothing_is_refused():
    """F0 is an error of the language (1.6)."""
    setup = path_setup([Move(RAPID, 50, 50, 5.0), Move(CUT, 50, 50, -1, 0.004), Move(RAPID, 50, 50, 5.0)])

    with pytest.raises(tp.InputError, match="too slow to be written"):
        tp.program_text(setup)


@pytest.mark.parametrize("wrong", [{"units": "cm"}, {"cycles": "none"}, {"tool_change": "T"}], ids=str)
def test_program_wrong_choice_is_refused(wrong):
    with pytest.raises(tp.InputError):
        tp.program_text(whole_job(), **wrong)


def test_program_drills_with_the_cycle_that_says_what_is_done():
    """G81 plain, G82 with a dwell, G83 with pecks (3.5.16)."""
    text = tp.program_text(whole_job())

    assert re.search(r"^G83 X50 Y20 Z-6 R2 Q2 F250\nG83 X12 Y12$", text, re.M)
    assert re.search(r"^G82 X70 Y20 Z-3 R2 P0\.5\nG82 X60$", text, re.M)
    assert text.count("G80\n") == 2
    assert (tp.read(text).motions.kind == DWELL).sum() >= 2


def test_program_writes_an_arc_that_hardly_bulges_as_a_line():
    """0.01 mm of a circle of 200 m came out with I and J that leave its direction to chance (once a fault)."""
    start, end = (100.0, 50.0), (100.0, 50.01)
    radius = 200.0
    sweep = 2 * asin(0.01 / 2 / radius)
    centre = (100.0 - sqrt(radius**2 - 0.005**2), 50.005)
    moves = [
        Move("rapid", *start, 5.0),
        Move("cut", *start, -1.0, 300.0),
        Move("cut", *end, -1.0, 1000.0, centre, sweep),
    ]
    text = tp.program_text(path_setup(moves))

    assert not re.search(r"G[23] |I|J", text.split("(moves)")[1])
