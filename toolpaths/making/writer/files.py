"""Texts to disk: each file whole or not there, several together or none."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from stat import S_IMODE
from types import ModuleType

from toolpaths.base.errors import InputError

fcntl: ModuleType | None
try:
    import fcntl
except ImportError:  # there is none on Windows
    fcntl = None


def write_whole(texts: Mapping[Path, str | bytes]) -> None:
    """Write each text to a file of its own beside its place and, once all are on the disk, put all in place.

    texts : by path, plain ASCII, or the bytes of a file in another coding; folders are made where they are missing

    What was there stays until then, and so do its mode and the links that lead to it. Of two that write at the same
    time, the texts of one are left, whole.

    Raises InputError, with nothing changed, where a text cannot be written.
    """
    try:
        _check_paths(texts)
        places = {_where_it_leads(path): text for path, text in texts.items()}
        with ExitStack() as undo:
            for folder in _missing_folders(places):
                folder.mkdir(exist_ok=True)
                undo.callback(_remove_folder, folder)
            with ExitStack() as leftovers:
                parts = {path: _part(path, text, leftovers) for path, text in places.items()}
                with _alone_in({path.parent for path in parts}):
                    _put_in_place(parts)
            undo.pop_all()
    except (OSError, UnicodeEncodeError) as error:
        raise InputError(f"The file cannot be written: {error}. Nothing was changed.") from error


def _check_paths(texts: Mapping[Path, str | bytes]) -> None:
    """Names of files, each once."""
    for path in texts:
        if "\0" in str(path):
            raise InputError(f"The file cannot be written: {str(path)!r} holds a character that no name may have.")
        if not path.name or path.is_dir():
            raise InputError(f"The file cannot be written: {str(path)!r} is a folder; name a file in it.")
        if path.exists() and not path.is_file():  # a device or a pipe would be read without an end, or replaced
            raise InputError(f"The file cannot be written: {str(path)!r} is no ordinary file; name one.")
    places = [os.path.realpath(path) for path in texts]
    if twice := next((place for place in places if places.count(place) > 1), None):
        raise InputError(f"The files cannot be written: two of them would be {twice!r}.")


def _where_it_leads(path: Path) -> Path:
    """The file itself, where a link leads to it: the link stays a link."""
    place = Path(os.path.realpath(path))
    if place.is_symlink():
        raise InputError(f"The file cannot be written: {str(path)!r} is a link that leads in a ring.")
    return place


@contextmanager
def _alone_in(folders: Iterable[Path]) -> Iterator[None]:
    """Nobody else puts files in place in these folders meanwhile: of two sets that are written at the same time all of
    one is left, and not some files of each. Where a system or a disk has no locks each file is still whole."""
    with ExitStack() as locks:
        if fcntl is not None:
            for folder in sorted(folders):
                with suppress(OSError):
                    opened = os.open(folder, os.O_RDONLY)
                    locks.callback(os.close, opened)
                    fcntl.flock(opened, fcntl.LOCK_EX)
        yield


def _missing_folders(paths: Iterable[Path]) -> list[Path]:
    """The folders to be made, outer ones first."""
    folders = {folder for path in paths for folder in path.parents if not folder.exists()}
    return sorted(folders, key=lambda folder: len(folder.parts))


def _remove_folder(folder: Path) -> None:
    # Where it holds something by now, somebody else uses it.
    with suppress(OSError):
        folder.rmdir()


def _part(path: Path, text: str | bytes, leftovers: ExitStack) -> Path:
    """A file beside the place of another that holds its text, on the disk."""
    part = _new_file(path.parent, leftovers)
    with open(part, "wb") as file:
        file.write(text if isinstance(text, bytes) else text.encode("ascii"))
        file.flush()
        os.fsync(file.fileno())
    if path.exists():
        _give_mode(part, S_IMODE(path.stat().st_mode))
    return part


def _give_mode(part: Path, mode: int) -> None:
    """The mode of the file that it comes in place of; a disk that knows no modes has none to keep."""
    if S_IMODE(part.stat().st_mode) != mode:
        with suppress(PermissionError):
            part.chmod(mode)


def _copy(path: Path, leftovers: ExitStack) -> Path:
    """A file beside another that holds the same."""
    copy = _new_file(path.parent, leftovers)
    from shutil import copy2  # which brings in every way to compress

    copy2(path, copy)
    return copy


def _new_file(folder: Path, leftovers: ExitStack) -> Path:
    """A file that was not there and that nobody else writes to, removed with the leftovers.

    Its name never comes again: else, once it is in its place, another could make a file of that name, and lose it to
    the removal. And it is short, however long that of the program.
    """
    path = folder / f".toolpaths-{os.urandom(16).hex()}.part"
    path.touch(exist_ok=False)
    leftovers.callback(path.unlink, missing_ok=True)
    return path


def _put_in_place(parts: Mapping[Path, Path]) -> None:
    """Each file to its place. Each step is whole by itself; if a later one fails, the earlier are undone."""
    with ExitStack() as leftovers:
        old = {path: _copy(path, leftovers) for path in parts if len(parts) > 1 and path.exists()}
        try:
            for path, part in parts.items():
                os.replace(part, path)
        except BaseException:
            # What is in its place by now is no longer beside it.
            placed = [path for path, part in parts.items() if not part.exists()]
            if changed := [path for path in placed if not _put_back(path, old.get(path))]:
                leftovers.pop_all()
                left = ", ".join(
                    f"{path} (the old one is {old[path]})" if path in old else str(path) for path in changed
                )
                raise InputError(f"The files cannot be written, and these are changed already: {left}.") from None
            raise


def _put_back(path: Path, old: Path | None) -> bool:
    """What stood at a path, or nothing, there again."""
    try:
        if old is None:
            path.unlink(missing_ok=True)
        else:
            os.replace(old, path)
    except OSError:
        return False
    return True
