"""The wood at each moment of a program, by the cuts that lower it: exact, or where these are too many within a step."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_points import case_of, plain, programs

from samples import examples
from toolpaths import Board, Cutter, Fixture, flat, simulate
from toolpaths.judging.checks.holding import what_holds
from toolpaths.judging.trial import cuts_over_places, lowering_cuts


def heights_in_time(cuts: cuts_over_places.Pairs, moves: int, places: int) -> np.ndarray:
    """(moves, places) the lowest cut so far, as these cuts have it."""
    heights = np.full((moves, places), np.inf)
    heights[cuts.move, cuts.place] = cuts.z
    return np.minimum.accumulate(heights, axis=0)


@given(programs(), st.integers(0, 2**32 - 1), st.sampled_from([1, 17, 30_000]))
@examples(60)
def test_at_every_moment_the_wood_is_that_of_a_plain_search(body, seed, portion):
    """Twice over, so that moves are repeated, and with cutters that come again."""
    case = case_of(f"{body}\nG0 Z5\n{body}")
    places = np.random.default_rng(seed).uniform((-5, -5), (85, 65), (40, 2))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cuts_over_places, "_MOST_PAIRS", portion)
        cuts = lowering_cuts.lowering_cuts(case, places)

    expected = np.minimum.accumulate(plain(case, places), axis=0)
    assert heights_in_time(cuts, *expected.shape) == pytest.approx(expected, abs=1e-9)
    same = np.diff(cuts.place) == 0
    assert (np.diff(cuts.place) >= 0).all() and (np.diff(cuts.move)[same] > 0).all()
    assert (np.diff(cuts.z)[same] < 0).all()


@pytest.mark.sample(1)
@pytest.mark.parametrize("tool", [1, 2])
@pytest.mark.parametrize("turn", ["G2 X60 Y30 I-20 Z-{z:.4f}", "G1 X60 Y30 Z-{z:.4f}\nG1 X20 Y30"])
def test_too_many_to_be_held_are_known_within_a_step(turn, tool, monkeypatch):
    """Round and round, or to and fro, a fiftieth of a millimetre lower each time: of 16,000 cuts 3,000 are held."""
    turns = "\n".join(turn.format(z=(k + 1) / 50) for k in range(400))
    case = case_of(f"T{tool} M6\nM3 S16000\nG0 X60 Y30\nG1 Z0\n{turns}")
    angle = np.linspace(0.1, 3.0, 40)
    places = np.column_stack([40 + 20 * np.cos(angle), 30 + (20 * np.sin(angle) if "G2" in turn else 0 * angle)])
    monkeypatch.setattr(lowering_cuts, "_MOST", 3_000)
    monkeypatch.setattr(cuts_over_places, "_MOST_PAIRS", 500)
    cuts = lowering_cuts.lowering_cuts(case, places)

    expected = np.minimum.accumulate(plain(case, places), axis=0)
    assert 1_000 < len(cuts.z) <= 3_000
    found = heights_in_time(cuts, *expected.shape)
    assert found[-1] == pytest.approx(expected[-1], abs=1e-9)
    begun = np.isfinite(expected)
    off = found[begun] - expected[begun]
    # Twice the step with which so many are held, at most.
    assert off.min() > -4 * 8 * 40 / 3_000 and off.max() < 4 * 8 * 40 / 3_000


@pytest.mark.long
def test_what_is_held_of_very_many_turns_is_bounded(monkeypatch):
    """A disc cut out by a helix of 200 or of 800 turns, each a hair lower: as many cuts are held, and few more than
    that are looked at closely for each turn. All were, which was gigabytes for a text of half a megabyte."""
    monkeypatch.setattr(lowering_cuts, "_MOST", 30_000)
    held, looked, made = [], [], lowering_cuts.lowering_cuts
    joined, near = lowering_cuts._joined, cuts_over_places.cuts_near
    monkeypatch.setattr(what_holds, "lowering_cuts", lambda case, places: note(made(case, places)))
    monkeypatch.setattr(lowering_cuts, "_joined", lambda several: note(joined(several)))

    def counted(*args):
        some, z = near(*args)
        looked.append(len(some))
        return some, z

    monkeypatch.setattr(cuts_over_places, "cuts_near", counted)

    def note(pairs: cuts_over_places.Pairs) -> cuts_over_places.Pairs:
        held.append(len(pairs.z))
        return pairs

    board = Board(width=120, height=120, thickness=18)
    fixture, cutters = Fixture(board=board, grips=(board.outline,)), [Cutter(1, flat(3), 1500, 16000)]
    spent = []
    for turns in (200, 800):
        body = "\n".join(f"G2 X100 Y60 Z{-18.1 * (k + 1) / turns:.4f} I-40" for k in range(turns))
        held.clear()
        looked.clear()
        simulate(
            "G21 G90 G17 G94\nG0 Z30\nT1 M6\nM3 S16000\nG4 P2\nG0 X100 Y60\nG0 Z1\nG1 Z0 F400\nF1500\n"
            + f"{body}\nG2 X100 Y60 I-40\nG0 Z30\nM5\nM30\n", fixture, cutters, cell=1.0,
        )  # fmt: skip
        spent.append((max(held), sum(looked)))
    (few_held, few), (many_held, many) = spent
    assert few_held > 10_000 and many_held < 2 * 30_000
    assert few < many < 3 * few
