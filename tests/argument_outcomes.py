"""What becomes of a call in which one argument is replaced: refused with a documented error, or a result that holds.

By hand, all of it, with the counts: `python tests/argument_outcomes.py`, or of some only `... bore Cutter`.
"""

from __future__ import annotations

import math
import os
import pickle
import signal
import sys
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import numpy as np
import shapely
from argument_calls import AREA, BOARD, CALLS, FOLDER, FRONT, T1, Call
from argument_values import VALUES
from shapely.geometry.base import BaseGeometry

import toolpaths as tp

# Seconds of the processor that no call may take.
LONGEST = 5.0
# Characters of a repr that fits a line, and of the message of an error, which may list what would do.
LINE, MESSAGE = 120, 2000


class TooLong(BaseException):
    """A call that takes longer than any may."""


@contextmanager
def _in_a_folder_of_its_own() -> Iterator[None]:
    """Where what a call writes to a path that is not absolute is in nobody's way."""
    before = os.getcwd()
    os.chdir(FOLDER)
    try:
        yield
    finally:
        os.chdir(before)


@contextmanager
def _no_longer_than(seconds: float) -> Iterator[None]:
    def stop(*_: object) -> None:
        raise TooLong

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def outcome(call: Call, argument: str, value: str) -> str:
    """ "refused" or "holds"; else what is wrong, with the place in the library."""
    try:
        with _in_a_folder_of_its_own(), _no_longer_than(LONGEST), warnings.catch_warnings():
            warnings.simplefilter("error")
            try:
                result = call.with_(argument, VALUES[value]())
            except tp.ToolpathsError as error:
                return "refused" if _can_be_shown(error) else f"an error that cannot be shown: {error!r:.200}"
            except AssertionError as error:
                *_, last = traceback.extract_tb(error.__traceback__)
                if call.name.startswith("testing.") and "/toolpaths/testing/" in last.filename and str(error):
                    return "refused"  # it asserts, and says what is otherwise
                raise
            wrong = _what_does_not_hold(result)
            return f"does not hold: {wrong}" if wrong else "holds"
    except TooLong:
        return "takes longer than any may"
    except Exception as error:
        frames = traceback.extract_tb(error.__traceback__)
        inside = [frame for frame in frames if "/toolpaths/" in frame.filename]
        at = f"{inside[-1].filename.rpartition('/toolpaths/')[2]}:{inside[-1].lineno}" if inside else "outside"
        return f"{type(error).__name__} at {at}: {str(error)[:80]!r}"


def _can_be_shown(error: tp.ToolpathsError) -> bool:
    """An error says what is wrong in words, reaches another process whole, and its place is one."""
    again = pickle.loads(pickle.dumps(error))
    place = getattr(error, "point", None)
    return (
        (0 < len(str(error)) <= MESSAGE or isinstance(error, tp.NotSafeError))
        and str(again) == str(error)
        and (place is None or bool(np.isfinite(place).all()))
    )


def _what_does_not_hold(result: Any) -> str:
    """What is wrong with a result; "" if nothing is."""
    shown = repr(result)
    named = type(result).__module__.startswith("toolpaths.") and not isinstance(result, str)
    if named and ("\n" in shown or len(shown) > LINE):
        return f"its repr is no line: {shown[:80]!r}"
    again = pickle.loads(pickle.dumps(result))
    if not _alike(result, again):
        return "another process holds something else"
    return _use(result)


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other)
    if isinstance(one, BaseGeometry):
        return shapely.equals_identical(one, other)
    return bool(one == other)


def _use(result: Any) -> str:
    """What is wrong when a result is used for what it is made for; an error of the library is right there, too."""
    try:
        return _used(result)
    except tp.ToolpathsError as error:
        return "" if _can_be_shown(error) else f"an error that cannot be shown: {error!r:.200}"


