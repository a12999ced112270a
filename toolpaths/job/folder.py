"""Whether the files of a folder are one set of programs, all of it and nothing else."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Mapping
from html import unescape
from itertools import takewhile
from pathlib import Path
from typing import NamedTuple

from toolpaths.base.checks import file_path, shown
from toolpaths.base.errors import InputError
from toolpaths.facts.head_lines import IN_SET
from toolpaths.making.writer.files import write_whole
from toolpaths.making.writer.head import goes_on

# Lines of a head in which the identity of its set is looked for.
_HEAD = 10
_HEAD_BYTES = 2000

SHEET = "sheet.html"
_SHEET_TITLE = re.compile(r"<title>(.*), set [0-9a-f]+</title>")

# What may stand in the name of a file on every system, and in its ending.
_UNUSUAL = re.compile(r"[^A-Za-z0-9._-]")
_SUFFIX = re.compile(r"(\.[A-Za-z0-9]+)+")


def file_name(name: str) -> str:
    """What the file of a program is called: letters, digits and "._-" of its name, "-" for all else."""
    return _UNUSUAL.sub("-", name).lstrip(".") or "-"


def same_file(name: str) -> str:
    """What is equal for names whose files would be one, on systems too that take "A" and "a" for the same."""
    return file_name(name).lower()


def paths_of(folder: str | os.PathLike[str], names: Iterable[str], suffix: str) -> dict[str, Path]:
    """Where each program of a folder stands, by its name. Raises InputError for what is no folder and no suffix."""
    place = file_path("folder", folder)
    if not isinstance(suffix, str) or not _SUFFIX.fullmatch(suffix):
        raise InputError(f"suffix={shown(suffix)} must be a dot and letters or digits, such as '.nc' or '.tap'.")
    return {name: place / (file_name(name) + suffix) for name in names}


def sheet_path(folder: str | os.PathLike[str], title: str) -> Path:
    """Where the sheet of a job stands. Raises InputError where that of another job would be replaced."""
    path = file_path("folder", folder) / SHEET
    there = _SHEET_TITLE.search(_read(path, _HEAD_BYTES) or "")
    if there and unescape(there[1]) != title:
        raise InputError(
            f"{path} is the sheet of another job, {unescape(there[1])}; write {title} to a folder of its own. "
            "Nothing was written."
        )
    return path


class TextsOfJob(NamedTuple):
    """All that a job has in its folder.

    programs : by their names, in running order; sheet : the page for the person at the machine; identity : of the set
    """

    programs: Mapping[str, str]
    sheet: str
    identity: str


def put_in_folder(folder: str | os.PathLike[str], title: str, texts: TextsOfJob, suffix: str) -> tuple[Path, ...]:
    """Write a job, all of it or nothing; where it stands then, the sheet last.

    Raises InputError for a folder that holds another job, or an earlier form of this one, and where no file can be
    written.
    """
    files = {path: texts.programs[name] for name, path in paths_of(folder, texts.programs, suffix).items()}
    check_left_over(files, title, texts.identity)
    written = files | {sheet_path(folder, title): texts.sheet}
    write_whole(written)
    return tuple(written)


def differences(files: Mapping[Path, str], identity: str) -> tuple[str, ...]:
    """What keeps a folder from holding just these files, a sentence each.

    files : the text that each file should hold; all in one folder
    """
    found = []
    for path, text in files.items():
        there = _read(path)
        if there is None:
            found.append(f"{path.name} is no program." if path.exists() else f"{path.name} is missing.")
        elif there != text:
            other = identity_of(there)
            found.append(
                f"{path.name} is of another set, {other}; this one is {identity}."
                if other and other != identity
                else f"{path.name} was changed since it was written."
            )
    found += [
        f"{path.name} is a copy of one of these programs."
        if other == identity
        else f"{path.name} is of another set, {other}."
        for path, other, _ in _other_programs(files)
    ]
    return tuple(found)


def check_left_over(files: Mapping[Path, str], title: str, identity: str) -> None:
    """Raises InputError where a program of another job would be replaced, or one of an earlier form of this job would
    stay beside the new ones."""
    for path, text in files.items():
        there = _read(path)
        if there and identity_of(there) and _first_comment(there) != _first_comment(text):
            raise InputError(
                f"{path} is a program of another job, {_first_comment(there)}; write {title} to a folder of its own. "
                "Nothing was written."
            )
    for path, other, first in _other_programs(files):
        if other != identity and _title(first) == _title(f"{title}: front"):
            raise InputError(
                f"{path} belongs to an earlier form of {title}, set {other}, and would stay beside set {identity}; "
                "take it away, or write to another folder. Nothing was written."
            )


def identity_of(text: str) -> str:
    """The identity of the set that a program belongs to, by its head; "" where it names none."""
    for line in text.splitlines()[:_HEAD]:
        fields = IN_SET.read(line.strip("()"))
        if fields is not None:
            return fields["identity"]
    return ""


def set_of_file(path: Path) -> str:
    """The identity of the set that the program in a file belongs to; "" where there is none."""
    return identity_of(_read(path) or "")


def _other_programs(files: Mapping[Path, str]) -> Iterator[tuple[Path, str, str]]:
    """Other programs in the folder that name a set, whatever their suffix: path, identity and first comment of each."""
    for folder in dict.fromkeys(path.parent for path in files):
        for path in sorted(folder.iterdir()) if folder.is_dir() else ():
            text = None if path in files or path.name.startswith(".") else _read(path, _HEAD_BYTES)
            if text and (other := identity_of(text)):
                yield path, other, _first_comment(text)


def _first_comment(text: str) -> str:
    """The first comment of a program, which may go on in further lines, without its parentheses."""
    first, *more = text.splitlines()
    return " ".join(line.strip("() ") for line in [first, *takewhile(goes_on, more)])


def _title(first: str) -> str:
    """The title in a first comment, "title: side", for comparison: without the blanks at which it may be broken."""
    return "".join(first.rpartition(":")[0].split())


def _read(path: Path, most: int = -1) -> str | None:
    """The text of a file, or so many bytes of it at most; None where there is none, or none that a program could be."""
    try:
        if not path.is_file():  # a device or a pipe need have no end
            return None
        with open(path, "rb") as file:
            return file.read(most).decode("ascii")
    except (OSError, UnicodeDecodeError):
        return None
