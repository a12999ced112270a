"""A test cut with errors planted is measured back: its programs are cut here by a shop of its own, from their text."""

from __future__ import annotations

import math
import pickle
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
import shapely
from own_shop import Shop, read_piece

import toolpaths as tp

BOARD = tp.Board(width=200, height=140, thickness=18, wood="oak")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
SCREWS = tp.screws([(8, 8), (192, 8), (8, 132), (192, 132)], head_diameter=8, height=3)
FRONT = tp.Fixture(board=BOARD, screws=SCREWS)
BACK = FRONT.turned_over("left to right", screws=SCREWS)

_SHORT = tp.Cutter(2, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=8)

SHOPS = {
    "nominal": Shop(),
    "thin cutter": Shop(wider=-0.08),
    "run-out and axes": Shop(wider=0.07, scale_x=0.0015, scale_y=-0.0011),
    "flip line": Shop(flip_line=-0.13, across=0.06),
    "Z": Shop(scale_z=0.01, zero_z=0.15),
    "flip line askew": Shop(flip_angle_deg=0.11),
    "all": Shop(0.05, -0.002, 0.0013, -0.008, -0.11, 0.21, -0.04, -0.07),
}
_THIN = tp.Cutter(3, tp.flat(3), feed_mm_min=900, spindle_rpm=18000, cutting_length=19)
_PINS = tp.dowels([(9, 70), (191, 70), (100, 9)], diameter=8, depth=5)
_PINNED = tp.Fixture(board=BOARD, screws=SCREWS, dowels=_PINS)
PIECES = {
    "left to right": (T1, FRONT, BACK),
    "top to bottom, from the middle": (
        T1, tp.Fixture(board=BOARD, screws=SCREWS, zero_at="centre"),
        tp.Fixture(board=BOARD, screws=SCREWS, zero_at="centre").turned_over("top to bottom", screws=SCREWS),
    ),
    "top to bottom, 3 mm": (
        _THIN, FRONT,
        FRONT.turned_over("top to bottom", zero_at="upper left", screws=SCREWS),
    ),
    "on pins": (T1, _PINNED, _PINNED.turned_over("left to right", screws=SCREWS)),
}  # fmt: skip


@cache
def piece_of(name="left to right"):
    """Planned once, and only where it is looked at."""
    return tp.test_cut(*PIECES[name])


@pytest.mark.sample(1)
@pytest.mark.parametrize("name", PIECES)
def test_the_piece_is_a_sound_job(name):
    assert not piece_of(name).job.report(cell=1.0).findings


@pytest.mark.sample(1, long=4)
@pytest.mark.parametrize("shop", SHOPS.values(), ids=SHOPS)
@pytest.mark.parametrize("name", PIECES)
def test_planted_errors_are_measured_back(name, shop):
    """To a thousandth of a mm where the calliper is perfect: nothing is approximated but the chords of arcs."""
    piece = piece_of(name)
    found = tp.measured(piece, read_piece(piece, shop), calliper=0.005)
    assert found.cutter_diameter.value == pytest.approx(piece.cutter.diameter + shop.wider, abs=0.002)
    assert found.scale_x.value == pytest.approx(shop.scale_x, abs=3e-5)
    assert found.scale_y.value == pytest.approx(shop.scale_y, abs=3e-5)
    assert found.scale_z.value == pytest.approx(shop.scale_z, abs=1e-5)
    assert found.zero_z.value == pytest.approx(shop.zero_z, abs=1e-4)
    assert found.flip_line.value == pytest.approx(shop.flip_line, abs=0.003)
    along = found.back_y if piece.back.turned == "left to right" else found.back_x
    assert along.value == pytest.approx(shop.across, abs=0.005)
    assert found.flip_angle_deg.value == pytest.approx(shop.flip_angle_deg, abs=0.002)


@pytest.mark.long
def test_the_sheet_lists_every_measure_with_room_to_write():
    page = piece_of().job.sheet(report=piece_of().job.report(cell=2.0))
    for each in piece_of().measures:
        assert f"{each.name}: {each.how}; drawn {each.nominal:g} mm, read ____" in page


