"""Programs on disk: whole or not at all, together or none, whatever the disk does."""

from __future__ import annotations

import builtins
import os
from pathlib import Path

import pytest
from pathcheck import DRILL3, FRONT, SHAPES, T3, T6

import toolpaths as tp
from toolpaths.making.writer.files import write_whole

SETUP = tp.Setup(
    FRONT,
    work=(
        tp.contour(SHAPES["circle"], T6, depth=2),
        tp.drill([(20, 20)], DRILL3, depth=3),
        tp.groove(SHAPES["square"], T3, depth=1),
    ),
)
OLD = "the old program\n"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_write_program_writes_the_text_that_it_returns(tmp_path):
    text = tp.write_program(SETUP, tmp_path / "new folder" / "front.nc")

    assert (tmp_path / "new folder" / "front.nc").read_bytes() == text.encode("ascii")
    assert names(tmp_path / "new folder") == ["front.nc"]
    assert text == tp.program_text(SETUP)
    assert tp.write_program(SETUP, str(tmp_path / "front.nc"), units="inch") == tp.program_text(SETUP, units="inch")


def test_write_program_replaces_an_old_one(tmp_path):
    (tmp_path / "front.nc").write_text(OLD)
    text = tp.write_program(SETUP, tmp_path / "front.nc")

    assert (tmp_path / "front.nc").read_text() == text
    assert names(tmp_path) == ["front.nc"]


def test_write_programs_by_cutter_names_a_file_for_each(tmp_path):
    texts = tp.write_programs_by_cutter(SETUP, tmp_path / "front.nc")

    assert [path.name for path in texts] == ["front-1-T1.nc", "front-2-T6.nc", "front-3-T2.nc"]
    assert names(tmp_path) == sorted(path.name for path in texts)
    assert all(path.read_text() == text for path, text in texts.items())


class FullDisk:
    """A file that takes some characters and then no more."""

    def __init__(self, file) -> None:
        self.file = file

    def __enter__(self):
        self.file.__enter__()
        return self

    def __exit__(self, *error):
        return self.file.__exit__(*error)

    def write(self, text: str) -> None:
        self.file.write(text[:40])
        self.file.flush()
        raise OSError(28, "No space left on device")


@pytest.mark.parametrize("fails_at", [1, 2, 3])
def test_write_with_a_disk_that_fills_up_changes_nothing(tmp_path, monkeypatch, fails_at):
    for name in ("front-1-T1.nc", "front-3-T2.nc"):
        (tmp_path / name).write_text(OLD)
    real, opened = builtins.open, []

    def failing(path, *how, **more):
        opened.append(path)
        file = real(path, *how, **more)
        return FullDisk(file) if len(opened) == fails_at else file

    monkeypatch.setattr(builtins, "open", failing)
    with pytest.raises(tp.InputError, match=r"cannot be written: .*No space left.* Nothing was changed"):
        tp.write_programs_by_cutter(SETUP, tmp_path / "front.nc")
    monkeypatch.undo()
    assert names(tmp_path) == ["front-1-T1.nc", "front-3-T2.nc"]
    assert all(path.read_text() == OLD for path in tmp_path.iterdir())


@pytest.mark.parametrize("error", [PermissionError(13, "denied"), KeyboardInterrupt()], ids=["denied", "interrupted"])
@pytest.mark.parametrize("fails_at", [1, 2, 3])
def test_write_that_fails_while_putting_files_in_place_changes_nothing(tmp_path, monkeypatch, fails_at, error):
    """The files before the one that failed were left replaced, and the error said nothing was (once a fault)."""
    (tmp_path / "front-1-T1.nc").write_text(OLD)
    (tmp_path / "front-2-T6.nc").write_text(OLD)
    real, calls = os.replace, []

    def failing(source, target):
        calls.append(target)
        if len(calls) == fails_at:
            raise error
        real(source, target)

    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises((tp.InputError, KeyboardInterrupt)):
        tp.write_programs_by_cutter(SETUP, tmp_path / "front.nc")
    assert len(calls) >= fails_at
    assert names(tmp_path) == ["front-1-T1.nc", "front-2-T6.nc"]
    assert all(path.read_text() == OLD for path in tmp_path.iterdir())


def test_write_that_is_refused_by_the_writer_touches_no_file(tmp_path):
    (tmp_path / "front.nc").write_text(OLD)
    with pytest.raises(tp.InputError):
        tp.write_program(SETUP, tmp_path / "front.nc", units="furlongs")
    assert (tmp_path / "front.nc").read_text() == OLD
    assert names(tmp_path) == ["front.nc"]


def test_write_to_a_folder_or_to_no_name_is_refused(tmp_path):
    """A path without a name raised an error of another library (once a fault)."""
    for path in (tmp_path, "", ".", tmp_path / ".."):
        with pytest.raises(tp.InputError, match="is a folder"):
            tp.write_program(SETUP, path)
    assert names(tmp_path) == []


def test_write_below_a_file_is_refused(tmp_path):
    (tmp_path / "plain").write_text(OLD)
    with pytest.raises(tp.InputError, match="cannot be written"):
        tp.write_program(SETUP, tmp_path / "plain" / "front.nc")
    assert names(tmp_path) == ["plain"]


def test_write_whole_of_several_is_all_of_them(tmp_path):
    write_whole({tmp_path / "a.nc": "A\n", tmp_path / "b.nc": "B\n"})

    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"a.nc": "A\n", "b.nc": "B\n"}
