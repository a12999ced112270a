"""The proof from areas and heights: what is unsafe by the tests' own model it never proves, sound jobs it does, and it
reads as the library's reader does."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import numpy as np
import pytest
import shapely
import sound_jobs
from mutant_bases import BOARD, FLAT_6, RACK, bases
from proof_mutants import outcome, with_modes
from test_weather_station import job as weather_station

import toolpaths as tp
from toolpaths.making.plan.part_meant import intended_part
from toolpaths.proving.motion import Motion
from toolpaths.proving.proof import SENTENCES, Proof, prove
from toolpaths.proving.read_pieces import NotUnderstood, read_pieces

PROVING = Path(tp.__file__).parent / "proving"


def refused(proof: Proof) -> list[str]:
    return [sentence.text for sentence in proof.sentences if sentence.why_not]


@pytest.mark.sample(2, long=19)
@pytest.mark.parametrize("seed", range(254))
def test_what_the_model_finds_in_a_mutant_is_not_proved_away(seed):
    """The whole table by `python tests/proof_mutants.py 10000`."""
    each = outcome(seed)
    assert not (each.faults and each.proof.holds), each


@pytest.mark.parametrize("base", bases(), ids=lambda base: base.name)
def test_every_sound_base_is_proved(base):
    for text, fixture in base.sides:
        if "G91" in text or " R10" in text:
            continue  # not understood, see below
        assert any(piece.z1 < -fixture.zero[2] for piece in read_pieces([with_modes(text)]).pieces)
        proof = prove([with_modes(text)], base.part, fixture, base.cutters)
        assert proof.holds, str(proof)


@pytest.mark.sample(2, long=10)
@pytest.mark.parametrize("seed", range(500))
def test_random_sound_jobs_are_proved(seed):
    try:
        job = sound_jobs.job(seed)
    except tp.ToolpathsError:
        return  # refused by the library in words
    part = intended_part(*(side.setup for side in job.sides))
    for setup, texts in job.sides:
        cutters = {cutter.number: cutter for cutter in setup.cutters}
        proof = prove(list(texts.values()), part, setup.fixture, tuple(cutters.values()))
        assert proof.holds, str(proof)


@pytest.mark.sample(1, long=9)
@pytest.mark.parametrize("seed", range(500))
def test_the_reader_goes_where_that_of_the_library_goes(seed):
    """Every motion of it ends where one of the library's does, in the same order."""
    try:
        job = sound_jobs.job(seed)
    except tp.ToolpathsError:
        return
    for side in job.sides:
        for text in side.texts.values():
            theirs = tp.read(text).motions.end
            pieces = read_pieces([text]).pieces
            lasts = [one for one, after in zip(pieces, [*pieces[1:], None]) if after is None or after.line != one.line]
            mine = np.array([(*piece.points[-1], piece.z1) for piece in lasts])
            known = theirs[~np.isnan(theirs).any(axis=1)]
            assert set(map(tuple, mine.round(6).tolist())) <= set(map(tuple, known.round(6).tolist()))
            assert np.allclose(mine[-1], known[-1], atol=1e-9)


POCKET = tp.Setup(
    tp.Fixture(board=BOARD, screws=tp.screws([(8, 25)], head_diameter=8, height=3), spoilboard_depth=0.5),
    [tp.pocket(tp.rectangle(30, 16, (40, 25), corner_radius=4), FLAT_6, depth=3)],
)
TEXT = tp.program_text(POCKET)
BODY = "M3 S18000\nG0 X40 Y25\nG1 Z-3 F300\n"


def proof_of(text: str) -> Proof:
    return prove([text], intended_part(POCKET), POCKET.fixture, RACK)


def after_the_first_cut(lines: str) -> str:
    """The pocket with some lines put in before its spindle stops."""
    head, cut, end = TEXT.partition("M5")
    return f"{head}{lines}\n{cut}{end}"


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ("G0 X40 Y25\nG1 Z-3.05\nG0 Z7", SENTENCES[0]),  # a floor 0.05 too deep
        ("G0 X40 Y25\nG1 Z-3\nX52.06\nG0 Z7", SENTENCES[0]),  # 0.06 mm over the wall
        ("G0 X20 Y25\nG1 Z-0.1\nG0 Z7", SENTENCES[0]),  # a scratch beside it
        ("G0 X40 Y40\nZ-1\nZ7", SENTENCES[1]),  # a rapid into the board, which cuts it as well
        ("G0 X40 Y25\nZ-3\nX51.9 Y30 Z-3\nX40 Y25\nZ-3.1\nZ7", SENTENCES[1]),
        ("G0 X20 Y25\nG1 Z-1\nG0 Z7\nX20.9\nZ-1\nZ7", SENTENCES[1]),  # a rapid down beside a hole
        ("G0 X40 Y25\nG1 Z-8.6\nG0 Z7", SENTENCES[2]),
        ("G0 Z2\nX8 Y25\nZ8", SENTENCES[3]),  # over the screw, too low
    ],
)
def test_a_planted_fault_is_not_proved(lines, sentence):
    assert proof_of(TEXT).holds
    proof = proof_of(after_the_first_cut(lines))
    assert sentence in refused(proof), str(proof)
    number = next(sentence for sentence in proof.sentences if sentence.why_not).why_not
    assert re.match(r"line \d+, to X", number)


