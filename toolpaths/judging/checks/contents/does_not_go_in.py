"""The check that what is to lie in a recess goes in with its fit all round, lies as deep as meant, and is carried."""

from __future__ import annotations

from collections.abc import Iterator
from math import nan

import numpy as np
import shapely

from toolpaths.facts.contents import GoesIn
from toolpaths.judging.checks.contents.finished_part import (
    contents_meant,
    cut_depth,
    places_in_area,
    within_of,
    wood_left,
)
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.findings import Finding

# Chords in a quarter turn about the corners of what goes in, for its fit.
_QUARTER = 16
# Of the places within the fit, so large a share is more than wood left in corners: it all lies too high.
_MOST_OF_IT = 0.5


def does_not_go_in(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """Wood stands within the fit of what goes in, or it stands proud, lies deeper than its play, or falls through.

    Heights are those of the simulated part, exactly, at places half a millimetre apart and along the outline, whose
    corners are among them. The outline is drawn in by what the part's walls may be off.
    """
    for content in contents_meant(programs):
        if isinstance(content, GoesIn):
            yield from (SideFinding("", finding) for finding in _faults(programs, content))


def _faults(programs: tuple[Judged, ...], content: GoesIn) -> Iterator[Finding]:
    within = within_of(programs)
    needed = content.thickness + content.spread + content.below
    room = shapely.buffer(content.shape, content.fit - within, quad_segs=_QUARTER)
    if room.is_empty:
        room = content.shape
    places = places_in_area(room)
    depth = cut_depth(programs, content.face, places)
    short = needed - depth
    worst = int(np.argmax(short))
    if short[worst] > within:
        high = short > within
        x, y = places[worst]
        if high.mean() > _MOST_OF_IT:
            message = (
                f"{content.name} stands {short[worst]:.2f} mm too high: its recess is {depth[worst]:.2f} deep, "
                f"{needed:.2f} are needed."
            )
        else:
            message = (
                f"{content.name} does not go in: with {content.fit:g} of room all round, wood stands in its way at "
                f"X{x:.2f} Y{y:.2f}, {short[worst]:.2f} mm higher than it lies; in a corner, relieve_corners() or a "
                "finer cutter makes room."
            )
        yield Finding(
            "does-not-go-in", "damage", 0, (float(x), float(y), nan), float(short[worst]), within, message
        )  # fmt: skip
        return
    under = shapely.contains_xy(content.shape, places)
    carried = under & (wood_left(programs, places) > 0)
    if not carried.any():
        x, y = content.shape.centroid.coords[0]
        message = f"{content.name} falls through: there is no wood under it."
        yield Finding("does-not-go-in", "damage", 0, (x, y, nan), 0.0, 0.0, message)
        return
    seat = float(depth[carried].min())
    deeper = seat - (content.thickness - content.spread + content.below)
    if deeper > content.play + within:
        x, y = places[carried][int(np.argmin(depth[carried]))]
        message = (
            f"{content.name} lies up to {deeper:.2f} mm deeper than meant: what carries it is {seat:.2f} deep; "
            f"{content.play:g} are allowed (play=)."
        )
        yield Finding("does-not-go-in", "doubt", 0, (float(x), float(y), nan), deeper, content.play, message)