@pytest.mark.long
@pytest.mark.parametrize("diameter", [2, 3, 4, 8])
def test_every_measure_can_be_read_with_a_calliper(diameter):
    """In the wood as simulated: the jaws find both walls of a web at one height, and room in the holes beside it."""
    cutter = tp.Cutter(4, tp.flat(diameter), feed_mm_min=900, spindle_rpm=18000, cutting_length=max(13, 4 * diameter))
    scrap = tp.Board(width=190, height=140, thickness=12)
    front = tp.Fixture(board=scrap, grips=(scrap.outline,))
    piece = tp.test_cut(cutter, front, front.turned_over("left to right", grips=(scrap.outline,)))
    report = piece.job.report(cell=0.5)
    assert not [each for each in report.findings if each.finding.severity != "doubt"]
    wood = piece.job.wood_after("back", 1, cell=0.5)
    through = np.asarray(wood.top <= wood.bottom)
    _, (x, y) = piece._places
    apart, (rows, columns) = piece._apart, through.shape
    for step in ((-1, 0), (1, 0), (0, -1), (0, 1)):
        for share, open_there in ((0.0, True), (0.5, False), (1.0, True)):
            place = piece.back.place(shapely.Point(x + share * apart * step[0], y + share * apart * step[1]))
            column, row = int(place.x / 190 * columns), int(place.y / 140 * rows)
            assert through[row, column] == open_there, (step, share)


@pytest.mark.long
def test_readings_with_a_calliper_s_noise_are_within_what_is_said():
    """Of 100 shops with noise of their own, 95 % of each fact; the bound is exceeded once in ten thousand times."""
    random, inside = np.random.default_rng(5), []
    truth_of = Shop(0.05, -0.002, 0.0013, -0.008, -0.11, 0.21, 0.0)
    true_sizes = read_piece(piece_of(), truth_of)
    for _ in range(100):
        readings = {name: size + random.normal(0, 0.02) for name, size in true_sizes.items()}
        found = tp.measured(piece_of(), readings, calliper=0.02)
        pairs = (
            (found.cutter_diameter, 6.05), (found.scale_x, -0.002), (found.scale_y, 0.0013), (found.scale_z, -0.008),
            (found.zero_z, -0.11), (found.flip_line, 0.21),
        )  # fmt: skip
        inside.append([abs(each.value - true) <= each.half_range for each, true in pairs])
    assert (np.sum(inside, axis=0) >= _least_of(100)).all()


def _webs_of(shop):
    """From the drawing and the shop alone: where lines through the middles of the webs meet the walls beside them. What
    the back cuts is where the machine goes, turned over about the line as it lies."""
    middle, scale = np.array([100.0, 70.0]), np.array([1 + shop.scale_x, 1 + shop.scale_y])
    alpha = np.radians(shop.flip_angle_deg)
    line = np.array([-np.sin(alpha), np.cos(alpha)])
    half = 6.0 + shop.wider / 2

    def of_back(place):
        off = place * scale - middle - [shop.flip_line, 0.0]
        return middle + [shop.flip_line, shop.across] + 2 * (off @ line) * line - off

    def web(front, back, axis):
        # The path of the axis goes 3 mm inside each wall as drawn.
        toward = np.sign(back[axis] - front[axis])
        wall = front * scale
        wall[axis] = front[axis] * scale[axis] + toward * (3 * scale[axis] + half - 3)
        ends = []
        for along in (-3.0, 3.0):
            corner = np.array(back, float)
            corner[axis] -= toward * 3
            corner[1 - axis] += along
            ends.append(of_back(corner * [-1, 1] + [200, 0]))
        (one, other), across = ends, 1 - axis
        share = (front[across] * scale[across] - one[across]) / (other[across] - one[across])
        run = other - one
        slope = np.hypot(*run) / abs(run[across])
        far = one[axis] + share * run[axis] - toward * (half - 3) * slope
        return toward * (far - wall[axis])

    (_, (cx, cy)), pairs = piece_of()._places, piece_of()._pairs
    centre, apart = np.array([cx, cy]), 19.0
    steps = {"left": (-apart, 0), "right": (apart, 0), "lower": (0, -apart), "upper": (0, apart)}
    found = {f"web {side}": web(centre, centre + step, int(step[0] == 0)) for side, step in steps.items()}
    return found | {f"web {side}": web(np.array(a), np.array(b), 0) for side, (a, b) in pairs.items()}