@pytest.mark.parametrize(("deeper", "proved"), [(0.0, True), (0.01, False)])
def test_the_spoilboard_may_be_cut_just_as_deep_as_it_was_said(deeper, proved):
    lowest = POCKET.fixture.underside_z - 0.5 - deeper
    proof = proof_of(after_the_first_cut(f"G0 X40 Y25\nG1 Z{lowest:.4f}\nG0 Z7"))
    assert (SENTENCES[2] not in refused(proof)) is proved


@pytest.mark.parametrize("turn", np.linspace(0.01, 2 * np.pi, 40))
def test_an_arc_lies_as_near_to_its_chords_as_is_said(turn):
    """Between two of them it is off by r (1 - cos(angle / 2)), the rise of a segment of a circle."""
    r = 20.0
    end = r * np.cos(turn), r * np.sin(turn)
    lines = f"G17 G21 G40 G49 G54 G90 G94\nM3 S9000\nG0 Z5\nX{r} Y0\nG3 X{end[0]:.12f} Y{end[1]:.12f} I-{r} J0\nM2"
    points = np.array(read_pieces([lines]).pieces[-1].points)
    angles = np.diff(np.unwrap(np.arctan2(points[:, 1], points[:, 0])))
    assert angles.sum() == pytest.approx(turn, abs=1e-9)
    assert (r * (1 - np.cos(angles / 2))).max() <= read_pieces([lines]).pieces[-1].off + 1e-9


def test_lines_are_as_long_as_their_ends_lie_apart():
    """Only what stands is a point: else what is cut along a line would not be looked at."""
    text = after_the_first_cut("G0 X40 Y25\nG1 Z-3\nX41\nX41.5\nX43\nG0 Z7")
    motion = Motion.of(read_pieces([text]).pieces, {cutter.number: cutter for cutter in RACK}, POCKET.fixture, True)
    straight = [len(piece.points) == 2 for piece in motion.pieces]
    apart = np.linalg.norm(np.diff(motion.ends[:, :, :2], axis=1)[:, 0], axis=1)
    assert np.allclose(shapely.length(motion.lines)[straight], apart[straight], atol=1e-9)
    assert set(shapely.get_type_id(motion.lines[apart == 0])) <= {0, 1} and {0.0, 0.5, 1.0, 1.5} <= set(apart.round(9))


@pytest.mark.parametrize(
    "line",
    ["G91", "G92 X0", "G10 L2 P1 X5", "G43 H2", "G41 D1", "G55", "G18", "G2 X10 Y10 R5", "/G0 X5", "#1=5", "M98 P5",
     "G1 X5 X6", "G0 G1 X5", "G20 G21", "X1.2.3", "G0 X", "A90", "M4 S1000", "G2 X50 Y25 I3 J0.5", "o100 sub", "G4 X1",
     "G2 X40 Y25 I5 P3", "T2.7", "G81 X40 Y25 Z-1 R2", "G1 X\u0663", "G1 X41\x0cY26", "G1 X41\u2028Y26",
     "G1 X41 R1", "G1 X41 I1", "G0 X41 P1", "M5 M3", "M0 M30", "G1.0000001 X41", "G1 X1000000", "G18.0",
     "G0 Z5\nX45 Y25\nG1 Z-3\nG3 X45 Y25.0000001 I-5", "G0 Z5\nX45 Y25\nG1 Z-3\nG3 X45.005 Y25 I-5"],
)  # fmt: skip
def test_what_is_not_understood_is_not_proved(line):
    proof = proof_of(after_the_first_cut(line))
    assert refused(proof) == list(SENTENCES)
    assert "not understood, line" in str(proof)


