"""The check that a clip beside a pane turns freely."""

from __future__ import annotations

from collections.abc import Iterator
from math import nan

import numpy as np
import shapely

from toolpaths.facts.contents import TurningClip
from toolpaths.judging.checks.contents.finished_part import (
    contents_meant,
    cut_depth,
    places_in_area,
    within_of,
)
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.findings import Finding

# mm round its screw on which a clip lies, and chords in a quarter turn of its swing.
_FOOT, _QUARTER = 3.0, 32


def clip_swing(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """Wood stands above the clip's foot within its swing, or what it holds stands higher than the clip lies."""
    within = within_of(programs)
    for content in contents_meant(programs):
        if not isinstance(content, TurningClip):
            continue
        screw = shapely.Point(content.place)
        foot = cut_depth(programs, content.over.face, places_in_area(screw.buffer(_FOOT, quad_segs=_QUARTER)))
        wood = foot[np.isfinite(foot)]
        if not len(wood):
            yield _found(content, content.place, 0.0, 0.0, f"{content.name} has no wood under it for its screw.")
            continue
        level = float(np.median(wood))
        proud = level - content.over.below
        if proud > within:
            message = (
                f"{content.name} lies {level:.2f} mm deep and {content.over.name} only {content.over.below:g}: it "
                "cannot turn over it."
            )
            yield _found(content, content.place, proud, within, message)
        swing = places_in_area(screw.buffer(content.reach, quad_segs=_QUARTER))
        high = level - cut_depth(programs, content.over.face, swing)
        worst = int(np.argmax(high))
        if high[worst] > within:
            x, y = swing[worst].tolist()
            message = (
                f"{content.name} cannot turn: within its reach of {content.reach:g} mm wood stands "
                f"{high[worst]:.2f} mm above its foot, at X{x:.2f} Y{y:.2f}."
            )
            yield _found(content, (x, y), float(high[worst]), within, message)


def _found(content: TurningClip, place: tuple[float, float], amount: float, limit: float, message: str) -> SideFinding:
    return SideFinding("", Finding("clip-swing", "damage", 0, (*place, nan), amount, limit, message))
