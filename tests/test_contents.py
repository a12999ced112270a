"""What goes into the part: judged on the simulated part, from either face, in whole jobs as users write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from toolpaths.base.errors import InputError

BOARD = tp.Board(width=180, height=120, thickness=16)
FRONT = tp.Fixture(board=BOARD, grips=(tp.Grip(area=BOARD.outline, by="tape"),))
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=4)
CARD = tp.rectangle(50, 30, (60, 70))


def codes(job: tp.Job) -> list[str]:
    return [each.finding.code for each in job.report(cell=1.0).findings]


def job_of(operation: tp.Operation, *contents: object, fixture: tp.Fixture = FRONT) -> tp.Job:
    return tp.Job("Holder", [tp.Setup(fixture, [operation])], contents=contents)


@pytest.mark.sample(2)
@pytest.mark.parametrize("bite", ["smallest", "centred", "along the longer wall", "along the shorter wall"])
def test_a_square_card_goes_in_where_corners_are_relieved_and_not_where_they_are_round(bite):
    card = tp.goes_in(CARD, 3, fit=0.3, name="card")
    wide = tp.offset(CARD, 0.3)
    square = tp.rectangle(50.6, 30.6, (60, 70))
    relieved = tp.pocket(tp.relieve_corners(square, T1, bite=bite), T1, depth=3, name="card")
    assert codes(job_of(relieved, card)) == []
    report = job_of(tp.pocket(wide, T1, depth=3, name="card"), card).report(cell=1.0)
    assert "does-not-go-in" in [each.finding.code for each in report.findings]
    assert "wood stands in its way" in str(report)


@given(
    deep=st.sampled_from([2.9, 3.0, 3.4, 3.8]),
    thick=st.sampled_from([2.6, 3.0, 3.2]),
    below=st.sampled_from([-0.5, 0.0, 0.3]),
)
def test_depth_is_held_against_thickness(deep, thick, below):
    """Too high above 0.03, too deep beyond the play of half a millimetre (plain sums)."""
    round_card = tp.goes_in(tp.circle(40, (60, 70)), thick, fit=0.5, below=below, name="dial")
    found = codes(job_of(tp.pocket(tp.circle(41, (60, 70)), T1, depth=deep), round_card))
    fits = -0.03 - 1e-9 <= deep - thick - below <= 0.53 + 1e-9
    assert found == ([] if fits else ["does-not-go-in"])


def test_a_pane_is_put_in_from_the_back_where_it_is_seen_from_the_front():
    """Off the middle of the board, so that a place not turned over would be found."""
    back = FRONT.turned_over("left to right", grips=(tp.Grip(area=BOARD.outline, by="tape"),))
    recess = tp.pocket(tp.circle(41, (60, 70)), T1, depth=3)
    dial = tp.goes_in(tp.circle(40, (60, 70)), 3, fit=0.5, face="back", name="dial")
    opening = tp.bore([(60, 70)], 11, T1, depth=14, name="opening")
    front = tp.Setup(FRONT, [opening])
    both = tp.Job("Dial", [front, tp.Setup(back, [recess], after=front)], contents=[dial])
    assert "does-not-go-in" not in codes(both)
    wrong = tp.goes_in(tp.circle(40, (120, 70)), 3, fit=0.5, face="back", name="dial")
    assert "does-not-go-in" in codes(tp.Job("Dial", both.setups, contents=[wrong]))


def test_what_is_carried_by_nothing_falls_through():
    """An opening that is cut round is as empty as one that is cleared: its middle falls out."""
    through = tp.contour(tp.circle(41, (60, 70)), T1, depth=tp.through(0.2), side="inside")
    dial = tp.goes_in(tp.circle(40, (60, 70)), 3, fit=0.4, name="dial")
    pocketed = tp.pocket(tp.circle(41, (60, 70)), T1, depth=tp.through(0.2))
    assert "falls through" in str(job_of(pocketed, dial).report(cell=1.0))
    assert "falls through" in str(job_of(through, dial).report(cell=1.0))


def test_a_pane_lies_in_a_rebate_round_an_opening_whose_middle_falls_out():
    """A rebate 8 wide and 5 deep, cut as a ring: the wood in its middle leaves with the opening."""
    rebate = tp.relieve_corners(tp.rectangle(81, 61, (90, 60)), T1)
    opening = tp.rectangle(64, 44, (90, 60), corner_radius=4)
    ring = tp.pocket(rebate.difference(tp.rectangle(50, 30, (90, 60))), T1, depth=5, name="rebate")
    tabs = tp.Tabs(count=2, width=6, height=3)
    through = tp.contour(opening, T1, depth=tp.through(0.2), side="inside", tabs=tabs, name="opening")
    pane = tp.goes_in(tp.rectangle(80, 60, (90, 60)), 3, fit=0.4, below=2, name="pane")
    job = tp.Job("Frame", [tp.Setup(FRONT, [ring, through])], contents=[pane])
    assert "does-not-go-in" not in codes(job)
    assert "does-not-go-in" in codes(tp.Job("Panel", [tp.Setup(FRONT, [ring])], contents=[pane]))


def test_screws_by_length_against_the_wood_left():
    """In a recess 6 deep 10 of 16 are left: 8 may go in, and with 1.5 in the hinge a screw may be 9.5 long."""
    recess = tp.pocket(tp.circle(50, (60, 70)), T1, depth=6)
    for length, sound in ((9.5, True), (9.6, False)):
        screw = tp.screwed_in([(60, 70)], length, above=1.5, name="hinge screw")
        assert (codes(job_of(recess, screw)) == []) is sound
    report = str(job_of(recess, tp.screwed_in([(60, 70)], 12, name="screw")).report(cell=1.0))
    assert "8.0 mm long at most would do" in report.replace("\n", " ").replace("      ", "")


def test_a_clip_turns_or_is_stopped_by_a_wall():
    pane = tp.goes_in(tp.circle(40, (60, 60)), 3, fit=0.5, name="pane")
    recess = tp.pocket(tp.circle(41, (60, 60)), T1, depth=3)
    assert codes(job_of(recess, pane, tp.turning_clip((60, 84), 14, pane))) == []
    sunk = tp.goes_in(tp.circle(40, (60, 60)), 3, fit=0.5, below=2.0, name="pane")
    low = [
        tp.pocket(tp.circle(41, (60, 60)), T1, depth=5),
        tp.pocket(tp.circle(10, (60, 86)), T1, depth=2, name="foot"),
    ]
    job = tp.Job("Holder", [tp.Setup(FRONT, low)], contents=[sunk, tp.turning_clip((60, 86), 14, sunk)])
    assert codes(job) == ["clip-swing"]


def test_a_clip_needs_wood_under_its_foot():
    """An opening right through stands where its screw would go: wider than the foot is looked at."""
    pane = tp.goes_in(tp.circle(40, (60, 60)), 3, fit=0.5, name="pane")
    work = [
        tp.pocket(tp.circle(41, (60, 60)), T1, depth=3),
        tp.pocket(tp.circle(9, (60, 86)), T1, depth=tp.through(0.2)),
    ]
    job = tp.Job("Holder", [tp.Setup(FRONT, work)], contents=[pane, tp.turning_clip((60, 86), 14, pane)])
    found = [each.finding for each in job.report(cell=1.0).findings]
    assert [(each.code, each.severity) for each in found] == [("clip-swing", "damage")]
    assert "no wood under it" in found[0].message


def test_contents_that_cannot_be_are_refused():
    for call, message in (
        (lambda: tp.goes_in(CARD, 0, fit=0.1), "thickness=0"),
        (lambda: tp.goes_in(CARD, [], fit=0.1), "thickness lists nothing"),
        (lambda: tp.goes_in(CARD, 3, fit=-1), "fit=-1"),
        (lambda: tp.goes_in(CARD, 3, fit=0.1, spread=3), "spread=3 must be less"),
        (lambda: tp.goes_in(CARD, 3, fit=0.1, face="top"), "'top' is not one of"),
        (lambda: tp.screwed_in([(1, 1)], 5, above=5), "leaves nothing"),
        (lambda: tp.turning_clip((60, 120), 10, tp.goes_in(CARD, 3, fit=0.1)), "it must reach 38.00"),
        (lambda: job_of(tp.drill([(60, 70)], T1, depth=3), CARD), "must list goes_in"),
    ):
        with pytest.raises(InputError, match=message):
            call()
    other = tp.Fixture(board=tp.Board(width=90, height=60, thickness=12, name="other"))
    hole = tp.bore([(40, 30)], 10, T1, depth=3)
    with pytest.raises(InputError, match="works on several"):
        tp.Job("Two", [tp.Setup(FRONT, [hole]), tp.Setup(other, [hole])], contents=[tp.goes_in(CARD, 3, fit=0.1)])
