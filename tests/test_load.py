"""Load on the cutter: limits just kept and just passed, amounts, and the light cuts that are no load."""

from __future__ import annotations

from math import cos, pi, radians, sin, tan

import pytest
from planted_load import BOARD, INCHES, NUMBERED, WIDENED, judge

from toolpaths import Board, Cutter, Fixture, Machine, ball, bull_nose, drill_point, flat, simulate, v_point
from toolpaths.judging.checks.load import deep_pass

HEAD = "G21 G90 G17 G94\nG0 Z20\nT1 M6\nM3 S{rpm}\nG4 P2\nG0 X{x} Y{y}\nG0 Z1\n"
TAIL = "G0 Z20\nM5\nM30\n"


def found(body: str, cutter: Cutter, x=30, y=30, rpm=16000, board=BOARD, cell=0.5, **facts):
    text = HEAD.format(x=x, y=y, rpm=rpm) + body.strip() + "\n" + TAIL
    return simulate(text, Fixture(board=board, spoilboard_depth=0.5, **facts), [cutter], cell=cell)


def mill(**changes) -> Cutter:
    return Cutter(1, changes.pop("profile", flat(6)), 1200, 16000, **{"cutting_length": 25, **changes})


@pytest.mark.parametrize("text", [NUMBERED, WIDENED, INCHES], ids=["numbered", "widened", "inches"])
def test_sound_programs_give_no_finding(text):
    assert judge(text).ok, str(judge(text))


def only(report, code):
    (finding,) = report.findings
    assert finding.code == code
    return finding


@pytest.mark.parametrize("cell", [0.25, 2.0])
@pytest.mark.parametrize(
    ("cutter", "limit"),
    [(mill(), 6), (mill(step_down=2), 2), (mill(step_down=8), 8), (mill(profile=ball(8)), 8),
     (mill(profile=bull_nose(6, 2)), 6)],
    ids=["diameter", "given less", "given more", "ball", "bull nose"],
)  # fmt: skip
def test_depth_of_a_pass_is_limited_exactly(cutter, limit, cell):
    body = "G1 Z-{z} F300\nG1 X90 F1200"
    assert found(body.format(z=limit), cutter, cell=cell).ok
    finding = only(found(body.format(z=limit + 0.05), cutter, cell=cell), "deep-pass")
    assert (finding.amount, finding.limit) == (pytest.approx(limit + 0.05, abs=1e-4), limit)
    assert finding.line == 9
    assert "full width" in finding.message


ROUNDS = "\n".join(
    f"G3 X30 Y45 Z-{z - 0.75} I-15 J0 F1200\nG3 X60 Y45 Z-{z} I15 J0" for z in (1.5, 3.0, 4.5)
)  # fmt: skip
POINTED = {
    "V 90": v_point(12, 90),
    "V 60": v_point(12, 60),
    "ball": ball(8),
    "bull nose": bull_nose(8, 3),
    "flat": flat(8),
}


@pytest.mark.parametrize("profile", POINTED.values(), ids=POINTED)
def test_a_cutter_that_follows_its_own_way_deeper_takes_what_it_goes_down(profile):
    """Down a helix, over whose tip wood stands on both sides of a cone or a ball: 1.5 mm of depth all the way."""
    run = {
        "profile": profile,
        "cutting_length": profile.usual_length,
        "steepest_ramp_deg": 10,
        "fastest_plunge_mm_min": 1200,
    }
    down = "G1 Z0 F300\n" + ROUNDS
    assert found(down, mill(deepest_pass=1.5, **run), x=60, y=45).ok
    finding = only(found(down, mill(deepest_pass=1.4, **run), x=60, y=45), "deep-pass")
    assert 1.4 < finding.amount <= 1.5 + 1e-3