def test_what_is_missing_in_a_line_is_named():
    with pytest.raises(NotUnderstood, match=r"line 4, 'G81 X1 Z-3': nothing says '[RZ]'"):
        read_pieces(["G21 G90 G17 G54\nT1 M6\nM3 S18000 F600 G98\nG81 X1 Z-3\n"])


@pytest.mark.parametrize("closed", ["%\n{up}\n%\n", "{up}\n%\n", "{up}\nM2\n", "%\n{up}\nM30\n%\n"])
def test_what_stands_behind_the_end_of_a_program_is_not_understood(closed):
    """Some machines run it, others do not; so neither is it safe, nor is wood taken by it."""
    end = closed.format(up=re.split(r"(?m)^M30", TEXT.removeprefix("%\n"))[0])
    count = len(read_pieces([TEXT]).pieces)
    assert len(read_pieces([f"{end}\n(a word)\n%\n"]).pieces) == count
    for behind in ("G1 X40 Y25 Z-1", "M30", "G21"):
        with pytest.raises(NotUnderstood, match="behind the end"):
            read_pieces([f"{end}{behind}\n"])


@pytest.mark.parametrize(("deeper", "proved"), [(0.0, True), (0.07, True), (0.08, False)])
def test_a_rapid_may_touch_wood_by_a_fiftieth_sideways(deeper, proved):
    """Under a pointed V of 30 degrees, where it came down at feed: 0.02 / tan(15 degrees) = 0.075 mm."""
    board = tp.Board(width=120, height=80, thickness=18)
    fixture = tp.Fixture(board=board, grips=[board.outline])
    part = tp.Part(board=board, front=[tp.Recess(area=tp.rectangle(100, 60, (60, 40)), depth=16)])
    vee = tp.Cutter(1, tp.v_point(6, 30), feed_mm_min=600, spindle_rpm=16000)
    head = "G21 G90 G17 G54 G40 G49 G80 G94\nT1 M6\nM3 S16000\nF600\nG0 Z5\nX60 Y40\n"
    proof = prove([f"{head}G1 Z-5\nG0 Z5\nG0 Z{-5 - deeper}\nG0 Z5\nM30\n"], part, fixture, [vee])
    assert refused(proof) == ([] if proved else [SENTENCES[1]])


def test_a_head_under_the_wood_does_not_open_its_way_up():
    """An undercut cutter, and a flat one on a thin shank below its edges, come up by a rapid where they did not come
    down: on a slope, and straight down from within the wood."""
    board = tp.Board(width=120, height=80, thickness=18)
    fixture = tp.Fixture(board=board, grips=[board.outline])
    part = tp.Part(board=board, front=[tp.Recess(area=tp.rectangle(100, 60, (60, 40)), depth=16)])
    under = tp.Cutter(1, tp.undercut(9.5, 3.2, 4.8), feed_mm_min=600, spindle_rpm=16000, cutting_length=18)
    thin = tp.Cutter(1, tp.flat(9.5), feed_mm_min=600, spindle_rpm=16000, cutting_length=3.2, shank_diameter=4.8)
    down = "G17 G21 G40 G49 G54 G90 G94\nT1 M6\nM3 S9000\nG0 Z5\nX30 Y40\nG1 Z-12 F300\n"
    for cutter in (under, thin):
        assert prove([f"{down}G0 Z5\nM2"], part, fixture, [cutter]).holds
        assert prove([f"{down}X60\nG1 Z5\nM2"], part, fixture, [cutter]).holds
        for way in ("X60", "X60 Z-14", "X60\nZ-14"):
            assert refused(prove([f"{down}{way}\nG0 Z5\nM2"], part, fixture, [cutter])) == [SENTENCES[1]], way


def test_the_shank_of_an_undercut_cutter_stays_out_of_its_slot():
    """Thicker than the neck, and deeper than its edges are long."""
    board = tp.Board(width=120, height=80, thickness=18)
    fixture = tp.Fixture(board=board, grips=[board.outline])
    long = tp.Cutter(1, tp.undercut(9.5, 3.2, 4.8), feed_mm_min=600, spindle_rpm=16000)
    setup = tp.Setup(fixture, [tp.keyhole_slot([(40, 30)], long, depth=8, length=20)])
    short = tp.Cutter(1, tp.undercut(9.5, 3.2, 4.8), feed_mm_min=600, spindle_rpm=16000, cutting_length=6)
    text, part = tp.program_text(setup), tp.intended_part(setup)
    assert prove([text], part, fixture, [long]).holds
    assert refused(prove([text], part, fixture, [short]))[:1] == [SENTENCES[0]]


