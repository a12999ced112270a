"""Texts on disk: whole or not at all, together or none, whatever the disk does."""

from __future__ import annotations

import builtins
import os
import threading
from multiprocessing import get_context
from pathlib import Path

import pytest

import toolpaths as tp
from toolpaths.making.writer.files import write_whole

OLD = "the old program\n"
NAMES = ("front-1-T1.nc", "front-2-T6.nc", "front-3-T2.nc")


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def three(folder: Path) -> dict[Path, str]:
    return {folder / name: f"({name})\n" for name in NAMES}


def test_write_whole_of_one_makes_its_folder(tmp_path):
    write_whole({tmp_path / "new" / "folder" / "front.nc": "G0 Z5\n"})

    assert (tmp_path / "new" / "folder" / "front.nc").read_bytes() == b"G0 Z5\n"
    assert names(tmp_path / "new" / "folder") == ["front.nc"]


def test_write_whole_replaces_an_old_one(tmp_path):
    (tmp_path / "front.nc").write_text(OLD)
    write_whole({tmp_path / "front.nc": "G0 Z5\n"})

    assert (tmp_path / "front.nc").read_text() == "G0 Z5\n"
    assert names(tmp_path) == ["front.nc"]


def test_write_whole_of_several_is_all_of_them(tmp_path):
    (tmp_path / NAMES[1]).write_text(OLD)
    write_whole(three(tmp_path))

    assert {path: path.read_text() for path in tmp_path.iterdir()} == three(tmp_path)


def test_write_whole_gives_files_the_usual_rights(tmp_path):
    """Not those of a temporary file, which nobody else may read."""
    (tmp_path / "plain").write_text(OLD)
    write_whole({tmp_path / "front.nc": "G0 Z5\n"})

    assert (tmp_path / "front.nc").stat().st_mode == (tmp_path / "plain").stat().st_mode


class FullDisk:
    """A file that takes some bytes and then no more."""

    def __init__(self, file) -> None:
        self.file = file

    def __enter__(self):
        self.file.__enter__()
        return self

    def __exit__(self, *error):
        return self.file.__exit__(*error)

    def write(self, text: bytes) -> None:
        self.file.write(text[:4])
        self.file.flush()
        raise OSError(28, "No space left on device")


@pytest.mark.parametrize("folder", [".", "new/folder"])
@pytest.mark.parametrize("fails_at", [1, 2, 3])
def test_write_with_a_disk_that_fills_up_changes_nothing(tmp_path, monkeypatch, fails_at, folder):
    """A folder that was made for it was left behind (once a fault)."""
    for name in NAMES[::2]:
        (tmp_path / name).write_text(OLD)
    real, opened = builtins.open, []

    def failing(path, *how, **more):
        file = real(path, *how, **more)
        opened.append(path)
        return FullDisk(file) if len(opened) == fails_at else file

    monkeypatch.setattr(builtins, "open", failing)
    with pytest.raises(tp.InputError, match=r"cannot be written: .*No space left.* Nothing was changed"):
        write_whole(three(tmp_path / folder))
    monkeypatch.undo()
    assert len(opened) == fails_at
    assert names(tmp_path) == sorted(NAMES[::2])
    assert all(path.read_text() == OLD for path in tmp_path.iterdir())


ERRORS = [PermissionError(13, "denied"), KeyboardInterrupt()]


@pytest.mark.parametrize("error", ERRORS, ids=["denied", "interrupted"])
@pytest.mark.parametrize("done", [False, True], ids=["before", "after"])
@pytest.mark.parametrize("fails_at", [1, 2, 3])
def test_write_that_fails_while_putting_files_in_place_changes_nothing(tmp_path, monkeypatch, fails_at, done, error):
    """The files before the one that failed were left replaced, and the error said nothing was (once a fault)."""
    (tmp_path / NAMES[0]).write_text(OLD)
    (tmp_path / NAMES[1]).write_text(OLD)
    real, calls = os.replace, []

    def failing(source, target):
        calls.append(target)
        if done or len(calls) != fails_at:
            real(source, target)
        if len(calls) == fails_at:
            raise error

    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises((tp.InputError, KeyboardInterrupt)):
        write_whole(three(tmp_path))
    assert len(calls) >= fails_at
    assert names(tmp_path) == sorted(NAMES[:2])
    assert all(path.read_text() == OLD for path in tmp_path.iterdir())


