"""How far long tasks are: told to whom asks, on a terminal in a line that is wiped, else not at all."""

from __future__ import annotations

import io
import itertools
from concurrent.futures import Executor, Future, ThreadPoolExecutor

import pytest

import toolpaths as tp
from toolpaths.base import progress as module
from toolpaths.base.on_executor import as_they_come

BOARD = tp.Board(width=120, height=80, thickness=18)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def slow(monkeypatch):
    """Each look at the clock comes 0.4 s later."""
    ticks = itertools.count()
    monkeypatch.setattr(module, "monotonic", lambda: 0.4 * next(ticks))


def job() -> tp.Job:
    side = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
    return tp.Job("Holes", [tp.Setup(side, [tp.bore([(x, 40)], 12, T1, depth=4) for x in (20, 40, 60, 80, 100)])])


def test_steps_are_told_once_a_second_has_gone(slow):
    seen: list[tp.Progress] = []
    with tp.progress(seen.append):
        assert list(module.step_by_step("Count", "abcde")) == list("abcde")
    assert seen == [("Count", done, 5) for done in (3, 4, 5)]
    list(module.step_by_step("Count", "abcde"))
    assert len(seen) == 3


def test_planning_and_judging_are_told(slow):
    seen: list[tp.Progress] = []
    with tp.progress(seen.append):
        job().report(cell=2.0)
    assert ("Planning the front", 5, 5) in seen
    assert {each.task for each in seen} == {"Planning the front", "Judging the front, moves", "Judging the front, wood"}


def test_the_sheet_is_told(monkeypatch):
    ticks = itertools.count()
    made = job()
    report = made.report(cell=4.0)
    monkeypatch.setattr(module, "monotonic", lambda: 2.0 * next(ticks))
    seen: list[tp.Progress] = []
    with tp.progress(seen.append):
        made.sheet(report=report)
    assert seen == [("Drawing the sheet", 1, 1)]


def test_a_replay_is_told(monkeypatch):
    ticks = itertools.count()
    made = job()
    monkeypatch.setattr(module, "monotonic", lambda: 2.0 * next(ticks))
    seen: list[tp.Progress] = []
    with tp.progress(seen.append):
        made.replay("front")
    assert ("Playing T1", 1, 1) in seen


def test_reading_and_taking_wood_away_are_told(slow):
    """Of a relief in lines shorter than a millimetre, over the same wood four times."""
    rows = [
        f"X{10 + step % 80} Y{10 + row * 0.5} Z{-2 - (row + step) % 3}" for row in range(20) for step in range(1, 160)
    ]
    text = (
        "G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nG4 P3\nG0 X10 Y10\nG1 Z-1 F900\n" + "\n".join(rows) + "\nG0 Z20\nM5\nM2\n"
    )
    seen: list[tp.Progress] = []
    with tp.progress(seen.append):
        tp.simulate(f"({'a' * 180})\n" * 9_500 + text, tp.Fixture(board=BOARD), [T1], cell=1.0)
    reading = [each.done for each in seen if each.task == "Reading"]
    assert 50 < reading[0] < 100
    assert reading == sorted(reading)
    wood = [each for each in seen if each.task == "Taking wood away"]
    assert len(wood) > 5
    assert wood[-1].done == wood[-1].steps


def test_a_terminal_shows_a_line_and_wipes_it_and_a_file_nothing(slow, monkeypatch, capsys):
    job()
    assert capsys.readouterr() == ("", "")
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    job()
    assert "\r\x1b[KPlanning the front: 3 of 5\r" in terminal.getvalue()
    assert terminal.getvalue().endswith("\r\x1b[K")


def test_what_a_listener_raises_ends_the_task_and_nothing_is_written(slow, tmp_path):
    made = job()

    def stop(_: tp.Progress) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt), tp.progress(stop):
        made.write(tmp_path, cell=2.0)
    assert not list(tmp_path.iterdir())


def test_a_listener_must_be_a_function():
    with pytest.raises(tp.InputError), tp.progress("print"):
        pass


def test_a_task_of_many_tells_nobody_itself(monkeypatch):
    """A forked process holds the listener of the one that began it, and a thread may share its terminal."""
    monkeypatch.setattr(module, "_SOON", -1.0)
    terminal, seen = Terminal(), list[str]()
    monkeypatch.setattr("sys.stderr", terminal)

    def counted(number: int) -> int:
        return sum(module.step_by_step("One of many", range(number)))

    class AtOnce(Executor):
        """Runs each task as it comes, under the listener of whom it was given by, as a forked process does."""

        def submit(self, function, /, *args, **kwargs):
            future = Future()
            future.set_result(function(*args, **kwargs))
            return future

    with tp.progress(lambda step: seen.append(step.task)):
        assert [done.made for done in as_they_come("All of them", counted, [3, 4], AtOnce())] == [3, 6]
    assert seen == ["All of them", "All of them"]
    with ThreadPoolExecutor(1) as pool:
        assert [done.made for done in as_they_come("All of them", counted, [3, 4], pool)] == [3, 6]
    assert "All of them: 2 of 2" in terminal.getvalue()
    assert "One of many" not in terminal.getvalue()