def test_one_number_is_one_cutter_and_some_cutter_there_has_to_be():
    wide = tp.Cutter(FLAT_6.number, tp.flat(8), feed_mm_min=900, spindle_rpm=18000)
    with pytest.raises(tp.InputError, match="two cutters"):
        prove([TEXT], intended_part(POCKET), POCKET.fixture, [wide, FLAT_6])
    no_name = re.sub(r"(?m)^\(T\d+: .*\n", "", TEXT).replace("T2 M6 (flat 6)\n", "")
    assert refused(prove([no_name], intended_part(POCKET), POCKET.fixture, [])) == list(SENTENCES)


@pytest.mark.parametrize(
    ("lines", "tool"),
    [
        ("M0 (put in T4)", 4),
        ("M0 (put in t4)", 4),
        ("M0 (T2 out, put in T4)", 0),  # which of them is not said
        ("T3 M06\nM0 (as for T4)", 3),
        ("T3 M 6\nM0 (as for T4)", 3),
        ("M0 (Fit T4 ball 4)", 4),
        ("M0 (take T4 out)", 0),  # what comes in its place is not said
        ("T2", 2),
        ("T4", 0),  # called, and nobody is told to put it in
    ],
)
def test_the_cutter_is_the_one_that_is_put_in(lines, tool):
    head = "(T2: flat 6)\nG17 G21 G40 G49 G54 G90 G94\nG0 Z5\nX1 Y1\nM5\n"
    assert read_pieces([f"{head}{lines}\nM3\nG1 X2\nM2"]).pieces[-1].tool == tool


@pytest.mark.parametrize("code", ["G17", "G40", "G49", "G54", "G90", "G94", "G21"])
def test_modes_have_to_be_set_by_the_text_itself(code):
    head, modes, rest = re.split(r"(?m)^(G17 .*\n)", TEXT)
    assert code in modes
    assert not proof_of(head + modes.replace(code, "") + rest).holds


def test_a_cutter_that_is_not_named_may_be_any():
    """Without M6 and without a cutter in its head a pocket may be cut with the widest of the rack."""
    text = re.sub(r"(?m)^\(T\d+: .*\n", "", TEXT).replace("T2 M6 (flat 6)\n", "")
    wider = tp.Cutter(9, tp.flat(8), feed_mm_min=900, spindle_rpm=18000)
    assert SENTENCES[0] in refused(prove([text], intended_part(POCKET), POCKET.fixture, [wider]))


def test_two_halves_of_a_lap_are_two_ways():
    """They lie as far from a rapid beside their common end, and are as long; over the floor of both it is proved."""
    lap = "G0 X49 Y25\nG1 Z-2.9 F300\nG2 X31 I-9\nX49 I9\nG0 Z5"
    laps = (f"G0 X{40 + r} Y25\nG1 Z-2.9 F300\nG2 X{40 - r} I-{r}\nX{40 + r} I{r}\nG0 Z5\n" for r in (2, 4, 6))
    fills = "".join(laps)
    wide = tp.Setup(POCKET.fixture, [tp.pocket(tp.circle(24.02, (40, 25)), FLAT_6, depth=3)])
    head, _, end = tp.program_text(wide).partition("(pocket)")
    text = f"{head}M3 S18000\n{fills}{lap}\nG0 X48.9 Y25\nZ-2.5\nX40 Y33.9\nZ5\nM5\nM2"
    assert prove([text], intended_part(wide), wide.fixture, RACK).holds, end[-20:]


def one_piece(feature: object, text: str, *, cutter: tp.Cutter, **fixture: object) -> Proof:
    """The proof of a text, behind the modes, of one feature of a board 120 x 80 x 18."""
    board = tp.Board(width=120, height=80, thickness=18)
    head = f"G17 G21 G40 G49 G54 G90 G94\nT{cutter.number} M6\nM3 S9000\nG0 Z15\n"
    held = {"grips": [board.outline], **fixture}
    return prove([f"{head}{each}" for each in text.split("|")], tp.Part(board=board, front=[feature]),
                 tp.Fixture(board=board, **held), [cutter])  # fmt: skip