@pytest.mark.long
def test_webs_by_hand_are_those_of_the_programs():
    shop = Shop(0.05, -0.002, 0.0013, 0.0, 0.0, 0.21, -0.04, 0.09)
    read = read_piece(piece_of(), shop)
    assert _webs_of(shop) == pytest.approx({name: read[name] for name in read if name.startswith("web")}, abs=0.002)


@pytest.mark.long
def test_flip_line_and_its_angle_of_ten_thousand_shops_are_within_what_is_said():
    """Offset, angle, width of the cutter and axes planted, a calliper's noise of 0.02 mm: each in 95 of 100."""
    random, count, inside = np.random.default_rng(21), 10_000, np.zeros(3)
    for _ in range(count):
        wider, line, across = random.normal(0, (0.06, 0.1, 0.1))
        scale_x, scale_y = random.normal(0, 0.0005, 2)
        shop = Shop(wider, scale_x, scale_y, flip_line=line, across=across, flip_angle_deg=random.normal(0, 0.05))
        sizes = _webs_of(shop) | {
            "slot width": 6 + wider, "over slots X": 139 * (1 + scale_x) + 6 + wider,
            "over slots Y": 104 * (1 + scale_y) + 6 + wider,
        }  # fmt: skip
        found = tp.measured(piece_of(), {name: size + random.normal(0, 0.02) for name, size in sizes.items()})
        facts = (found.cutter_diameter, found.flip_line, found.flip_angle_deg)
        true = (6 + wider, line, shop.flip_angle_deg)
        inside += [abs(each.value - is_so) <= each.half_range for each, is_so in zip(facts, true, strict=True)]
    assert inside == pytest.approx(np.full(3, 0.95 * count), abs=4 * math.sqrt(count * 0.95 * 0.05))


@pytest.mark.long
def test_the_angle_has_the_check_value_of_the_reference():
    """Webs .10 and .22 mm wider, 150 mm apart: (.22 - .10) / (2 * 150) = 0.4 mrad = 0.022918 degrees, to the right."""
    scrap = tp.Board(width=200, height=192, thickness=18)
    front = tp.Fixture(board=scrap, grips=(scrap.outline,))
    piece = tp.test_cut(T1, front, front.turned_over("left to right", grips=(scrap.outline,)))
    (low, _), (high, _) = piece._pairs.values()
    apart = high[1] - low[1]
    readings = {"slot width": 6.0, "between slots X": 133.0, "over slots X": 145.0, "web lower edge": 7.10}
    found = tp.measured(piece, readings | {"web upper edge": 7.10 + 0.12 * apart / 150})
    assert found.flip_angle_deg.value == pytest.approx(-0.022918, abs=1e-5)


class _Drawn(NamedTuple):
    """Errors of many shops."""

    wider: np.ndarray
    scale_x: np.ndarray


