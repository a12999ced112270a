"""Loose pieces: freed when and by what, against a slow account that looks at every moment; and what is sound."""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
import planted_pieces as planted
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from planted_pieces import BARE, BOARD, COVER, FAULTS, OUTLINE, PART_HELD, RACK, ROUND, SCREWED, judge
from shapely import Point, box
from test_regions import flooded

import toolpaths as tp
from samples import examples
from toolpaths.facts.board import Dowel, screws
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.part import Part
from toolpaths.judging.checks.holding.freed import HeldRegions, freed
from toolpaths.judging.checks.holding.loose_pieces import loose_pieces
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.wood.regions import label

NEVER = 6


def found(report: Report, code: str) -> list:
    return [finding for finding in report.findings if finding.code == code]


def _pieces(death: np.ndarray, move: int) -> list[frozenset[int]]:
    """The pieces of wood once a move is done."""
    number = flooded(death > move)
    return [frozenset(np.flatnonzero(number.ravel() == n).tolist()) for n in range(number.max() + 1)]


def _held(pieces: list[frozenset[int]], shape: tuple[int, int], rim: tuple[set[int], ...],
          holds: list[tuple[int, set[int]]], move: int) -> list[bool]:  # fmt: skip
    there = [any(since <= move and cells & piece for since, cells in holds) or all(side & piece for side in rim)
             for piece in pieces]  # fmt: skip
    if any(there) or not pieces:
        return there
    size = max(len(piece) for piece in pieces)
    return [len(piece) == size for piece in pieces]


@given(
    hnp.arrays(np.int32, hnp.array_shapes(min_dims=2, max_dims=2, min_side=2, max_side=7), elements=st.integers(-1, 6)),
    st.lists(st.tuples(st.integers(0, NEVER + 1), st.sets(st.integers(0, 48), min_size=1, max_size=3)), max_size=3),
)
@examples(400)
def test_freed_is_what_a_slow_account_finds(death, drawn):
    """At each move: pieces not held after it that were part of a held one before it."""
    flat = death.ravel()
    holds = [(since, {cell for cell in cells if cell < flat.size and flat[cell] >= 0}) for since, cells in drawn]
    regions = label(death)
    held = [
        HeldRegions(since, sorted({int(number) for number in regions.of(np.array(sorted(cells), int))}))
        for since, cells in holds
    ]
    # A hold-down over wood that goes earlier still holds what lies under it of other moments.
    holds = [(since, set(np.flatnonzero(np.isin(regions.of(np.arange(flat.size)), h.regions)).tolist()))
             for (since, _), h in zip(holds, held, strict=True)]  # fmt: skip
    assume((flat >= 0).any())
    rows, columns = np.nonzero(death >= 0)
    rim = tuple(
        {int(r * death.shape[1] + c) for r, c in zip(rows, columns, strict=True) if line(r, c)}
        for line in (
            lambda r, c: r == rows.min(), lambda r, c: r == rows.max(),
            lambda r, c: c == columns.min(), lambda r, c: c == columns.max(),
        )
    )  # fmt: skip
    wanted, tied = set(), False
    for move in range(NEVER):
        before, after = _pieces(death, move - 1), _pieces(death, move)
        was = _held(before, death.shape, rim, holds, move)
        now = _held(after, death.shape, rim, holds, move)
        for state in (was, now):
            sizes = [len(p) for p in (before if state is was else after)]
            tied |= sizes.count(max(sizes, default=0)) > 1
        for piece, fast in zip(after, now, strict=True):
            parent = next(i for i, whole in enumerate(before) if piece <= whole)
            touched = death.ravel()[list(before[parent])] == move
            if not fast and was[parent] and touched.any():
                wanted.add((move, piece))
    got = {(p.move, frozenset(regions.cells(*p.members).tolist())) for p in freed(regions, NEVER, held, 0)}
    assert all(p.area == len(regions.cells(*p.members)) for p in freed(regions, NEVER, held, 0))
    # Which of two equally large pieces lies at the rim is nobody's business.
    if not tied:
        assert got == wanted


@pytest.mark.parametrize("fault", [f for f in FAULTS if f.code == "loose-piece"], ids=lambda f: f.what)
def test_sound_before_the_edit(fault):
    assert fault.judge(fault.sound).ok, str(fault.judge(fault.sound))