@pytest.mark.parametrize(("off", "proved"), [(0.012, True), (0.025, False), (0.06, False)])
@pytest.mark.parametrize("quad_segs", [4, 8])
def test_a_straight_wall_is_forgiven_no_more_because_another_is_a_curve_in_chords(quad_segs, off, proved):
    area = shapely.box(30, 30, 70, 60).buffer(8, quad_segs=quad_segs)
    proof = one_piece(tp.Recess(area=area, depth=5), f"X40 Y45\nG1 Z-5 F300\nY{65 + off}\nG0 Z15\nM2", cutter=FLAT_6)
    assert proof.holds is proved, str(proof)
    bend = [(60 + 20 * np.sin(a), 40 - 20 * np.cos(a)) for a in np.linspace(0, np.pi / 2, quad_segs + 1)]
    groove = tp.CutAlong(line=shapely.LineString([(20, 20), *bend]), profile=tp.flat(6), depth=5)
    proof = one_piece(groove, f"X30 Y{20 - off}\nG1 Z-5 F300\nX50\nG0 Z15\nM2", cutter=FLAT_6)
    assert proof.holds is proved, str(proof)


@pytest.mark.parametrize("angle_deg", [60, 90, 120])
@pytest.mark.parametrize(("deep", "proved"), [(0.005, True), (0.0205, False)])
def test_a_slope_is_off_by_no_more_upright_to_itself(angle_deg, deep, proved):
    """A V shifted down and sideways at once: upright to the slope it is off by z sin a + y cos a."""
    half = np.radians(angle_deg / 2)
    cutter = tp.Cutter(1, tp.v_point(7, angle_deg), 1000, 16000)
    wide = 2 * np.tan(half)
    z, y = deep * np.sin(half), deep * np.cos(half)
    carving = tp.Carving(area=shapely.box(30, 40 - wide, 90, 40 + wide), angle_deg=angle_deg, depth=2)
    text = f"X50 Y{40 + np.tan(half) / 2 + y:.5f}\nG1 Z-{1.5 + z:.5f} F300\nX60\nG0 Z15\nM2"
    assert one_piece(carving, text, cutter=cutter).holds is proved


WIDE_RECESS = tp.Recess(area=shapely.box(30, 20, 90, 60), depth=5)


def test_it_comes_from_anywhere_as_low_as_it_ends():
    """Where it stands when a program begins is not known, so neither is the way of its first slanting rapid."""
    clamp = tp.Clamp(area=shapely.box(0, 30, 20, 50), height=8)
    clear, low = "X25 Y40\nZ1\nX26\nG0 Z15\nM2", "X25 Y40 Z1\nX26\nG0 Z15\nM2"
    assert one_piece(WIDE_RECESS, clear, cutter=FLAT_6, clamps=[clamp]).holds
    assert refused(one_piece(WIDE_RECESS, low, cutter=FLAT_6, clamps=[clamp])) == [SENTENCES[3]]
    cut = "X40 Y40\nG1 Z-5 F300\nX80\nG0 Z15\nM2|"
    assert one_piece(WIDE_RECESS, f"{cut}X50 Y40\nZ-4.5\nZ15\nM2", cutter=FLAT_6).holds
    assert SENTENCES[1] in refused(one_piece(WIDE_RECESS, f"{cut}X50 Y40 Z-4.5\nZ15\nM2", cutter=FLAT_6))


def test_rapids_whose_axes_do_not_end_together_are_told_from_straight_ones():
    slot = tp.CutAlong(line=shapely.LineString([(40, 30), (80, 50)]), profile=tp.flat(6), depth=5)
    there = "X40 Y30\nG1 Z-5 F300\nX80 Y50\n"
    for back, straight in (("G0 X40 Y30", True), ("G1 X40 Y30", False)):
        proof = one_piece(slot, f"{there}{back}\nG0 Z15\nM2", cutter=FLAT_6)
        assert proof.holds and proof.straight is straight
        assert ("if rapids go straight" in str(proof)) is straight
    clamp = tp.Clamp(area=shapely.box(60, 20, 70, 30), height=8)
    text = "X40 Y20\nZ5\nX80 Y60\nG0 Z15\nM2"
    assert one_piece(WIDE_RECESS, text, cutter=FLAT_6, clamps=[clamp]).straight
    assert refused(one_piece(WIDE_RECESS, text.replace("Y60", "Y20"), cutter=FLAT_6, clamps=[clamp])) == [SENTENCES[3]]