@pytest.mark.parametrize("profile", POINTED.values(), ids=POINTED)
def test_a_pass_that_skips_one_is_as_deep_as_both(profile):
    body = "G1 Z-1.5 F300\nG1 X90 F1200\nG1 Z-{} F300\nG1 X30 F1200"
    cutter = mill(profile=profile, cutting_length=profile.usual_length, deepest_pass=1.5)
    assert found(body.format(3), cutter).ok
    # What the front of a cone took on its way there is not counted, so it may be more.
    assert 1.5 < only(found(body.format(4.5), cutter), "deep-pass").amount <= 3 + 1e-3
    assert only(found(body.format(3.05), cutter), "deep-pass").line == 11


def test_what_earlier_passes_took_counts():
    cutter = mill(step_down=3)
    passes = "G1 Z-{} F300\nG1 X90 F1200\nG1 Z-{} F300\nG1 X30 F1200\nG1 Z-{} F300\nG1 X90 F1200"
    assert found(passes.format(3, 6, 9), cutter).ok
    finding = only(found(passes.format(3, 5.9, 9), cutter), "deep-pass")
    assert (finding.line, finding.amount) == (13, pytest.approx(3.1, abs=1e-4))


def test_through_cut_counts_the_wood_only():
    """18 thick: 3 mm are left after the pass at 15, however deep the spoilboard is scratched."""
    passes = "\n".join(f"G1 Z-{z} F300\nG1 X{90 if z % 6 else 30} F1200" for z in (3, 6, 9, 12, 15, 18.4))
    assert found(passes, mill(step_down=3)).ok


SQUARE = "G1 X{low} Y{low} F1200\nG1 X{high}\nG1 Y{high}\nG1 X{low}\nG1 Y{low}"
CIRCLE = "G1 X{high} Y45 F1200\nG3 X{high} Y45 I-{half} J0"


@pytest.mark.parametrize(("allowance", "ok"), [(0.3, True), (1.2, True), (1.8, False)])
@pytest.mark.parametrize("ring", [SQUARE, CIRCLE])
def test_a_finishing_cut_may_go_to_the_full_depth(allowance, ok, ring):
    """A quarter of 6 mm is 1.5; corners, in which the wall ahead is met, are no deep pass."""
    rough = "\n".join(f"G1 Z-{z} F300\n" + ring.format(low=30, high=60, half=15) for z in (3, 6, 9, 12))
    last = ring.format(low=30 - allowance, high=60 + allowance, half=15 + allowance)
    report = found(f"F1200\nG1 X60 Y45\n{rough}\n{last}", mill(step_down=3, cutting_length=20), x=60, y=45)
    assert report.ok is ok, str(report)
    if not ok:
        assert report.codes() == ("deep-pass",)


@pytest.mark.parametrize("length", [0.02, 0.3, 5.0])
def test_short_moves_hide_nothing(length):
    """The same slot in many short moves."""
    count = round(20 / length)
    moves = "\n".join(f"G1 X{30 + 20 * (k + 1) / count:.4f}" for k in range(count))
    assert found("G1 Z-6 F300\nF1200\n" + moves, mill()).ok
    finding = only(found("G1 Z-6.1 F300\nF1200\n" + moves, mill()), "deep-pass")
    assert finding.amount == pytest.approx(6.1, abs=1e-3)


def test_width_of_a_pass_is_limited_where_the_user_says_so():
    slot = "G1 Z-3 F300\nG1 X90 F1200\nG1 Y{}\nG1 X30"
    assert found(slot.format(33), mill()).ok
    wide = mill(widest_cut=0.5)
    report = found(slot.format(33), wide)
    assert (report.codes(), report.findings[0].line) == (("wide-pass",), 9)
    assert report.findings[0].amount == pytest.approx(6, abs=0.1)
    row = "G0 Z-1\nG0 Z20\nT2 M6\nM3 S16000\nG4 P2\nG0 X30 Y{}\nG0 Z-2\nG1 Z-3 F300\nG1 X90 F1200"
    for y, ok in ((31.0, True), (32.9, True), (33.4, False)):
        text = (
            HEAD.format(x=30, y=30, rpm=16000)
            + "G1 Z-3 F300\nG1 X90 F1200\n"
            + row.format(y).replace("G0 Z-1\n", "")
            + "\n"
            + TAIL
        )
        text = text.replace("G0 Z-2\n", "")
        rack = [mill(), Cutter(2, flat(6), 1200, 16000, widest_cut=0.5, cutting_length=25)]
        report = simulate(text, Fixture(board=BOARD), rack, cell=0.5)
        assert report.ok is ok, str(report)