def test_write_that_cannot_put_the_old_back_says_what_is_changed_and_keeps_it(tmp_path, monkeypatch):
    """It said that nothing was changed, and removed the last copy of the old one (once a fault)."""
    for name in NAMES:
        (tmp_path / name).write_text(OLD)
    real, calls = os.replace, []

    def failing(source, target):
        calls.append(target)
        if len(calls) > 1:
            raise OSError(5, "the stick was pulled out")
        real(source, target)

    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises(tp.InputError, match=rf"changed already: .*{NAMES[0]} \(the old one is (.*)\)") as caught:
        write_whole(three(tmp_path))
    assert NAMES[1] not in str(caught.value)
    kept = Path(str(caught.value).partition("the old one is ")[2].partition(")")[0])
    assert kept.read_text() == OLD
    assert (tmp_path / NAMES[0]).read_text() == f"({NAMES[0]})\n"


@pytest.mark.parametrize("path", ["", ".", "..", "there"])
def test_write_to_a_folder_or_to_no_name_is_refused(tmp_path, path):
    """A path without a name raised an error of another library (once a fault)."""
    (tmp_path / "there").mkdir()
    with pytest.raises(tp.InputError, match="is a folder"):
        write_whole({tmp_path / "front.nc": "G0 Z5\n", tmp_path / path: "G0 Z5\n"})
    assert names(tmp_path) == ["there"]


@pytest.mark.parametrize(
    "name", ["a\0b.nc", "new/a\0b.nc", "x" * 300, "new/" + "x" * 300, "\ud800.nc", "plain/front.nc"]
)
def test_write_to_a_name_that_no_file_can_have_is_refused(tmp_path, name):
    """NUL ended in a ValueError, and a long name left the folder that was made for it (once faults)."""
    (tmp_path / "plain").write_text(OLD)
    with pytest.raises(tp.InputError, match="cannot be written"):
        write_whole({tmp_path / "front.nc": "G0 Z5\n", tmp_path / name: "G0 Z5\n"})
    assert names(tmp_path) == ["plain"]


def test_write_to_the_longest_name_that_a_file_can_have(tmp_path):
    """The name of its part was longer still, and it was refused (once a fault)."""
    write_whole({tmp_path / ("x" * 252 + ".nc"): "G0 Z5\n"})
    assert names(tmp_path) == ["x" * 252 + ".nc"]


def test_write_of_text_that_is_not_plain_ascii_is_refused(tmp_path):
    with pytest.raises(tp.InputError, match="cannot be written"):
        write_whole({tmp_path / "front.nc": "G0 Z5\n", tmp_path / "back.nc": "(Eiche, gro\xdf)\n"})
    assert names(tmp_path) == []


def test_write_of_two_texts_to_one_file_is_refused(tmp_path):
    """One of them would be lost."""
    (tmp_path / "there").mkdir()
    with pytest.raises(tp.InputError, match="two of them would be"):
        write_whole({tmp_path / "front.nc": "G0 Z5\n", tmp_path / "there" / ".." / "front.nc": "G0 Z6\n"})
    assert names(tmp_path) == ["there"]


def test_write_leaves_parts_of_others_alone(tmp_path):
    """A file named as a part was overwritten and removed (once a fault)."""
    others = [".front.nc.part", ".toolpaths-1.part", ".toolpaths-2.part"]
    for name in others:
        (tmp_path / name).write_text(OLD)
    write_whole({tmp_path / "front.nc": "G0 Z5\n", tmp_path / "back.nc": "G0 Z6\n"})

    assert names(tmp_path) == sorted([*others, "back.nc", "front.nc"])
    assert all((tmp_path / name).read_text() == OLD for name in others)


def _write_often(path: Path, text: str) -> None:
    for _ in range(60):
        write_whole({path: text})


@pytest.mark.long
def test_two_that_write_one_path_at_once_leave_one_whole_text(tmp_path):
    """Both wrote into one part, and the file was of either (once a fault)."""
    texts = [character * 300_000 + "\n" for character in "AB"]
    processes = [get_context("spawn").Process(target=_write_often, args=(tmp_path / "front.nc", t)) for t in texts]
    for process in processes:
        process.start()
    seen = set()
    while any(process.is_alive() for process in processes):
        if (tmp_path / "front.nc").exists():
            seen.add((tmp_path / "front.nc").read_text())
    for process in processes:
        process.join()
        assert process.exitcode == 0
    assert seen <= set(texts) and (tmp_path / "front.nc").read_text() in texts
    assert names(tmp_path) == ["front.nc"]


