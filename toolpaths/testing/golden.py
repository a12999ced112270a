"""Golden programs: those of a job that were looked at and found right, kept as plain text beside the tests."""

from __future__ import annotations

import os
from pathlib import Path

from toolpaths.base.checks import file_path, flag, instance, label
from toolpaths.base.errors import InputError
from toolpaths.job.folder import file_name, paths_of
from toolpaths.job.job import Job
from toolpaths.making.writer.files import write_whole
from toolpaths.testing.renew_option import RENEW_OPTION
from toolpaths.testing.same_motion import assert_same_motion
from toolpaths.testing.simulated_job import SimulatedJob


def assert_golden(
    job: Job | SimulatedJob,
    folder: str | os.PathLike[str],
    *,
    renew: bool = False,
    name: str = "",
    within: float = 0.001,
    feed_within_share: float = 0.001,
) -> tuple[Path, ...]:
    """The programs of a job move the machine as those that were kept do.

    job : or what simulated() made of it, with other texts perhaps
    folder : where golden programs are kept; those of this job stand in a folder of it, as plain .nc files
    renew : whether to keep the programs at hand as golden ones in place of comparing them. Look at them first
    name : of the folder of this job; its title unless given
    within, feed_within_share : as for assert_same_motion()

    Returns the files that were written, for renew=True alone; such as move as the programs at hand do stay as they are.

    >>> import tempfile
    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_golden
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> job = tp.Job("Hole", [tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])])
    >>> kept = tempfile.mkdtemp()
    >>> [path.name for path in assert_golden(job, kept, renew=True)]
    ['front.nc']
    >>> assert_golden(job, kept)
    ()

    Raises AssertionError where one moves otherwise, is missing, or is none of this job any more; InputError where files
    cannot be written.
    """
    __tracebackhide__ = True
    if isinstance(job, SimulatedJob):
        texts, title = dict(job.texts), job.job.title
    else:
        texts, title = instance("job", job, Job).programs(), job.title
    if name:
        title = label("name", name)
    place = file_path("folder", folder) / file_name(title)
    files = {path: (program, texts[program]) for program, path in paths_of(place, texts, ".nc").items()}
    over = [path for path in sorted(place.glob("*.nc")) if path not in files]
    if flag("renew", renew):
        others = {
            path: text for path, (_, text) in files.items() if not _moves_alike(path, text, within, feed_within_share)
        }
        if others:
            write_whole(others)
        for path in over:
            path.unlink()
        return tuple(others)
    if over:
        raise AssertionError(
            f"{title} makes no program {over[0].stem} any more, and {over[0]} is kept as a golden one. If that is "
            f"right, take it away with pytest {RENEW_OPTION}."
        )
    for path, (program, text) in files.items():
        if not path.is_file():
            raise AssertionError(
                f"There is no golden program {path}. Look at the program {program} of {title}, and keep it with pytest "
                f"{RENEW_OPTION}."
            )
        assert_same_motion(
            text,
            _kept(path),
            within=within,
            feed_within_share=feed_within_share,
            found_name=f"the program {program} of {title}",
            expected_name=f"the golden program {path}",
        )
    return ()


def _kept(path: Path) -> str:
    try:
        return path.read_text()
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"The golden program {path} cannot be read: {error}") from None


def _moves_alike(path: Path, text: str, within: float, share: float) -> bool:
    """Whether a file is there whose program does what a text does."""
    if not path.is_file():
        return False
    try:
        assert_same_motion(text, _kept(path), within=within, feed_within_share=share)
    except AssertionError:
        return False
    return True