@pytest.mark.parametrize(
    ("wood", "most"),
    # At 1/4 in as printed: .008 softwood [AST], .007 hardwood, .009 plywood, .015 MDF and any.
    [("softwood", 0.2032), ("hardwood", 0.1778), ("plywood", 0.2286), ("MDF", 0.381), ("", 0.381)],
)
def test_chips_are_judged_by_the_charts_for_the_wood(wood, most):
    board = Board(width=200, height=120, thickness=18, wood=wood)
    cutter = mill(profile=flat(6.35))
    body = "G1 Z-3 F300\nG1 X90 F{:.1f}"
    feed = most * 2 * 6000
    assert found(body.format(feed), cutter, rpm=6000, board=board).ok
    finding = only(found(body.format(feed * 1.03), cutter, rpm=6000, board=board), "chip-load")
    assert (finding.severity, finding.amount) == ("doubt", pytest.approx(most * 1.03, rel=1e-3))
    assert finding.limit == pytest.approx(most, rel=1e-3)


def test_chips_too_thin_are_found_only_in_wood():
    slow = "G1 Z{} F100\nG1 X90 {}"
    assert found(slow.format(-3, "F1200") + "\nG1 Z0.5\nG1 X30 F100", mill()).ok, "above the board"
    assert found(slow.format(-3, "F320"), mill()).ok, "exactly 0.01"
    finding = only(found(slow.format(-3, "F300"), mill()), "chip-load")
    assert finding.amount == pytest.approx(300 / 32000)
    again = "G1 Z-3 F300\nG1 X90 F1200\nG1 X30 F100"
    assert found(again, mill()).ok, "back through the slot, slowly"


def test_own_range_and_flutes_count():
    body = "G1 Z-3 F300\nG1 X90 F{}"
    own = mill(chip_load_mm=(0.03, 0.05), flutes=1)
    assert [found(body.format(f), own).ok for f in (460, 480, 800, 820)] == [False, True, True, False]


GOING_DOWN = {
    "plunge": "G1 Z-3 F{}\nG1 X90 F1200",
    "plunge by cycle": "G98 G81 X30 Y30 Z-3 R1 F{}\nG80",
    "nearly upright": "G1 Z0 F300\nG1 X30.2 Z-3 F{}\nG1 X90 F1200",
    "ramp": "G1 Z0 F300\nG1 X90 Z-3 F{}\nG1 X30 F1200",
    "helix": "G1 Z0 F300\nG3 X30 Y30 Z-1 I-2 F{0}\nG3 X30 Y30 Z-2 I-2\nG3 X30 Y30 I-2 F1200",
}


@pytest.mark.parametrize("flutes", [1, 2, 3])
@pytest.mark.parametrize("move", GOING_DOWN)
def test_chips_too_thin_are_found_on_the_way_down(move, flutes):
    """0.01 on a level way; as many times less on a ramp as there are flutes, four times less straight down."""
    least = 0.01 / flutes if move in ("ramp", "helix") else 0.01 / 4
    cutter = mill(flutes=flutes)
    assert found(GOING_DOWN[move].format(round(1.02 * least * 16000 * flutes, 1)), cutter).ok
    finding = only(found(GOING_DOWN[move].format(round(0.95 * least * 16000 * flutes, 1)), cutter), "chip-load")
    assert (finding.severity, finding.limit) == ("doubt", pytest.approx(least))
    assert finding.amount == pytest.approx(0.95 * least, rel=0.01)


