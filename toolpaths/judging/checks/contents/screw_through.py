"""The check that screws driven into the finished part end in its wood."""

from __future__ import annotations

from collections.abc import Iterator
from math import nan

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.contents import ScrewedIn
from toolpaths.judging.checks.contents.finished_part import contents_meant, wood_left
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.findings import Finding


def screw_through(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """A screw is longer than the wood left round its place, less what must stay beyond its point."""
    for content in contents_meant(programs):
        if not isinstance(content, ScrewedIn):
            continue
        places = np.array(content.places)
        left = _wood_around(programs, places)
        over = content.length - content.above - (left - content.least_left)
        for place, wood, much in zip(content.places, left, over):
            if much > 1e-6:
                most = wood - content.least_left + content.above
                words = f"{most:.1f} mm long at most would do" if most > content.above else "no screw would do"
                message = (
                    f"{content.name} at X{place[0]:g} Y{place[1]:g}: {content.length - content.above:g} mm go into the "
                    f"wood, of which {wood:.2f} are left there, {content.least_left:g} of them to stay; {words}."
                )
                yield SideFinding(
                    "",
                    Finding("screw-through", "damage", 0, (*place, nan), float(much), content.least_left, message),
                )


# mm from a screw's axis at which the wood beside its pilot is looked at, and in how many directions.
_BESIDE, _DIRECTIONS = 3.0, 16


def _wood_around(programs: tuple[Judged, ...], places: Floats) -> Floats:
    """(k,) mm of wood round each screw, beside its pilot hole: half of the ring has no less."""
    turns = np.arange(_DIRECTIONS) * 2 * np.pi / _DIRECTIONS
    ring = np.column_stack([np.cos(turns), np.sin(turns)]) * _BESIDE
    around = (places[:, None] + ring[None]).reshape(-1, 2)
    return np.asarray(np.median(wood_left(programs, around).reshape(len(places), -1), axis=1))