@pytest.mark.long
def test_fits_of_ten_thousand_shops_are_as_foretold():
    """Each shop cuts a test piece and three finished ones, reads them, and foretells the clearance of the next: it is
    within what was said in 95 of 100, neither fewer nor many more."""
    random, shops = np.random.default_rng(12), 10_000
    drawn = _Drawn(random.normal(0, 0.06, shops), random.normal(0, 0.001, shops))
    hole, peg = (tp.Size(name, 60, "X", kind, T1) for name, kind in (("mortise", "walls"), ("tenon", "outsides")))
    names = ("slot width", "between slots X", "over slots X", "plug X", "pocket X")
    changes = {measure.name: measure.changes for measure in piece_of().measures}
    nominal = {measure.name: measure.nominal for measure in piece_of().measures}
    inside = 0
    for wider, scale in zip(*drawn, strict=True):

        def size(drawn, changed, wider=wider, scale=scale):
            return drawn + changed["wider"] * wider + changed.get("scale_x", 0.0) * scale

        readings = {name: size(nominal[name], changes[name]) + random.normal(0, 0.02) for name in names}
        # From the definition, not from the library: 66 and 54 mm between axes, stretched; the walls half a cutter off.
        true_hole, true_peg = 54 * (1 + scale) + 6 + wider, 66 * (1 + scale) - 6 - wider
        finished = [(hole, true_hole + random.normal(0, 0.02)) for _ in range(2)]
        finished.append((peg, true_peg + random.normal(0, 0.02)))
        said = tp.measured(piece_of(), readings, finished=finished, calliper=0.02).clearance(hole, peg)
        inside += abs(said.value - (true_hole - true_peg)) <= said.half_range
    assert _least_of(shops) <= inside <= shops * 0.95 + 4 * math.sqrt(shops * 0.95 * 0.05)


def _least_of(count):
    """Fewer of `count` hits of 95 % each come once in some ten thousand times (binomial, by its normal limit)."""
    return count * 0.95 - 4 * math.sqrt(count * 0.95 * 0.05)


@pytest.mark.long
def test_a_corrected_cutter_cuts_the_size_that_is_drawn():
    """Written for the true width, a piece is foretold as drawn, but for the axes."""
    found = tp.measured(piece_of(), read_piece(piece_of(), Shop(wider=-0.09)))
    true = found.cutter(T1)
    assert true.diameter == pytest.approx(5.91, abs=0.002)
    assert true.body == T1.body and true.bears.deepest_pass == T1.bears.deepest_pass
    assert found.foretold(tp.Size("hole", 40, "X", "walls", T1)).value == pytest.approx(39.91, abs=0.004)
    assert found.foretold(tp.Size("hole", 40, "X", "walls", true)).value == pytest.approx(40, abs=0.004)


def test_finished_pieces_make_facts_surer():
    readings = {"slot width": 6.04, "over slots X": 145.1}
    peg = tp.Size("tenon", 60, "X", "outsides", T1)
    before = tp.measured(piece_of(), readings)
    after = tp.measured(piece_of(), readings, finished=[(peg, before.foretold(peg).value)] * 3)
    assert after.foretold(peg).uncertainty < 0.7 * before.foretold(peg).uncertainty


@pytest.mark.long
def test_ranges_are_what_was_read_and_how_sure_it_is():
    readings = read_piece(piece_of(), Shop(wider=0.04, flip_line=0.1, zero_z=0.05))
    found = tp.measured(piece_of(), readings)
    ranges, sure = found.ranges(), found.ranges(corrected=True)
    assert set(ranges) == {"cutter_diameter", "flip_line", "zero_z", "flip_angle_deg"}
    assert ranges["flip_line"] == pytest.approx(0.1 + found.flip_line.half_range, abs=0.003)
    assert all(sure[name] == getattr(found, name).half_range for name in sure)


@pytest.mark.long
def test_a_study_is_made_of_what_was_measured():
    sure = tp.measured(piece_of(), read_piece(piece_of(), Shop(wider=0.04))).ranges(corrected=True)
    small = tp.Job("Tray", [tp.Setup(FRONT, [tp.bore([(100, 70)], 12, T1, depth=4)])])
    studied = small.study(**sure, cell=4.0).ranges
    assert studied.cutter_diameter == sure["cutter_diameter"] and studied.zero_z == sure["zero_z"]


