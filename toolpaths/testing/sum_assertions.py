"""Assertions about sums: the wood that is removed, and the time that the machine takes."""

from __future__ import annotations

from toolpaths.base.checks import between, not_negative, positive
from toolpaths.job.job import Job
from toolpaths.judging.report import in_minutes
from toolpaths.testing.failure import failure, picture
from toolpaths.testing.simulated_job import SimulatedJob, as_simulated

# Pieces of work that are listed, those that take longest.
_LISTED = 8


def assert_volume_removed(
    job: Job | SimulatedJob, *, volume_cm3: float, within_share: float = 0.01, program: str | None = None
) -> None:
    """So much wood is removed from the board, by one program or by all.

    job : or what simulated() made of it
    volume_cm3 : cubic centimetres; what is cut out of the spoilboard does not count
    within_share : share of it by which it may be off; 0.01 is one in a hundred. It is summed over the cells of the
        wood, which lets it be off by about half a cell along every wall
    program : the name of one program; all of them unless given

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_volume_removed
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> setup = tp.Setup(fixture, [tp.pocket(tp.rectangle(40, 20, (60, 40), corner_radius=4), cutter, depth=5)])
    >>> assert_volume_removed(tp.Job("Tray", [setup]), volume_cm3=3.93)

    Raises AssertionError where it is otherwise, InputError for numbers and names that cannot be used.
    """
    __tracebackhide__ = True
    tried, wanted = as_simulated(job), not_negative("volume_cm3", volume_cm3)
    share, names = between("within_share", within_share, 0.0, 1.0), tried.named(program)
    each = {name: _removed_by(tried, name) for name in names}
    found = sum(each.values())
    if abs(found - wanted) <= share * wanted:
        return
    less = "less" if found < wanted else "more"
    amount = f"{abs(found - wanted):.3f} cm3 {less}"
    if wanted:
        amount += f", {abs(found / wanted - 1):.1%}"
    said = (
        f"{_programs_of(tried, program)} is to remove {wanted:g} cm3 of wood, and removes {found:.3f} cm3: {amount}; "
        f"it may be off by {share:.1%}. It is summed over cells of {tried.cell:g} mm, half of one more or less "
        "along every wall: simulate with a finer cell, or allow more, where that is all."
    )
    by = [f"  {name}: {volume:.3f} cm3" for name, volume in each.items()]
    last = names[-1]
    raise AssertionError("\n".join([said, *by, *picture(tried.judged[last], None)]))


def assert_time_below(job: Job | SimulatedJob, *, minutes: float, program: str | None = None) -> None:
    """The machine takes less time than that, for one program or for all.

    job : or what simulated() made of it
    minutes : about what the machine takes, dwells included; operator stops, changes of cutter and the spindle's start
        do not count (see Report.seconds)
    program : the name of one program; all of them unless given

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_time_below
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> job = tp.Job("Hole", [tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])])
    >>> assert_time_below(job, minutes=1)

    Raises AssertionError where it takes as long or longer, InputError for numbers and names that cannot be used.
    """
    __tracebackhide__ = True
    tried, most = as_simulated(job), positive("minutes", minutes)
    names = tried.named(program)
    reports = {name: tried.judged[name].report for name in names}
    seconds = sum(report.seconds for report in reports.values())
    if seconds < 60 * most:
        return
    work = sorted(
        ((times.seconds, name, times) for name, report in reports.items() for times in report.times),
        key=lambda each: -each[0],
    )
    table = [
        f"  {in_minutes(took)}  {name}, line {times.line}, T{times.cutter}: {times.operation or 'before all work'} "
        f"(cutting {in_minutes(times.cutting_s)}, going down {in_minutes(times.entries_s)}, rapids "
        f"{in_minutes(times.crossings_s)}, waiting {in_minutes(times.waits_s)})"
        for took, name, times in work[:_LISTED]
    ]
    said = (
        f"{_programs_of(tried, program)} is to take less than {in_minutes(60 * most)}, and takes about "
        f"{in_minutes(seconds)}. What takes longest:"
    )
    _, longest, times = work[0]
    raise failure(said, tried, longest, lines=(times.line,), more=table)


def _removed_by(tried: SimulatedJob, name: str) -> float:
    """cm3 that a program takes away."""
    trial = tried.judged[name].trial
    return (trial.after.removed() - trial.before.removed()) / 1000


def _programs_of(tried: SimulatedJob, program: str | None) -> str:
    """What is summed up, as a sentence begins with it."""
    return f"The job {tried.job.title}" if program is None else f"The program {program}"
