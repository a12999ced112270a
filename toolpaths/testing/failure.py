"""How a failed assertion reads: what was expected and found, the lines of the program, the place, a picture in text."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from toolpaths.judging.job_programs import Judged
from toolpaths.judging.trial.operations_named import beginnings
from toolpaths.testing.program_lines import lines_around
from toolpaths.testing.simulated_job import SimulatedJob
from toolpaths.testing.wood_map import map_about


def failure(
    said: str,
    simulated: SimulatedJob,
    program: str,
    *,
    lines: Collection[int] = (),
    place: tuple[float, float] | None = None,
    more: Sequence[str] = (),
) -> AssertionError:
    """The error of an assertion.

    said : what was expected and found, in sentences
    lines : of the program, the culprits; place : on the board as it lies, the whole of it is shown without
    more : lines that go between
    """
    judged = simulated.judged[program]
    return AssertionError("\n".join([said, *more, *shown_lines(simulated, program, lines), *picture(judged, place)]))


def shown_lines(simulated: SimulatedJob, program: str, lines: Collection[int]) -> list[str]:
    """The lines of a program around some, under a heading with the piece of work to which the first belongs."""
    known = [line for line in lines if line > 0]
    if not known:
        return []
    work = work_at(simulated.judged[program], known[0])
    heading = f"Program {program}, line {known[0]}{f' ({work})' if work else ''}:"
    return [heading, *lines_around(simulated.texts[program], known)]


def picture(judged: Judged, place: tuple[float, float] | None) -> list[str]:
    """The board as a program leaves it."""
    return map_about(judged.trial, place, judged.setting.last)


def work_at(judged: Judged, line: int) -> str:
    """The piece of work at a line of a program, as its own comments tell it; "" where they do not."""
    begins, names = beginnings(judged.case.program)
    before = [name for begin, name in zip(begins, names) if begin <= line]
    return before[-1] if before else ""
