"""Programs to disk: written whole or not at all, several together or none."""

from __future__ import annotations

import os
from pathlib import Path

from toolpaths.errors import InputError
from toolpaths.gcode.write import program_text, texts_by_cutter
from toolpaths.setup import Setup


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
    beside = {path: path.with_name(f".{path.name}.part") for path in texts}
    try:
        for path, text in texts.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            if path.is_dir():
                raise IsADirectoryError(f"{path} is a folder")
            with open(beside[path], "w", encoding="ascii", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
        for path in texts:
            os.replace(beside[path], path)
    except OSError as error:
        for part in beside.values():
            part.unlink(missing_ok=True)
        raise InputError(f"The program cannot be written: {error}. Nothing was changed.") from error