@pytest.mark.sample(16)
@pytest.mark.parametrize("wood", ["softwood", "hardwood", "plywood", "MDF"])
@pytest.mark.parametrize("diameter", [3, 6, 8])
@pytest.mark.parametrize("move", GOING_DOWN)
def test_a_feed_that_any_practice_has_on_a_way_down_is_sound_and_a_tenth_of_it_is_not(move, diameter, wood):
    """A level cut at half of what charts print, a ramp at that or over the flutes, a plunge at a quarter to a half."""
    board = Board(width=200, height=120, thickness=18, wood=wood)
    cutter = mill(profile=flat(diameter), ramp_mm_min=600, plunge_mm_min=300)
    level = 1200
    for share in (1, 0.5) if move in ("ramp", "helix") else (0.5, 0.33, 0.25):
        feed = level * share
        assert "chip-load" not in found(GOING_DOWN[move].format(feed), cutter, board=board).codes()
        assert "chip-load" in found(GOING_DOWN[move].format(feed / 10), cutter, board=board).codes()


@pytest.mark.parametrize("feed", [200, 300, 500])
@pytest.mark.parametrize("diameter", [2, 3, 8])
def test_a_drill_a_tenth_as_fast_or_ten_times_as_fast_as_it_is_run_is_found(diameter, feed):
    drill = Cutter(1, drill_point(diameter), feed, 9000)
    for by in (0.5, 1):
        assert found(f"G1 Z-5 F{feed * by}", drill, rpm=9000).ok
    assert found(f"G1 Z-5 F{feed / 10}", drill, rpm=9000).codes() == ("chip-load",)
    assert found(f"G1 Z-5 F{feed * 10}", drill, rpm=9000).codes() == ("fast-plunge",)
    slow = Machine(spindle_rpm=(900, 24000))
    assert found(f"G1 Z-5 F{feed}", drill, rpm=900, machine=slow).codes() == ("chip-load",)
    cause = only(found(f"G1 Z-5 F{feed}", drill, rpm=900), "spindle-speed")
    assert cause.consequences == ("chip-load",), "of a spindle that cannot turn so slowly"


@pytest.mark.parametrize("move", ["ramp", "helix"])
def test_ten_times_as_fast_on_a_ramp_is_found(move):
    """Faster than the charts' chips, though not yet too fast straight down."""
    body = GOING_DOWN[move].format(6500)
    assert "chip-load" in found(body, mill(), machine=Machine(rapid_mm_min=6500)).codes()
    cause = next(each for each in found(body, mill()).findings if each.code == "fast-feed")
    assert "chip-load" in cause.consequences, "of a feed that no axis can do"


LEVEL = "G1 Z-3 F300\nG1 X90 F{}"


@pytest.mark.parametrize(("feed", "rpm", "given", "cause"), [
    (60, 5000, None, "spindle-speed"),
    (4900, 30000, (0.01, 0.05), "spindle-speed"),
    (5200, 24000, (0.2, 0.3), "fast-feed"),
], ids=["too thin, spindle too slow", "too thick, spindle too fast", "too thin, feed too fast"])  # fmt: skip
def test_chips_wrong_the_other_way_than_a_wrong_speed_makes_them_are_found_beside_it(feed, rpm, given, cause):
    """Put right, the speed makes them worse (once they were counted in it and left out)."""
    report = found(LEVEL.format(feed), mill(chip_load_mm=given), rpm=rpm)
    (wrong,) = (each for each in report.findings if each.code == cause)
    assert "chip-load" not in wrong.consequences
    assert any(each.code == "chip-load" and 9 in each.lines for each in report.findings), str(report)


