"""The assertion about tabs: how many hold what is cut out when the work is done, how high and how wide they are."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import shapely

from toolpaths.base.checks import distance, optional, point, whole
from toolpaths.base.errors import InputError
from toolpaths.facts.features.parting import Parting
from toolpaths.job.job import Job
from toolpaths.judging.checks.holding.standing_tabs import Tab, every_tab
from toolpaths.judging.job_programs import Judged
from toolpaths.testing.failure import failure
from toolpaths.testing.simulated_job import SimulatedJob, as_simulated, place_as_laid
from toolpaths.testing.wood_map import faces_after

# mm by which a tab may be lower, which is what rounding a program shifts, and narrower: it is looked at in steps.
_LOWER, _NARROWER = 0.005, 0.25
# mm beside the cut that parts a piece within which a tab holds that piece.
_BESIDE = 1.0


class _Standing(NamedTuple):
    """A tab as it is at the end: where, seen from the front, the program and the line that leave it, and mm; the
    radius is that of its cutter."""

    place: tuple[float, float]
    program: str
    line: int
    height: float
    width: float
    radius: float


def assert_tabs_stand(
    job: Job | SimulatedJob,
    *,
    count: int,
    height: float = 0.0,
    width: float = 0.0,
    piece: Any = None,
    program: str | None = None,
) -> None:
    """So many tabs stand when the work is done, each at least so high and so wide: what is cut out is held by them.

    job : or what simulated() made of it
    count : of all tabs across what is cut right through, neither more nor fewer
    height, width : mm, of each at least; the height from the lower face of the board up
    piece : (x, y) mm, a place of the piece that is cut out, seen from the front: only its tabs count
    program : the name of the program that leaves them; all of them unless given. What a later one cuts away is gone

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_tabs_stand
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=22)
    >>> fixture = tp.Fixture(board=board, screws=tp.screws([(8, 8), (112, 72)], head_diameter=9, height=3))
    >>> tabs = tp.Tabs(count=4, width=8, height=4)
    >>> outline = tp.contour(tp.rectangle(70, 50, (60, 40)), cutter, depth=tp.through(0.3), tabs=tabs)
    >>> job = tp.Job("Plate", [tp.Setup(fixture, [outline])])
    >>> assert_tabs_stand(job, count=4, height=4, width=8)
    >>> assert_tabs_stand(job, count=4, piece=(60, 40))

    Raises AssertionError where it is otherwise, InputError for numbers and names that cannot be used, and for a place
    that lies in no piece that is cut out.
    """
    __tracebackhide__ = True
    tried, wanted = as_simulated(job), whole("count", count, 0)
    least, wide = distance("height", height), distance("width", width)
    cut = _cut_around(tried, optional("piece", piece, point))
    left = [tab for name in tried.named(program) for tab in _left_by(tried, name)]
    stand = [tab for tab in left if tab.height > 0 and _beside(cut, tab)]
    cut_away = [tab for tab in left if tab.height <= 0 and _beside(cut, tab)]
    what = f"what is cut out{'' if piece is None else f' at X{piece[0]:g} Y{piece[1]:g}'} of {tried.job.title}"
    wanted_words = f"{_tabs(wanted)} {'is' if wanted == 1 else 'are'} to hold {what}"
    if len(stand) != wanted:
        said = f"{wanted_words}, and {_tabs(len(stand)) if stand else 'none'} {'does' if len(stand) == 1 else 'do'}"
        said += f": {_listed(stand)}." if stand else "."
        if cut_away:
            said += f" Cut away again: {_listed(cut_away)}."
        raise _failed(tried, said, next(iter(cut_away or stand), None), program)
    lowest, narrowest = (min(stand, key=lambda tab: tab[at], default=None) for at in (3, 4))
    if lowest is not None and lowest.height < least - _LOWER:
        said = f"{wanted_words}, {least:g} mm high at least, and one is {lowest.height:.3f} mm high"
        raise _failed(tried, f"{said}, {least - lowest.height:.3f} mm too low: {_listed([lowest])}.", lowest, program)
    if narrowest is not None and narrowest.width < wide - _NARROWER:
        said = f"{wanted_words}, {wide:g} mm wide at least, and one is {narrowest.width:.2f} mm wide"
        by = wide - narrowest.width
        raise _failed(tried, f"{said}, {by:.2f} mm too narrow: {_listed([narrowest])}.", narrowest, program)


def _cut_around(tried: SimulatedJob, place: tuple[float, float] | None) -> Parting | None:
    """What parts the piece in which a place lies, the smallest; None for all pieces."""
    if place is None:
        return None
    at = shapely.Point(place)
    every = [cut for part in tried.job.parts for cut in part.partings() if shapely.intersects(cut.area, at)]
    if not every:
        raise InputError(f"piece={place} lies in no piece that is cut out; give a place within one, from the front.")
    return min(every, key=lambda cut: float(cut.area.area))


def _beside(cut: Parting | None, tab: _Standing) -> bool:
    away = 0.0 if cut is None else float(shapely.distance(cut.area.boundary, shapely.Point(tab.place)))
    return away <= tab.radius + _BESIDE


def _left_by(tried: SimulatedJob, name: str) -> list[_Standing]:
    """The tabs that a program leaves, as they are once all programs of its board are done."""
    judged = tried.judged[name]
    last = [each for each in tried.judged.values() if each.case.fixture.board == judged.case.fixture.board][-1]
    return [_at_end(name, judged, last, tab) for tab in every_tab(judged.trial) if tab.left > 0 or tab.stands]


def _at_end(name: str, judged: Judged, last: Judged, tab: Tab) -> _Standing:
    x, y = tab.middle.tolist()
    place = place_as_laid(judged, (x, y))
    top, bottom = faces_after(last.trial, np.array([place_as_laid(last, place)]))
    height = min(tab.thickness, max(float(top[0] - bottom[0]), 0.0)) if tab.stands else 0.0
    move = tab.cut_by if tab.cut_by >= 0 else tab.gap.rise
    line, radius = int(judged.case.moves.line[move]), judged.case.cutters[tab.gap.tool].radius
    return _Standing(place, name, line, height, tab.width, radius)


def _tabs(number: int) -> str:
    return f"{number} tab{'' if number == 1 else 's'}"


def _listed(tabs: list[_Standing]) -> str:
    return "; ".join(
        f"X{tab.place[0]:.4g} Y{tab.place[1]:.4g} (seen from the front), {tab.height:.2f} mm high and {tab.width:.1f} "
        f"mm wide, {tab.program}, line {tab.line}"
        for tab in tabs
    )


def _failed(tried: SimulatedJob, said: str, tab: _Standing | None, program: str | None) -> AssertionError:
    if tab is None:
        return failure(said, tried, tried.program(program))
    place = place_as_laid(tried.judged[tab.program], tab.place)
    return failure(said, tried, tab.program, lines=(tab.line,), place=place)