def test_piece_is_named_by_size_place_and_line():
    text = ROUND.replace("N55 M0\n", "")
    (one,) = found(judge(text, SCREWED), "loose-piece")
    assert one.severity == "danger" and one.times == 1
    assert "48.0 x 48.0 mm" in one.message and "around X120.0 Y70.0" in one.message
    assert "drive the middle screw" in one.message
    assert one.amount == pytest.approx(np.pi * 2.4**2, rel=0.01)
    assert np.hypot(one.place[0] - 120, one.place[1] - 70) < 24


def test_place_and_size_are_as_the_program_counts():
    centred = replace(SCREWED, zero_at="centre")
    text = ROUND.replace("N55 M0\n", "").replace("X120 Y70", "X0 Y0").replace("X147 Y70", "X27 Y0")
    (one,) = found(judge(text, centred), "loose-piece")
    assert "around X0.0 Y0.0" in one.message


def test_a_screw_that_comes_later_is_no_help():
    """The stop stands after the cut: the slug is loose when it is cut free."""
    lines = ROUND.splitlines()
    stop = [lines.index(line) for line in ("N50 M5", "(MSG, drive the middle screw)", "N55 M0")]
    late = [line for i, line in enumerate(lines) if i not in stop]
    at = late.index("N180 M5")
    text = "\n".join([*late[:at], "M5", "(MSG, drive the middle screw)", "M0", *late[at:]]) + "\n"
    (one,) = found(judge(text, SCREWED), "loose-piece")
    assert "driven only later" in one.message


@pytest.mark.parametrize(
    ("depth", "loose"), [(17.0, 0), (17.6, 0), (17.79, 0), (17.81, 1), (18.0, 1), (18.4, 1)]
)  # fmt: skip
def test_a_skin_of_a_fifth_of_a_millimetre_holds(depth, loose):
    text = OUTLINE.replace("Z-18.2", f"Z-{depth}")
    assert len(found(judge(text), "loose-piece")) == loose


def test_the_part_is_loose_when_nothing_is_said_of_hold_downs():
    """The board then lies at its rim; the part is larger than its frame here, but the frame lies around it."""
    (one,) = found(judge(OUTLINE), "loose-piece")
    assert "154.0 x 74.0 mm" in one.message and one.severity == "danger"


def test_no_finding_where_screws_hold_the_part():
    """The frame lies around it."""
    assert judge(OUTLINE, PART_HELD).ok


@pytest.mark.parametrize(("area", "loose"), [
    (box(60, 40, 90, 60), 0), (box(43.5, 33.5, 60, 60), 0), (box(10, 10, 20, 20), 1), (box(0, 0, 240, 140), 0),
])  # fmt: skip
def test_tape_holds_what_lies_on_it(area, loose):
    assert len(found(judge(OUTLINE, replace(BARE, grips=(area,))), "loose-piece")) == loose


@pytest.mark.parametrize("width", [2.0, 6.0])
def test_one_tab_joins_and_does_not_hold(width):
    """As wide as `width` at its narrowest; and with the lift too low to leave any."""
    lifted = f"G1 X{100 - width / 2 - 3}\nG1 Z-14\nG1 X{100 + width / 2 + 3}\nG1 Z-18.2\nG1 X200 F1200"
    joined = judge(OUTLINE.replace("G1 X200 F1200", "F1200\n" + lifted))
    assert [(finding.code, finding.severity) for finding in joined] == [("weak-hold", "danger")], str(joined)
    low = OUTLINE.replace("G1 X200 F1200", "F1200\n" + lifted.replace("Z-14", "Z-17.9"))
    assert found(judge(low), "loose-piece")


def test_tape_that_lies_on_another_side():
    """Facts are given as seen from the front, whichever side is cut."""
    text = OUTLINE.replace("X200", "X90").replace("Y110", "Y60")
    for side, there in (("", (65, 45)), ("left to right", (175, 45)), ("top to bottom", (65, 95))):
        for x, y in ((65, 45), (175, 45), (65, 95)):
            grip = (box(x - 9, y - 9, x + 9, y + 9),)
            fixture = BARE.turned_over(side, grips=grip) if side else replace(BARE, grips=grip)
            assert bool(found(judge(text, fixture), "loose-piece")) is ((x, y) != there)


def test_dowel_pins_hold_nothing_down_on_either_side():
    """They say where the board lies: from a smooth pin a part that is cut free lifts off."""
    pins = (Dowel(x=60, y=70, diameter=8, depth=6), Dowel(x=180, y=70, diameter=8, depth=6))
    front = replace(BARE, dowels=pins)
    assert found(judge(OUTLINE, front), "loose-piece")
    assert found(judge(OUTLINE, front.turned_over("left to right")), "loose-piece")


