"""What is done with hostile input, a function a reader: each takes bytes, and raises what no reader may raise.

A reader may raise the kinds of error that its docstring names, each with a message. Warnings are errors here, and an
input takes at most `MOST_SECONDS` of the processor.
"""

from __future__ import annotations

import io
import tempfile
import time
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch
from zlib import crc32

import numpy as np
from same_motion import assert_proof_goes_where_the_reader_goes

import toolpaths as tp
from toolpaths.base.errors import DoesNotFitError, InputError, ProgramError, ShapeError, ToolpathsError
from toolpaths.judging.reader import read as reading
from toolpaths.judging.reader.motions import Motions
from toolpaths.proving.proof import prove

# Of processor time, for one call of a reader; a picture gets a second more for each million pixels.
MOST_SECONDS = 5.0
_LONGEST_MESSAGE = 1_000

_BOARD = tp.Board(width=120, height=80, thickness=12)
_FIXTURE = tp.Fixture(
    board=_BOARD, screws=tp.screws([(8, 8), (112, 72)], head_diameter=9, height=3), spoilboard_depth=0.5
)
_RACK = (
    tp.Cutter(1, tp.flat(6), feed_mm_min=1500, plunge_mm_min=450, spindle_rpm=18000),
    tp.Cutter(2, tp.drill_point(3), feed_mm_min=300, spindle_rpm=9000),
)


class TooSlow(AssertionError):
    """An input that takes longer than any may."""


def text(data: bytes) -> None:
    """G-code: read strictly and forgivingly, the short way and one by one, by the proof; some of it simulated."""
    words = data.decode("utf-8", "replace")
    with _in_time(), _allowed(ProgramError):
        reading.read(words)
    by_numpy, one_by_one = _read_all(words, least=1), _read_all(words, least=10**9)
    _assert_same(by_numpy, one_by_one)
    for error in (*by_numpy.errors, *by_numpy.allowed):
        assert error.line >= 1 and error.column >= 1 and error.code, repr(error)
        _check_message(error)
    assert_proof_goes_where_the_reader_goes(words, by_numpy)
    if crc32(data) % 16 == 0:
        with _in_time():
            str(tp.simulate(words, _FIXTURE, _RACK, cell=2.0)).encode()
        with _in_time():
            str(prove([words], tp.Part(board=_BOARD), _FIXTURE, _RACK)).encode()


def svg(data: bytes) -> None:
    with _in_time(), _allowed(InputError, ShapeError):
        _look_at(tp.read_svg(data, "mm" if crc32(data) % 2 else None))


def dxf(data: bytes) -> None:
    with _in_time(), _allowed(InputError, ShapeError):
        _look_at(tp.read_dxf(data, "mm" if crc32(data) % 2 else None))


def picture(data: bytes) -> None:
    with _as_file(data, ".png") as path, _in_time(MOST_SECONDS + _megapixels(data)), _allowed(InputError, ShapeError):
        tp.read_picture(path, width=100).outlines()


def font(data: bytes) -> None:
    with _as_file(data, ".ttf") as path, _in_time(), _allowed(InputError, ShapeError, DoesNotFitError):
        tp.letters("HIEx fi", path, 20)


TARGETS: dict[str, Callable[[bytes], None]] = {
    "text": text, "svg": svg, "dxf": dxf, "picture": picture, "font": font,
}  # fmt: skip


def run(name: str, data: bytes) -> None:
    """One input; what it raises is a fault of the reader."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        TARGETS[name](data)


@contextmanager
def _in_time(most: float = MOST_SECONDS) -> Iterator[None]:
    begun = time.process_time()
    yield
    took = time.process_time() - begun
    if took > most:
        raise TooSlow(f"{took:.1f} s of at most {most:.1f}")


def _look_at(drawing: tp.Drawing) -> None:
    f"{drawing!r} {drawing} {drawing.bounds}".encode()
    drawing.circles()
    drawing.lines()
    drawing.areas()


def _read_all(words: str, least: int) -> tp.Program:
    with patch.object(reading, "_LEAST", least), _in_time():
        return reading.read_all(words)


def _assert_same(one: tp.Program, other: tp.Program) -> None:
    for name in Motions.__dataclass_fields__:
        mine, its = getattr(one.motions, name), getattr(other.motions, name)
        assert np.array_equal(mine, its, equal_nan=mine.dtype.kind == "f"), f"{name}: {mine} {its}"
    for name in ("events", "comments", "units", "changes", "left", "after_end", "resumed"):
        assert repr(getattr(one, name)) == repr(getattr(other, name)), name
    # The order of codes is that of their first use, which both ways have to tell.
    assert dict(one.codes) == dict(other.codes)
    for name in ("errors", "allowed"):
        assert list(map(str, getattr(one, name))) == list(map(str, getattr(other, name))), name


@contextmanager
def _allowed(*kinds: type[ToolpathsError]) -> Iterator[None]:
    try:
        yield
    except kinds as error:
        _check_message(error)


def _check_message(error: Exception) -> None:
    """It says something, in words that a terminal may be given."""
    message = str(error)
    assert 10 < len(message) <= _LONGEST_MESSAGE, f"{len(message)} characters: {message[:200]!r}"
    assert message.replace("\n", " ").isprintable(), repr(message)


@contextmanager
def _as_file(data: bytes, ending: str) -> Iterator[Path]:
    with tempfile.NamedTemporaryFile(suffix=ending) as file:
        file.write(data)
        file.flush()
        yield Path(file.name)


def _megapixels(data: bytes) -> float:
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            width, height = Image.open(io.BytesIO(data)).size
        return width * height / 1e6
    except Exception:  # what is no picture has no pixels
        return 0.0
