"""A program that fits the part meant, but as it lies another way: turned over differently, not turned, mirrored, or
shifted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.turning import CORNERS, TURNS, Turned, turned_points
from toolpaths.judging.checks.part.laid_shifted import shift_of_all
from toolpaths.judging.checks.part.target import lowest
from toolpaths.judging.checks.part.wood_at import slack_in
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import NOWHERE, Finding
from toolpaths.judging.wood.patches import centres
from toolpaths.judging.wood.sweep import Ints

# Places looked at, at most; mm of height in which a cut is as deep as meant.
_MOST_PLACES = 4000
_AS_DEEP = 0.05
# Shares of the places that a program cuts: so few may lie below the part in the way in which it fits, so many have to
# be as deep as meant there, and so many more than in the way in which it is given.
_WRONG, _RIGHT, _MORE = 0.02, 0.6, 0.3
# Or so small a share of what is not as deep as meant in the way in which it is given.
_STILL_OFF = 1 / 3
# mm by which a shift may be known wrongly, and is that of an offset.
_SAME = 0.05


def laid_wrong(trial: Trial) -> Finding | None:
    """The program cuts what is meant of the part as it would lie turned over another way, or by half a turn, or
    mirrored as it lies: so it is where it was drawn as seen from the other face; or all of it lies shifted.

    It is asked where the part is gouged or wood is left over: of one program that is run on the wrong side, on a
    board that was turned the wrong way, or from another zero, those are forty findings and one cause.
    """
    part = trial.part
    if part is None:
        return None
    return _turned_or_mirrored(trial, part) or _shifted(trial, part)


def _turned_or_mirrored(trial: Trial, part: Part) -> Finding | None:
    fixture, cells = trial.case.fixture, _cut_here(trial)
    if not len(cells):
        return None
    places = centres(trial.after.grid, cells)
    z = trial.after.top.reshape(-1)[cells].astype(np.float64)

    def fits(side: Fixture, places: Floats) -> tuple[float, float]:
        """Shares of the places that lie below the part, and that are as deep as meant, on this side of it."""
        meant = lowest(part, side, slack_in(trial, part)).at(places)
        open_here = np.isneginf(meant)
        right = np.where(open_here, z <= side.underside_z, (meant < 0) & (np.abs(z - meant) <= part.within + _AS_DEEP))
        return float((z < meant - part.within).mean()), float(right.mean())

    wrong_as_given, right_as_given = fits(fixture, places)
    if wrong_as_given <= _WRONG:
        return None
    for turned, half in [(each, False) for each in ("", *TURNS) if each != fixture.turned] + [("", True)]:
        bare = replace(fixture, turned=turned, dowels=(), screws=(), clamps=(), grips=(), held_meanwhile="")
        seen = _by_half(places, trial) if half else places
        wrong, right = fits(bare, seen)
        if wrong <= _WRONG and _far_better(right, right_as_given):
            return found_laid_wrong(_words(fixture.turned, turned, half), wrong_as_given)
    for mirrored in TURNS:
        wrong, right = fits(fixture, turned_points(places, fixture.board, mirrored))
        if wrong <= _WRONG and _far_better(right, right_as_given):
            return found_laid_wrong(_words_mirrored(mirrored), wrong_as_given)
    return None


def _shifted(trial: Trial, part: Part) -> Finding | None:
    """All that the program cuts lies beside where it is meant, by one length."""
    shift, case = shift_of_all(trial, part), trial.case
    if shift is None:
        return None
    first = int(case.cutting_moves[0])
    line, (x, y, z) = int(case.moves.line[first]), case.ends(np.array([first]))[0].tolist()
    words, because = _in_words(*shift), "see where zero is, what offsets are set, and by how much its words are off."
    offset = next((each for each in case.changes if each.code.startswith("G92") and _same(each.offset, shift)), None)
    corner = next(
        (each for each in CORNERS if _same(_between(replace(case.fixture, zero_at=each), case.fixture), shift)), None
    )
    if offset is not None:
        line, because = offset.line, f"{offset.code} on line {offset.line} moves its zero by as much."
    elif corner is not None:
        where = "centre" if corner == "centre" else f"{corner} corner"
        because = (
            f"so it would with X0 Y0 at the {where} of the board, and it is run with X0 Y0 at the "
            f"{case.fixture.zero_corner}."
        )
    return Finding(
        "laid-wrong", "damage", line, (x, y, z), float(np.linalg.norm(shift)), 0.0,
        f"all that the program cuts lies {words}, and moved back by as much it fits the part: {because}",
    )  # fmt: skip


def _in_words(x: float, y: float, z: float) -> str:
    """ "10 mm too far right (X+10) and 3 mm too far down (Y-3)", with the places as the program counts."""
    ways = [(x, "X", ("far right", "far left")), (y, "Y", ("far up", "far down")), (z, "Z", ("high", "deep"))]
    return " and ".join(f"{abs(by):g} mm too {way[by < 0]} ({axis}{by:+g})" for by, axis, way in ways if by)


def _same(one: tuple[float, ...], shift: tuple[float, ...]) -> bool:
    return all(abs(a - b) <= _SAME for a, b in zip(one, shift))


def _between(there: Fixture, here: Fixture) -> tuple[float, ...]:
    """Where the zero of one fixture lies, from that of another."""
    return tuple(a - b for a, b in zip(here.zero, there.zero, strict=True))


def _far_better(right: float, as_given: float) -> bool:
    """Whether so great a share of the places fits, next to that which fits as given: much more, or most of what a
    part that is nearly symmetric leaves to fit."""
    return right >= max(_RIGHT, as_given + _MORE) or 1 - right <= _STILL_OFF * (1 - as_given)


def found_laid_wrong(message: str, amount: float = 0.0, *, sure: bool = True) -> Finding:
    """The finding that the board is laid otherwise than meant, whatever tells it.

    amount : share of the places cut that lie in the part, where that is known
    sure : whether it can only be so
    """
    return Finding("laid-wrong", "danger" if sure else "doubt", 0, NOWHERE, amount, 0.0, message)


def _cut_here(trial: Trial) -> Ints:
    """Cells that this program cuts, some of them where there are many."""
    cells = np.flatnonzero((trial.after.top < trial.before.top - _AS_DEEP) & (trial.before.top > trial.before.bottom))
    return cells[:: len(cells) // _MOST_PLACES + 1]


def _by_half(places: Floats, trial: Trial) -> Floats:
    board = trial.case.fixture.board
    return turned_points(turned_points(places, board, "left to right"), board, "top to bottom")


def _words(given: Turned, found: Turned, half: bool) -> str:
    fits = f"turned over {found}" if found else f"with its front up{' and turned by half a turn' if half else ''}"
    meant = f"turned over {given}" if given else "with its front up"
    if half and not given:
        cause = "lay it the other way round, or make the program for the way in which it lies"
    elif found and given:
        cause = f"turn it {found}, or make the program for a board that is turned {given}"
    else:
        cause = f"it is a program of the {'back' if found else 'front'}: see that each is run on its own side"
    return f"the program fits the part as the board lies {fits}, but it is run with the board {meant}: {cause}."


def _words_mirrored(mirrored: Turned) -> str:
    axis = "X" if mirrored == "left to right" else "Y"
    return (
        f"the program fits the part mirrored {mirrored}: its {axis} runs the wrong way. It is made as seen from the "
        f"other face of the board; mirror every {axis} about the middle of the board, or make it anew for the side on "
        "which it is run."
    )