@pytest.mark.parametrize(("feed", "lines"), [(4900, (9, 10)), (100, (10,))], ids=["too thick", "too thin"])
def test_chips_on_a_line_that_no_axis_is_too_slow_for_are_found_beside_a_feed_too_fast(feed, lines):
    report = found(LEVEL.format(15000) + f"\nG1 Y60 F{feed}", mill(), rpm=6000 if feed == 4900 else 16000)
    (fast,) = (each for each in report.findings if each.code == "fast-feed")
    assert fast.lines == (9,)
    assert [each.lines for each in report.findings if each.code == "chip-load"] == [lines], str(report)


def test_a_drill_is_fed_within_the_range_given_for_it():
    drill = Cutter(1, drill_point(3), 900, 9000, chip_load_mm=(0.03, 0.06))
    assert [found(f"G1 Z-5 F{feed}", drill, rpm=9000).ok for feed in (520, 545, 900)] == [False, True, True]


@pytest.mark.parametrize(
    ("cutter", "angle"),
    [(mill(centre_cutting=False), 10), (mill(ramp_angle_deg=4), 4), (mill(steepest_ramp_deg=20), 20)],
)
def test_angle_of_a_ramp_is_limited(cutter, angle):
    for share, ok in ((0.99, True), (1.05, False)):
        run = 3 / tan(radians(angle * share))
        report = found(f"G1 Z0 F300\nG1 X{30 + run:.3f} Z-3 F900\nG1 X30", cutter)
        assert report.ok is ok, str(report)
        if not ok:
            finding = only(report, "steep-ramp")
            assert (finding.amount, finding.limit) == (pytest.approx(angle * share, rel=0.01), angle)


def test_a_steep_ramp_in_short_moves_is_found():
    count = 60
    moves = "\n".join(f"G1 X{30 + 12 * (k + 1) / count:.3f} Z{-3 * (k + 1) / count:.3f}" for k in range(count))
    report = found(f"G1 Z0 F300\nF900\n{moves}\nG1 X30", mill(steepest_ramp_deg=10))
    assert report.codes() == ("steep-ramp",)


SLANTS = (5, 11, 20, 30, 45, 60, 75, 87, 89.5, 90)


def slant(angle: float, deep: float, down: float) -> str:
    """Down at an angle, by `deep` mm into solid wood, at `down` mm a minute of height."""
    across = deep / tan(radians(angle)) if angle < 90 else 0.0
    return f"G1 Z0 F300\nG1 X{30 + across:.4f} Z-{deep} F{down / sin(radians(angle)):.1f}\nG1 X100 F900"


@pytest.mark.sample(33)
@pytest.mark.parametrize("profile", [flat(6), flat(3), ball(6), bull_nose(8, 1)], ids=str)
@pytest.mark.parametrize("deep", [0.9, 1.3, 2.5])
@pytest.mark.parametrize("angle", SLANTS)
def test_down_too_fast_is_found_at_every_slope_and_what_is_slow_enough_straight_down_at_none(angle, deep, profile):
    cutter = mill(profile=profile, plunge_mm_min=400)
    # Faster the chips would be too thick.
    if 410 / sin(radians(angle)) < 3000:
        assert found(slant(angle, deep, 395), cutter).codes() == (), "no harder than a plunge"
        assert found(slant(angle, deep, 410), cutter).codes() == ("fast-plunge",)


@pytest.mark.parametrize("angle", SLANTS)
def test_a_cutter_of_which_only_the_feed_was_given_may_go_down_at_that_on_any_slope(angle):
    assert found(slant(angle, 2, min(1180 * sin(radians(angle)), 1180)), mill()).codes() == ()


@pytest.mark.parametrize("angle", [11, 30, 44, 60, 87, 90])
def test_a_cutter_that_does_not_cut_at_its_centre_goes_down_steeply_nowhere(angle):
    report = found(slant(angle, 1.3, 200), mill(centre_cutting=False))
    plunge = ("plunge",) if angle > 45 else ()
    assert report.codes() == (*plunge, *(("steep-ramp",) if angle < 90 else ()))