def test_a_wide_cutter_comes_down_by_a_rapid_where_all_of_it_was_cut():
    """Between two of the chords that its disc is drawn in as well: beside the edge of a pass, askew to these."""
    board = tp.Board(width=400, height=400, thickness=18)
    fixture = tp.Fixture(board=board, grips=[board.outline])
    part = tp.Part(board=board, front=[tp.Recess(area=board.outline, depth=5)])
    askew = 100 * np.sin(np.pi / 160)
    for lacks, proved in ((0.015, True), (0.028, False)):
        one, other = (tp.Cutter(n, tp.flat(wide), 900, 9000) for n, wide in ((1, 100 - 2 * lacks), (2, 100)))
        text = (
            f"G17 G21 G40 G49 G54 G90 G94\nT1 M6\nM3 S9000\nG0 Z15\nX100 Y{200 - askew:.9f}\nG1 Z-5 F300\n"
            f"X300 Y{200 + askew:.9f}\nG0 Z15\nT2 M6\nX200 Y200\nZ-5\nZ15\nM2"
        )
        proof = prove([text], part, fixture, [one, other])
        assert (SENTENCES[1] not in refused(proof)) is proved, str(proof)


@pytest.mark.parametrize(("said", "proved"), [("Drive screw 1", True), ("Drive screw 10", False), ("", False)])
def test_a_screw_is_not_there_before_the_stop_that_says_its_words(said, proved):
    screw = tp.screws([(60, 40)], head_diameter=9, height=3, driven_at="Drive screw 1")
    text = f"X60 Y40\nZ2\nZ15\nM5\nM0 ({said})\nM2"
    assert one_piece(WIDE_RECESS, text, cutter=FLAT_6, screws=screw).holds is proved


def test_what_stands_between_two_percent_signs_is_all_there_is():
    with pytest.raises(NotUnderstood, match="behind the end"):
        read_pieces([f"%\n%\n{TEXT}"])


def test_feeding_with_the_spindle_standing_is_not_understood():
    text = re.sub(r"(?m)^M3 S\d+\n", "", TEXT)
    with pytest.raises(NotUnderstood, match="spindle standing"):
        read_pieces([text])


@pytest.mark.parametrize("edit", [("Y30\nZ2\n", "Z2\n"), ("G1 Z-8", "G1 Z-8.1"), ("Y50 F600", "Y50.1 F600\nY50"),
                                  ("Y50 F600", "X40.1 F600")])  # fmt: skip
def test_of_a_keyhole_slot_only_its_own_way_is_proved(edit):
    """An undercut cutter that comes up at the end of its slot, goes too deep, too far or beside the line."""
    cutter = tp.Cutter(1, tp.undercut(9.5, 3.2, 4.8), feed_mm_min=600, spindle_rpm=16000)
    board = tp.Board(width=120, height=80, thickness=18)
    fixture = tp.Fixture(board=board, grips=[board.outline])
    setup = tp.Setup(fixture, [tp.keyhole_slot([(40, 30)], cutter, depth=8, length=20)])
    text, part = tp.program_text(setup), tp.intended_part(setup)
    assert prove([text], part, fixture, [cutter]).holds
    spoilt = text.replace(*edit)
    assert spoilt != text and refused(prove([spoilt], part, fixture, [cutter]))


def test_it_shares_nothing_with_those_who_make_or_judge():
    """Only facts and checks of single arguments."""
    imported = {
        node.module
        for path in PROVING.glob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.ImportFrom) and node.module.startswith("toolpaths.")
    }
    assert {name.split(".")[1] for name in imported} == {"base", "facts", "proving"}


def test_it_is_read_in_one_sitting():
    """Under 400 lines of code: without imports, docstrings, comments and blank lines."""
    count = 0
    for path in PROVING.glob("*.py"):
        tree = ast.parse(path.read_text())
        skipped = [node for node in ast.walk(tree) if isinstance(node, (ast.Import, ast.ImportFrom))]
        skipped += [
            node for node in ast.walk(tree) if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        ]
        left_out = {number for node in skipped for number in range(node.lineno, node.end_lineno + 1)}
        lines = enumerate(path.read_text().splitlines(), start=1)
        count += sum(bool(line.strip()) and line.strip()[0] != "#" and number not in left_out for number, line in lines)
    assert 300 < count < 400


def test_a_job_says_what_is_proved_of_its_sides_and_so_does_its_sheet():
    job = tp.Job("Tray", [POCKET])
    (proof,) = job.proofs().values()
    assert proof.holds and str(proof) in job.sheet().replace("&#x27;", "'")


@pytest.mark.long
def test_what_is_proved_of_several_sides_is_said_once():
    job = weather_station().job
    sheet, (proof, other) = job.sheet(), job.proofs().values()
    assert str(proof) == str(other) and sheet.count(str(proof)) == 1
    assert f"front, back: <strong>{proof}" in sheet