def test_a_helix_leaves_no_core_within_its_own_radius_and_one_beyond():
    """6 mm cutter: a path of 2.9 mm radius clears its hole, one of 5 mm leaves a core of 4 mm across."""
    for radius, loose in ((2.9, 0), (5.0, 1)):
        turns = "".join(f"G2 X{100 + radius} Y70 Z-{z} I-{radius} J0\n" for z in (6, 12, 18.2))
        text = (
            f"G21 G90\nT1 M6\nM3 S16000\nG0 Z10\nG0 X{100 + radius} Y70\nG0 Z1\nG1 Z0 F600\n{turns}"
            f"G2 X{100 + radius} Y70 I-{radius} J0\nG0 Z10\nM5\nM30\n"
        )
        pieces = found(judge(text, cell=0.25), "loose-piece")
        assert len(pieces) == loose
        if loose:
            assert pieces[0].line == text.splitlines().index("G2 X105.0 Y70 I-5.0 J0") + 1


def test_a_chain_of_drill_holes_frees_a_piece():
    places = [(80 + x, 60 + y) for x in range(0, 31, 3) for y in (0, 30)]
    places += [(80 + x, 60 + y) for y in range(3, 30, 3) for x in (0, 30)]
    cycle = "".join(f"X{x} Y{y}\n" for x, y in places)
    text = f"G21 G90\nT3 M6\nM3 S9000\nG0 Z10\nG0 X10 Y10\nG98 G81 Z-19.5 R1 F300\n{cycle}G80\nG0 Z10\nM5\nM30\n"
    deep = replace(BARE, spoilboard_depth=3)
    (one,) = found(judge(text, deep), "loose-piece")
    assert one.line == text.splitlines().index(f"X{places[-1][0]} Y{places[-1][1]}") + 1
    gap = text.replace("X80 Y75\n", "")
    assert not found(judge(gap, deep), "loose-piece")


def test_shavings_and_threads_of_wood_are_chips():
    """Two slots 0.8 mm apart leave a thread that falls off, 1.5 mm apart a stick."""
    for apart, loose in ((0.8, 0), (1.5, 1)):
        rows = (50.0, 56 + apart)
        text = "G21 G90\nT1 M6\nM3 S16000\nG0 Z10\n"
        for y in rows:
            text += f"G0 X60 Y{y}\nG0 Z1\nG1 Z-18.2 F300\nG1 X120 F1200\nG0 Z10\n"
        text += f"G0 X60 Y{rows[0]}\nG0 Z1\nG1 Z-18.2 F300\nG1 Y{rows[1]}\nG0 Z10\n"
        text += f"G0 X120 Y{rows[0]}\nG0 Z1\nG1 Z-18.2 F300\nG1 Y{rows[1]}\nG0 Z10\nM5\nM30\n"
        assert len(found(judge(text, cell=0.25), "loose-piece")) == loose


def test_cut_from_both_sides():
    """Half the depth from the front, the rest from the back, over an underside that is uneven."""
    half = OUTLINE.replace("Z-18.2", "Z-9.5")
    front = judge(half)
    assert front.ok
    stock = front.stock.turned_over("left to right")
    back = BARE.turned_over("left to right")
    for depth, loose in ((8.0, 0), (8.25, 0), (8.35, 1), (9.0, 1)):
        report = judge(OUTLINE.replace("Z-18.2", f"Z-{depth}"), back, stock)
        assert len(found(report, "loose-piece")) == loose
    sloped = "G0 X40 Y30\nG0 Z1\nG1 Z-5 F300\nG1 X200 Z-9 F1200\nG1 Y110\nG1 X40\nG1 Y30\nG1 X200"
    text = half.replace("G0 X40 Y30\nG0 Z1\nG1 Z-9.5 F300\nG1 X200 F1200\nG1 Y110\nG1 X40\nG1 Y30", sloped)
    (one,) = found(judge(text, back, stock), "loose-piece")
    assert one.line == text.splitlines().index("G0 Z10", 8)


@pytest.mark.parametrize("fault", [f for f in FAULTS if f.code == "cuts-loose"], ids=lambda f: f.what)
def test_sound_back(fault):
    assert fault.judge(fault.sound).ok, str(fault.judge(fault.sound))