@pytest.mark.parametrize("chords", [0, 12, 40])
@pytest.mark.parametrize(("pitch", "ok"), [(3, True), (6, True), (7, False)])
def test_a_bore_on_a_helix_may_fall_a_pass_a_turn(pitch, ok, chords):
    """A hole of 8 with a cutter of 6: 6 mm a turn is 43 degrees on its own path."""
    lines = []
    for turn in range(2):
        for k in range(1, chords + 1):
            part, z = 2 * pi * k / chords, -pitch * (turn + k / chords)
            lines.append(f"G1 X{40 + cos(part):.4f} Y{40 + sin(part):.4f} Z{z:.4f}")
        if not chords:
            lines.append(f"G3 X41 Y40 Z{-pitch * (turn + 1)} I-1 J0")
    last = -2 * pitch
    body = "G1 Z0 F300\nF900\n" + "\n".join(lines) + f"\nG3 X41 Y40 Z{last} I-1 J0"
    report = found(body, mill(), x=41, y=40)
    assert ("steep-ramp" not in report.codes()) is ok, str(report)
    assert report.ok is ok, str(report)


def test_a_cutter_that_does_not_cut_at_its_centre_keeps_its_angle_on_a_helix():
    dead = mill(centre_cutting=False)
    helix = "G1 Z0 F300\nG3 X42 Y40 Z-{0} I-2 J0 F900\nG3 X42 Y40 I-2 J0"
    assert found(helix.format(2), dead, x=42, y=40).ok
    assert found(helix.format(3), dead, x=42, y=40).codes() == ("steep-ramp",)


def test_down_behind_a_tab_is_no_ramp():
    tab = "G1 Z-3 F300\nG1 X90 F1200\nG1 Z-6 F300\nG1 X70 F1200\nG1 X66 Z-3\nG1 X58\nG1 X54 Z-6\nG1 X30"
    assert found(tab, mill(steepest_ramp_deg=10)).ok
    deeper = tab.replace("G1 X54 Z-6", "G1 X54 Z-9")
    assert "steep-ramp" in found(deeper, mill(step_down=6, steepest_ramp_deg=10)).codes()


def test_down_an_open_slope_is_no_ramp():
    """Down over the edge of a recess already cut."""
    open_slope = "G1 Z-3 F300\nG1 X90 F1200\nG0 Z1\nG0 X30\nG1 X34 Z-3 F900\nG1 X60"
    assert found(open_slope, mill()).ok


@pytest.mark.parametrize("where", ["plunge", "cycle", "slope"])
def test_speed_of_a_plunge_is_limited(where):
    words = {
        "plunge": "G1 Z-3 F{}\nG1 X90 F1200",
        "cycle": "G98 G81 X30 Y30 Z-3 R1 F{}\nG80",
        "slope": "G1 Z0 F300\nG1 X31 Z-3 F{}",
    }
    factor = {"plunge": 1, "cycle": 1, "slope": 10**0.5 / 3}[where]
    given = mill(plunge_mm_min=400)
    report = found(words[where].format(round(402 * factor, 1)), given)
    assert "fast-plunge" not in report.codes()
    report = found(words[where].format(round(410 * factor, 1)), given)
    (finding,) = (f for f in report.findings if f.code == "fast-plunge")
    assert (finding.amount, finding.limit) == (pytest.approx(410, rel=0.01), 400)
    assert "fast-plunge" not in found(words[where].format(round(1200 * factor, 1)), mill()).codes(), (
        "only its feed was given"
    )


def test_a_drill_may_go_at_its_feed():
    drill = Cutter(1, drill_point(3), 400, 16000, plunge_mm_min=200)
    assert found("G1 Z-9 F400", drill).ok
    assert found("G1 Z-9 F450", drill).codes() == ("fast-plunge",)


