"""A small picture in text of the board as a program leaves it: wood, cuts, hold-downs, what is too deep or left."""

from __future__ import annotations

import numpy as np
import shapely

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.part.target import highest, lowest_here
from toolpaths.judging.checks.part.wood_at import slack_in
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import face_at, lower_face
from toolpaths.judging.wood.field import heights_at
from toolpaths.judging.wood.patches import cells_at
from toolpaths.judging.wood.sweep import Ints
from toolpaths.testing.text_window import Letters, TextWindow, window_about, window_over

# From what is least to what is gravest.
_LEGEND = {
    "/": "off the board",
    ".": "wood",
    "o": "cut",
    " ": "cut through",
    "#": "screw, clamp or pin",
    "+": "wood left that is to go",
    "!": "cut too deep",
    "X": "the place",
}
# mm of the board across which a place is shown in.
_ACROSS = 90.0
# Shares of a character at which it is looked at where one is more than so many mm wide.
_SHARES, _COARSE = (0.17, 0.5, 0.83), 2.0
# mm, what is cut less than this deep is not called cut.
_CUT = 0.01


def map_about(trial: Trial, place: tuple[float, float] | None, last: bool = True) -> list[str]:
    """The board as a program leaves it, around a place as it lies, or all of it; lines of a failure.

    last : whether no later program of this side may still take what is left
    """
    board = trial.case.fixture.board
    if place is None:
        window = window_over(0.0, 0.0, board.width, board.height)
        where = "all of it"
    else:
        window = window_about(*place, _ACROSS)
        where = f"around X{place[0]:.4g} Y{place[1]:.4g} from its lower-left corner"
    letters = _letters(trial, window, last)
    if place is not None:
        at = int(window.number_of(np.array([place]))[0])
        letters[at] = "X"
    side = trial.case.fixture.side
    return [f"The board as it lies, {side} up, after this program, {where}:", *window.drawn(letters, _LEGEND)]


def _letters(trial: Trial, window: TextWindow, last: bool) -> Letters:
    """What a character shows is the gravest of what is found at some places in it: a narrow cut is not missed."""
    shares = _SHARES if window.step > _COARSE else (0.5,)
    every = [_letters_at(trial, window.places(across, up), last) for up in shares for across in shares]
    rank = {mark: number for number, mark in enumerate(_LEGEND)}
    gravest: Ints = np.max([[rank[mark] for mark in letters.tolist()] for letters in every], axis=0)
    return np.asarray(np.array(list(_LEGEND))[gravest], np.str_)


def _letters_at(trial: Trial, places: Floats, last: bool) -> Letters:
    fixture = trial.case.fixture
    letters = np.full(len(places), ".")
    top, bottom = faces_after(trial, places)
    letters[top < -_CUT] = "o"
    letters[(top <= bottom) & (letters == "o")] = " "
    if trial.part is not None:
        within = trial.part.within
        low = trial.once(lowest_here).at(places)
        if last:
            high = highest(trial.part, fixture, slack_in(trial, trial.part)).at(places)
            letters[(top > np.maximum(high, fixture.underside_z) + within) & (top > bottom)] = "+"
        letters[np.maximum(top, fixture.underside_z) < low - within] = "!"
    for thing in fixture.standing():
        if thing.kind != "grip":
            letters[shapely.intersects_xy(thing.outline, places)] = "#"
    width, height = fixture.board.width, fixture.board.height
    inside = (places >= 0).all(axis=1) & (places <= [width, height]).all(axis=1)
    letters[~inside] = "/"
    return letters


def faces_after(trial: Trial, places: Floats) -> tuple[Floats, Floats]:
    """(k,) upper and lower face of the wood at places (k, 2) as it lies, after a program; exact where its cuts are
    known, else as the cells have it."""
    after = trial.after
    inside = np.clip(places, 0.0, [after.board.width, after.board.height])
    row, column = cells_at(after.grid, inside)
    cells = row * after.grid.columns + column
    if after.top_cuts is None:
        top = np.asarray(heights_at(after.top, cells), np.float64)
    else:
        top = face_at(after.top_cuts, places)
    exact = lower_face(after, places)
    bottom = np.asarray(heights_at(after.bottom, cells), np.float64) if exact is None else exact
    return top, bottom