def _slug_back(extra: str, part: Part | None = None) -> Report:
    front = judge(ROUND, SCREWED)
    stock, back = front.stock.turned_over("left to right"), SCREWED.turned_over("left to right")
    text = f"G21 G90\nT1 M6\nM3 S16000\nG4 P2\nG0 Z10\n{extra}G0 Z10\nM5\nM30\n"
    return simulate(text, back, RACK, stock=stock, part=part)


# A recess round the opening, 33 mm in radius, walked along the rim of where the slug was.
RIM = "G0 X146 Y70\nG0 Z1\nG1 Z-6 F300\nG3 X146 Y70 I-26 J0 F1200\n"
INNER = "G0 X120 Y70\nG0 Z1\nG1 Z-6 F300\nG1 X130 F1200\n"


def test_the_cutter_may_pass_where_a_slug_was_taken_out():
    assert not found(_slug_back(RIM), "cuts-loose")


def test_work_well_inside_a_loose_piece_is_found():
    (one,) = found(_slug_back(INNER), "cuts-loose")
    assert one.amount == pytest.approx(6.0, abs=1e-3) and one.times == 2


def test_the_part_meant_says_what_is_waste():
    opening = Point(120, 70).buffer(30)
    waste = Part(board=BOARD, front=[Parting(area=opening, waste="inside")])
    kept = Part(board=BOARD, front=[Parting(area=Point(120, 70).buffer(24), waste="outside")])
    assert not found(_slug_back(INNER, waste), "cuts-loose")
    assert found(_slug_back(INNER, kept), "cuts-loose")
    assert found(_slug_back(RIM, kept), "cuts-loose")


def test_a_part_within_an_opening_is_no_waste():
    """Of several outlines the one around the piece counts: a disc kept from the slug of an opening."""
    slug, disc = Point(120, 70).buffer(30), Point(120, 70).buffer(24)
    frame = Parting(area=box(20, 15, 220, 125), waste="outside")
    opening = Parting(area=slug, waste="inside")
    small = Parting(area=disc, waste="outside")
    for partings, loose in (
        ([opening, small], True), ([small, opening], True), ([frame, opening, small], True), ([frame, opening], False),
        ([frame, small], True), ([frame], True),
        ([Parting(area=Point(40, 40).buffer(8), waste="inside"), frame, opening], False),
        # Cut off beside an outline that is kept.
        ([Parting(area=box(20, 15, 80, 125), waste="outside")], False),
    ):  # fmt: skip
        assert bool(found(_slug_back(INNER, Part(board=BOARD, front=partings)), "cuts-loose")) is loose, partings


def test_many_shallow_moves_ask_nothing(monkeypatch):
    """Where nothing gets through, no cell is looked at."""
    monkeypatch.setattr(
        sys.modules[loose_pieces.__module__], "label", lambda cells: pytest.fail("cells were looked at")
    )
    assert judge(OUTLINE.replace("Z-18.2", "Z-9")).ok


def test_tabs_of_the_library_hold_and_none_does_not():
    outline = tp.rectangle(120, 60, (120, 70), corner_radius=10)
    for tabs, sound in ((tp.Tabs(count=3, width=6, height=3), True), (None, False)):
        setup = tp.Setup(BARE, [tp.contour(outline, RACK[0], depth=tp.through(0.3), tabs=tabs)])
        report = simulate(tp.program_text(setup), BARE, setup.cutters)
        assert report.ok is sound, str(report)


def test_earlier_program_of_the_same_side_drove_the_screw():
    """One program a cutter: the stop stands in the first, the cut in the second."""
    first, last = ROUND.split("N60 ")
    pilot = first + "G1 X120 Y70 Z-3 F300\nG0 Z10\nM30\n%\n"
    pilot = pilot.replace("N50 M5\n", "").replace("N55 M0\n", "M5\nM0\nM3\nG4 P2\n")
    report = judge(pilot, replace(SCREWED, screws=screws([(10, 10)], head_diameter=8, height=2)))
    last = "%\nG21 G90 G17\nT1 M6\nN60 " + last
    assert not found(judge(last, SCREWED, report.stock), "loose-piece")
    assert found(judge(last, SCREWED), "loose-piece")


def test_planted_texts_are_edited_at_all():
    assert len({fault.text for fault in FAULTS}) == len(FAULTS)
    assert all(fault.text != fault.sound for fault in FAULTS)
    assert COVER.count("\nz-0.55\n") == 2
    assert planted.SWAPPED.count("\n") == planted.INSIDE_OUT.count("\n")