def test_write_through_a_link_leaves_the_link(tmp_path):
    """The link itself was replaced, and what it led to stayed old (once a fault)."""
    (tmp_path / "stick").mkdir()
    (tmp_path / "stick" / "front.nc").write_text(OLD)
    (tmp_path / "front.nc").symlink_to(tmp_path / "stick" / "front.nc")
    (tmp_path / "new.nc").symlink_to(tmp_path / "stick" / "new.nc")
    (tmp_path / "folder").symlink_to(tmp_path / "stick")
    write_whole({tmp_path / name: name for name in ("front.nc", "new.nc", "folder/b.nc")})

    assert [(tmp_path / name).is_symlink() for name in ("front.nc", "new.nc", "folder")] == [True] * 3
    found = {path.name: path.read_text() for path in (tmp_path / "stick").iterdir()}
    assert found == {"front.nc": "front.nc", "new.nc": "new.nc", "b.nc": "folder/b.nc"}


def test_write_to_two_links_of_one_file_is_refused(tmp_path):
    (tmp_path / "a.nc").symlink_to(tmp_path / "front.nc")
    with pytest.raises(tp.InputError, match="two of them would be"):
        write_whole({tmp_path / "front.nc": "G0 Z5\n", tmp_path / "a.nc": "G0 Z6\n"})
    assert names(tmp_path) == ["a.nc"]


def test_write_to_a_link_that_leads_in_a_ring_is_refused(tmp_path):
    (tmp_path / "a.nc").symlink_to(tmp_path / "b.nc")
    (tmp_path / "b.nc").symlink_to(tmp_path / "a.nc")
    with pytest.raises(tp.InputError, match="leads in a ring"):
        write_whole({tmp_path / "a.nc": "G0 Z5\n", tmp_path / "new" / "b.nc": "G0 Z5\n"})
    assert names(tmp_path) == ["a.nc", "b.nc"] and (tmp_path / "a.nc").is_symlink()


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o666, 0o755])
def test_write_keeps_the_mode_of_what_was_there(tmp_path, mode):
    """A program that only its owner might read became everybody's (once a fault)."""
    for name in NAMES[:2]:
        (tmp_path / name).write_text(OLD)
        (tmp_path / name).chmod(mode)
    write_whole(three(tmp_path))
    assert [(tmp_path / name).stat().st_mode & 0o777 for name in NAMES[:2]] == [mode, mode]
    assert {path: path.read_text() for path in tmp_path.iterdir()} == three(tmp_path)


def test_write_to_a_folder_in_which_nothing_may_be_written_is_refused(tmp_path, monkeypatch):
    def denied(path, *how, **more):
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "touch", denied)
    with pytest.raises(tp.InputError, match=r"cannot be written: .*Permission denied.* Nothing was changed"):
        write_whole(three(tmp_path / "new"))
    assert names(tmp_path) == []


def test_two_that_write_one_set_at_once_leave_the_whole_set_of_one(tmp_path, monkeypatch):
    """One that came while another was putting its files in place left a set of both (once a fault)."""
    real, begun, done = os.replace, threading.Event(), threading.Event()

    def slow(source, target):
        real(source, target)
        if not begun.is_set():
            begun.set()
            done.wait(0.5)  # time enough for the other to come in between, if it can

    def write(text: str) -> None:
        write_whole({tmp_path / name: text for name in NAMES})

    monkeypatch.setattr(os, "replace", slow)
    first = threading.Thread(target=write, args=("A",))
    first.start()
    assert begun.wait(10)
    write("B")
    done.set()
    first.join()
    assert names(tmp_path) == sorted(NAMES)
    assert [path.read_text() for path in tmp_path.iterdir()] == ["B"] * 3


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names on this system")
def test_what_is_no_ordinary_file_is_neither_read_nor_replaced(tmp_path):
    """A pipe would be waited for, and a device that has no end be read until the memory is full."""
    pipe = tmp_path / "front.nc"
    os.mkfifo(pipe)
    board = tp.Board(width=200, height=140, thickness=18)
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    holes = [tp.bore([(x, 70)], 12, cutter, depth=3, name=f"hole {x}") for x in (60, 140)]
    job = tp.Job("Holes", [tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), holes)])
    report = job.report(cell=1.0)
    writers = (
        lambda: job.write(tmp_path, cell=1.0),
        lambda: job.restart("front", after=1, cell=1.0).write(pipe),
        lambda: job.replay("front", report=report).write(pipe),
    )
    for write in writers:
        with pytest.raises(tp.InputError, match="no ordinary file"):
            write()
    assert names(tmp_path) == ["front.nc"] and pipe.is_fifo()