def _used(result: Any) -> str:
    if isinstance(result, float):
        return "" if math.isfinite(result) else f"{result} is no number"
    if isinstance(result, np.ndarray):
        return "" if np.isfinite(result).all() else "not all are numbers"
    if isinstance(result, BaseGeometry):
        return _shape(result)
    if isinstance(result, tp.Profile):
        return _used(tp.Cutter(1, result, feed_mm_min=600, spindle_rpm=18000))
    if isinstance(result, tp.Cutter):
        return _used(
            tp.groove([(40, 40), (80, 40)], result, depth=2)
            if result.profile.kind != "drill"
            else tp.drill([(40, 40)], result, depth=2)
        )
    if isinstance(result, tp.Tabs):
        return _used(tp.contour(AREA, T1, depth=tp.through(0.3), tabs=result))
    if isinstance(result, tp.Board):
        return _used(tp.Fixture(board=result))
    if isinstance(result, tp.Machine):
        return _used(tp.Fixture(board=BOARD, machine=result))
    if isinstance(result, tp.Clamp):
        return _used(tp.Fixture(board=BOARD, clamps=(result,)))
    if isinstance(result, tp.Grip):
        return _used(tp.Fixture(board=BOARD, grips=(result,)))
    if isinstance(result, tp.Screw):
        return _used(tp.Fixture(board=BOARD, screws=(replace(result, driven_at=""),)))
    if isinstance(result, tp.Dowel):
        return _used(tp.Fixture(board=BOARD, dowels=(result,)))
    if isinstance(result, tp.Fixture):
        middle = (result.board.width / 2, result.board.height / 2)
        return _used(tp.Setup(result, [tp.bore([middle], 8, T1, depth=1)]))
    if isinstance(result, tp.Feature):
        return _used(tp.Part(board=BOARD, front=[result]))
    if isinstance(result, tp.Part):
        tp.simulate("G21 G90\nM2", FRONT, [T1], cell=4.0, part=result)
        return ""
    if isinstance(result, tp.Operation):
        return _used(tp.Setup(FRONT, [result]))
    if isinstance(result, tp.Setup):
        return _judged(result)
    if isinstance(result, tp.Outline):
        return _shape(result.line)
    if isinstance(result, (tp.Report, tp.JobReport, tp.Study)):
        return "" if str(result) and result.json() else "it cannot be shown"
    if isinstance(result, tuple):
        # Of many that are made alike the first and the last.
        return next((wrong for wrong in map(_used, (*result[:1], *result[1:][-1:])) if wrong), "")
    return ""


def _shape(shape: BaseGeometry) -> str:
    if not np.isfinite(shapely.get_coordinates(shape)).all():
        return "a coordinate is not finite"
    if shape.area == 0:
        return _used(tp.groove(shape, T1, depth=2))
    return _used(tp.pocket(shape, T1, depth=2))


def _judged(setup: tp.Setup) -> str:
    """The judge reads the text, and finds in it at most that the user's own numbers are no sound ones, or wood of which
    the setup itself says that its cutters do not reach it."""
    fixture = setup.fixture
    cell = max(2.0, max(fixture.board.width, fixture.board.height) / 60)
    stock = None
    for one in reversed((setup, *setup.earlier)):
        side = one.fixture
        if stock is not None and stock.turned != side.turned:
            stock = stock.turned_over(side.turned)
        report = tp.simulate(
            tp.program_text(one),
            side,
            one.cutters,
            cell=cell,
            stock=stock,
            part=tp.intended_part(setup, *setup.earlier),
        )
        stock = report.stock
    known = YOUR_NUMBERS | (
        {"leftover"} if any("too tight" in note or "narrower" in note for note in setup.notes) else set()
    )
    wrong = [finding for finding in report.findings if finding.severity != "doubt" and finding.code not in known]
    return f"the judge says {wrong[0]!s:.300}" if wrong else ""


# What is found where the numbers of the cutter or the machine ask for it, or where something stands in the way: these
# programs are what the user asked for, and Job.write() refuses them.
YOUR_NUMBERS = {
    "fast-feed", "spindle-speed", "chip-load", "deep-pass", "wide-pass", "steep-ramp", "fast-plunge", "loose-piece",
    "travel", "spin-up", "flutes", "nut-in-wood", "hold-down", "weak-tab",
    "weak-hold", "screw-hole", "levelled-face",
}  # fmt: skip


def outcomes(calls: Iterator[Call] | list[Call]) -> Iterator[tuple[Call, str, str, str, float]]:
    """Every argument of the calls replaced by every value: call, argument, value, outcome, seconds."""
    for call in calls:
        for argument in call.arguments:
            for value in VALUES:
                start = time.process_time()
                found = outcome(call, argument, value)
                yield call, argument, value, found, time.process_time() - start


def main(names: list[str]) -> None:
    counts: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    slow = []
    start = time.perf_counter()
    for call, argument, value, found, seconds in outcomes([c for c in CALLS if not names or c.name in names]):
        sound = found in ("refused", "holds")
        counts[found if sound else "wrong"] += 1
        if seconds > 1:
            slow.append((seconds, call.name, argument, value, found))
        if not sound:
            wrong[f"{call.name}({argument}=) {found}"] += 1
            print(f"{call.name}({argument}={value}): {found}", flush=True)
    print("\n".join(f"{count:5} {what}" for what, count in wrong.most_common(60)))
    print(*sorted(slow, reverse=True)[:30], sep="\n")
    print(sum(counts.values()), "calls:", dict(counts), f"{time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main(sys.argv[1:])