def test_fast_down_a_hole_already_made_is_sound():
    again = "G1 Z-6 F300\nG0 Z1\nG1 Z-6 F1200\nG1 Z-8 F300"
    assert found(again, mill(plunge_mm_min=400)).ok
    assert found(again.replace("G1 Z-8 F300", "G1 Z-8 F500"), mill(plunge_mm_min=400)).codes() == ("fast-plunge",)


def test_a_relief_cut_down_steep_walls_in_light_cuts_is_sound():
    """A finishing ball goes up and down a wave of 45 degrees, 0.4 mm a row, over wood roughed to 0.5 mm."""
    rows = []
    for part, over in ((0.5, "rough"), (0.0, "fine")):
        for k in range(30):
            y = 30 + 0.4 * k
            steps = range(0, 81) if k % 2 == 0 else range(80, -1, -1)
            rows += [f"G1 X{30 + s / 2:.3f} Y{y:.3f} Z{-2.6 + 2.4 * sin(s / 2 / 2.6) + part:.4f}" for s in steps]
        rows.append("G0 Z5\nG0 X30 Y30\nG0 Z1" if over == "rough" else "")
    report = found("F1200\n" + "\n".join(rows), mill(profile=ball(6), plunge_mm_min=400))
    assert set(report.codes()) <= {"fast-plunge", "steep-ramp"}, str(report)
    fine = [f for f in report.findings if min(f.lines) > 30 * 81 + 15]
    assert not fine, str(report)


def test_a_v_line_and_a_chamfer_are_no_load():
    vee = Cutter(1, v_point(12, 90), 1200, 16000)
    assert found("G1 Z-3 F300\nG1 X90 F1200\nG1 Y50\nG1 X30", vee).ok


def test_a_long_path_is_looked_at_evenly(monkeypatch):
    body = "G1 Z-6.5 F300\nF1200\n" + "\n".join(f"G1 X{30 + 100 * (k % 2)} Y{30 + 3 * k}" for k in range(25))
    assert len(found(body, mill()).findings[0].lines) > 20
    monkeypatch.setattr(deep_pass, "MOST_SPOTS", 60)
    few = found(body, mill())
    assert few.codes() == ("deep-pass",)
    lines = few.findings[0].lines
    assert len(lines) > 10
    assert max(lines) - min(lines) > 20, "from the first to the last row"


def test_report_notes_a_way_too_long_to_look_at_closely():
    """1000 rows of 100 mm below a pass of 1 mm are more places than are looked at."""
    cutter = Cutter(1, flat(2), 900, 16000, step_down=1)
    rows = "".join(f"Y{10 + 0.1 * row:.1f}\nX{130 if row % 2 else 30}\n" for row in range(1000))
    text = f"G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X30 Y10\nG1 Z{{}} F300\nF900\n{rows}G0 Z20\nM5\nM30\n"
    fixture = Fixture(board=Board(width=200, height=130, thickness=18))
    deep = simulate(text.format(-2), fixture, [cutter], cell=2.0)
    assert any("a short overload may go unseen" in note for note in deep.notes)
    assert not simulate(text.format(-1), fixture, [cutter], cell=2.0).notes


@pytest.mark.parametrize("rise", [0.3, -0.3, 0.001, 5.0])
def test_a_cut_that_follows_a_surface_is_judged_as_a_level_one(rise):
    """By hundredths up or down; and one that climbs steeply as a ramp."""
    body = "G1 Z-{begin} F300\nG1 X90 Z-{end} F{feed}"
    least = 0.01 if rise < 1 else 0.005
    deep = 5.5
    for share, ok in ((1.05, True), (0.95, False)):
        feed = round(least * 32000 * share, 1)
        report = found(body.format(begin=deep, end=deep - rise, feed=feed), mill(steepest_ramp_deg=90))
        assert ("chip-load" not in report.codes()) is ok, str(report)
    wide = mill(widest_cut=0.5)
    assert ("wide-pass" in found(body.format(begin=deep, end=deep - rise, feed=1200), wide).codes()) is (rise < 1)
