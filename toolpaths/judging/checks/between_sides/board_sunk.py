"""The check of how low the board lies, once for all programs that are run in a fixture: see levelled_face."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from toolpaths.judging.checks.between_sides.levelled_face import how_it_rests
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding


def board_sunk(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """The board rests lower, or higher, than by what its fixture says of the face below; told of the first program."""
    for _, some in groupby(programs, key=lambda program: program.setting.entry):
        of_side = list(some)
        for finding in how_it_rests([program.trial for program in of_side]):
            yield SideFinding(of_side[0].setting.name, finding)
