"""Programs to disk: written whole or not at all, several together or none."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path

from toolpaths.base.errors import InputError
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.program import program_text, texts_by_cutter


def write_program(
    setup: Setup,
    path: str | os.PathLike[str],
    *,
    units: str = "mm",
    cycles: str = "canned",
    tool_change: str = "M6",
) -> str:
    """Write the program of one side to a file and return its text. See program_text()."""
    text = program_text(setup, units=units, cycles=cycles, tool_change=tool_change)
    write_whole({Path(path): text})
    return text


def write_programs_by_cutter(
    setup: Setup, path: str | os.PathLike[str], *, units: str = "mm", cycles: str = "canned"
) -> dict[Path, str]:
    """Write one program for each run of work with one cutter: front.nc gives front-1-T4.nc and so on."""
    given = Path(path)
    if not given.name or given.is_dir():
        raise InputError(f"{str(path)!r} is a folder; name a file in it, from which the others get their names.")
    texts = {
        given.with_name(f"{given.stem}-{name}{given.suffix}"): text
        for name, text in texts_by_cutter(setup, units=units, cycles=cycles).items()
    }
    write_whole(texts)
    return texts


def write_whole(texts: dict[Path, str]) -> None:
    """Write each text beside its place first, then put all in place; what was there stays until then.

    The folder is made if it is missing. Raises InputError, with nothing changed, where a text
    cannot be written.
    """
    for path in texts:
        if not path.name or path.is_dir():
            raise InputError(f"The program cannot be written: {str(path)!r} is a folder; name a file in it.")
    beside = {path: path.with_name(f".{path.name}.part") for path in texts}
    try:
        for path, text in texts.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            with open(beside[path], "w", encoding="ascii", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
        _put_in_place(beside)
    except OSError as error:
        raise InputError(f"The program cannot be written: {error}. Nothing was changed.") from error
    finally:
        for part in beside.values():
            # Where the folder itself is none, there is nothing to take away.
            with suppress(NotADirectoryError):
                part.unlink(missing_ok=True)


def _put_in_place(beside: dict[Path, Path]) -> None:
    """Each text to its place. Each step is whole by itself; if a later one fails, the earlier are undone."""
    kept: dict[Path, Path | None] = {}
    try:
        for path, part in beside.items():
            kept[path] = _keep(path) if len(beside) > 1 else None
            os.replace(part, path)
    except BaseException:
        # The last one listed is the one that failed: what stood there still stands.
        for path, old in list(kept.items())[:-1]:
            if old is None:
                path.unlink(missing_ok=True)
            else:
                os.replace(old, path)
        raise
    finally:
        for old in kept.values():
            if old is not None:
                old.unlink(missing_ok=True)


def _keep(path: Path) -> Path | None:
    """A second copy of a file that is about to be replaced, or None if there is none."""
    if not path.exists():
        return None
    old = path.with_name(f".{path.name}.old")
    shutil.copy2(path, old)
    return old