def test_the_uncertainty_is_that_of_the_formulas_by_hand():
    """Reference: over - between = 2 De; their mean is L (1 + s). Two readings of 0.02: De to 0.02/sqrt(2), the mean
    likewise."""
    found = tp.measured(piece_of(), {"over slots X": 145.10, "between slots X": 133.30}, calliper=0.02)
    assert found.cutter_diameter == pytest.approx((5.9, 0.02 / math.sqrt(2)))
    assert found.scale_x == pytest.approx((0.2 / 139, 0.02 / math.sqrt(2) / 139))
    assert found.degrees_of_freedom == 0 and found.scale_y is None and found.flip_line is None


@pytest.mark.parametrize(
    ("readings", "error", "message"),
    [
        ({}, tp.InputError, "give some of 'slot width'"),
        ({"slot": 6}, tp.InputError, "names 'slot', which the test cut has not; it has 'slot width'"),
        ({"slot width": 0.237}, tp.UnitsError, "is that in inches"),
        ({"slot width": 9}, tp.InputError, "is no small error"),
        ({"slot width": float("nan")}, tp.InputError, "not a finite number"),
        ({"slot width": -6}, tp.InputError, "greater than 0"),
        ({"slot width": "6"}, tp.InputError, "not a number"),
        ({"slot width": []}, tp.InputError, "lists no reading"),
        (5, tp.InputError, "must be a dict"),
        ({"plug X": 20.02}, tp.InputError, "width of the cutter and the scale of X apart; read also some of 'slot wid"),
        ({"slot depth": 2.0}, tp.InputError, "scale of Z and Z0 apart; read also some of 'pocket depth'"),
        ({"slot width": [6.0, 6.01, 5.99, 6.4]}, tp.InputError, "'slot width', 6.4, is .* times as far off"),
    ],
)
def test_readings_that_cannot_be_are_refused(readings, error, message):
    with pytest.raises(error, match=message):
        tp.measured(piece_of(), readings)


def test_a_calliper_is_good_for_something():
    for calliper in (0.0, 1e-300, 5.0, -0.02):
        with pytest.raises(tp.InputError, match="calliper"):
            tp.measured(piece_of(), {"slot width": 6.02}, calliper=calliper)


def test_a_size_that_depends_on_what_was_not_read_is_not_foretold():
    found = tp.measured(piece_of(), {"slot width": 6.02})
    with pytest.raises(tp.InputError, match="No reading tells the scale of X"):
        found.foretold(tp.Size("hole", 40, "X", "walls", T1))
    other = tp.Cutter(2, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    with pytest.raises(tp.InputError, match="is not the one that was measured"):
        found.cutter(other)


def _sides(width, height):
    front = tp.Fixture(board=tp.Board(width=width, height=height, thickness=18))
    return front, front.turned_over("left to right")


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: tp.test_cut(T1, tp.Fixture(board=tp.Board(width=120, height=80, thickness=18))), "105 x 105 mm are"),
        (lambda: tp.test_cut(T1, *_sides(160, 140)), "161 x 117 mm are"),
        (lambda: tp.test_cut(T1, tp.Fixture(board=tp.Board(width=200, height=140, thickness=7))), "for the deep cut"),
        (lambda: tp.test_cut(_SHORT, FRONT, BACK), "need edges of 18.3 mm"),
        (lambda: tp.test_cut(T1, BACK), "give that of the front"),
        (lambda: tp.test_cut(T1, FRONT, FRONT), "turned over"),
        (lambda: tp.test_cut(tp.Cutter(1, tp.v_point(12, 90), feed_mm_min=900, spindle_rpm=18000), FRONT), "no one"),
    ],
)
def test_a_test_cut_that_cannot_be_is_refused(call, message):
    with pytest.raises(tp.ToolpathsError, match=message):
        call()


def test_what_was_measured_is_a_value():
    found = tp.measured(piece_of(), {"slot width": 6.02})
    again = pickle.loads(pickle.dumps(found))
    assert again == found and again.cutter_diameter == found.cutter_diameter
    assert "6.020 +- 0.039" in str(found) and "95 of 100" in str(found)
    assert shapely.equals(again.piece.front.board.outline, BOARD.outline)
