"""Pictures read from files and numbers: every kind of pixel as greys, upright; what is none, or too much, refused."""

from __future__ import annotations

import builtins
import importlib
import struct
from pathlib import Path
from zlib import compress, crc32

import numpy as np
import pytest
from drawn_pictures import drawn
from PIL import Image

import toolpaths as tp
from toolpaths.base.errors import InputError
from toolpaths.pictures import picture_file

GREYS = drawn(tp.circle(44, (40, 33)), (90, 70)).astype(np.uint8)
# A scale for pictures of which only the greys are looked at.
SCALE = {"marks": [(0, 0), (6, 0)], "distance": 5.0}


def test_a_file_is_turned_as_its_camera_was_held(tmp_path: Path) -> None:
    for orientation, upright in (
        (1, GREYS), (2, GREYS[:, ::-1]), (3, GREYS[::-1, ::-1]), (4, GREYS[::-1]),
        (5, GREYS.T), (6, np.rot90(GREYS, -1)), (7, GREYS[::-1, ::-1].T), (8, np.rot90(GREYS)),
    ):  # fmt: skip
        exif = Image.Exif()
        exif[0x0112] = orientation
        Image.fromarray(GREYS).save(tmp_path / "held.png", exif=exif)
        assert np.array_equal(tp.read_picture(tmp_path / "held.png", **SCALE).grey, upright), orientation


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA", "RGB", "RGBA", "CMYK", "YCbCr", "I;16", "I;16B"])
def test_every_kind_of_pixel_is_read(mode: str, tmp_path: Path) -> None:
    if mode.startswith("I"):
        numbers = GREYS.astype(np.uint16) * 257
        image = Image.frombytes(mode, (90, 70), (numbers.byteswap() if mode.endswith("B") else numbers).tobytes())
    else:
        image = Image.fromarray(GREYS).convert(mode)
    image.save(tmp_path / "picture.tif")

    read = tp.read_picture(str(tmp_path / "picture.tif"), **SCALE)

    if mode == "1":
        assert set(np.unique(read.grey)) == {0, 255}
    else:
        assert np.abs(read.grey - GREYS).max() <= 2
    assert read.notes == ()


@pytest.mark.parametrize("ending", ["png", "jpg", "bmp", "webp", "tif"])
def test_every_format_is_read(ending: str, tmp_path: Path) -> None:
    Image.fromarray(GREYS).convert("RGB").save(tmp_path / f"picture.{ending}", quality=95)
    assert np.abs(tp.read_picture(tmp_path / f"picture.{ending}", **SCALE).grey - GREYS).mean() < 2


def test_what_is_transparent_lies_on_white_and_is_said(tmp_path: Path) -> None:
    image = Image.new("RGBA", (40, 30), (0, 0, 0, 0))
    image.paste((10, 10, 10, 255), (10, 10, 30, 20))
    image.save(tmp_path / "clear.png")
    read = tp.read_picture(tmp_path / "clear.png", **SCALE)

    assert (read.grey[0, 0], read.grey[15, 20]) == (255, 10)
    assert "transparent" in read.notes[0]


def test_the_first_of_several_pictures_is_read_and_it_is_said(tmp_path: Path) -> None:
    first, second = Image.fromarray(GREYS), Image.fromarray(255 - GREYS)
    first.save(tmp_path / "moving.png", save_all=True, append_images=[second])
    read = tp.read_picture(tmp_path / "moving.png", **SCALE)

    assert np.array_equal(read.grey, GREYS)
    assert "2 pictures" in read.notes[0]


def png(width: int, height: int, depth: int, colour: int, data: bytes) -> bytes:
    """A PNG file whose header says so many pixels, whatever its data hold."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", crc32(kind + content))

    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", compress(data, 9)) + chunk(b"IEND", b"")


@pytest.mark.parametrize("width, height", [(40_000, 40_000), (8_001, 8_000), (4_000_000_000, 8), (100_000, 9_000)])
def test_a_large_picture_is_refused_before_it_is_decoded(
    width: int, height: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Small files whose header says many pixels."""
    (tmp_path / "bomb.png").write_bytes(png(width, height, 8, 0, bytes(1_000_000)))
    monkeypatch.setattr(Image.Image, "load", lambda *_: pytest.fail("it was decoded"))
    with pytest.raises(InputError, match="pixels"):
        tp.read_picture(tmp_path / "bomb.png", **SCALE)


def test_a_large_file_is_refused_before_it_is_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture_file, "_MOST_BYTES", 100)
    (tmp_path / "large.png").write_bytes(bytes(101))
    with pytest.raises(InputError, match="larger than"):
        tp.read_picture(tmp_path / "large.png", **SCALE)


def test_no_picture_and_half_a_picture_are_refused(tmp_path: Path) -> None:
    wrong = {"text.png": b"no picture", "empty.png": b"", "short.png": png(90, 70, 8, 0, bytes(500)),
             "depth.png": png(90, 70, 3, 0, bytes(500)), "vector.svg": b"<svg/>"}  # fmt: skip
    for ending in ("png", "jpg", "tif", "webp", "bmp"):
        Image.fromarray(GREYS).save(tmp_path / f"whole.{ending}")
        whole = (tmp_path / f"whole.{ending}").read_bytes()
        wrong[f"half.{ending}"] = whole[: len(whole) // 2]
        wrong[f"header.{ending}"] = whole[:20]
    for name, data in wrong.items():
        (tmp_path / name).write_bytes(data)
        with pytest.raises(InputError, match=name):
            tp.read_picture(tmp_path / name, **SCALE)
    for path in (tmp_path / "missing.png", tmp_path):
        with pytest.raises(InputError, match="cannot be read"):
            tp.read_picture(path, **SCALE)


def test_greys_of_more_than_sixteen_bits_are_refused(tmp_path: Path) -> None:
    for kind, numbers in (("float", GREYS / np.float32(255)), ("long", GREYS.astype(np.int32) * 1_000_000)):
        Image.fromarray(numbers).save(tmp_path / f"{kind}.tif")
        with pytest.raises(InputError, match="bits"):
            tp.read_picture(tmp_path / f"{kind}.tif", **SCALE)


@pytest.mark.parametrize(
    "numbers",
    [
        np.zeros((3, 30)), np.zeros((30, 30, 4)), np.full((30, 30), -1.0), np.full((30, 30), 256),
        np.full((30, 30), np.nan), np.zeros(30), np.full((30, 30), "a"), np.full((30, 30), 1j),
        np.broadcast_to(np.uint8(1), (9_000, 9_000)),
    ],
)  # fmt: skip
def test_numbers_that_are_no_picture_are_refused(numbers: np.ndarray) -> None:
    with pytest.raises(InputError, match="picture"):
        tp.read_picture(numbers, **SCALE)


def test_colours_become_greys() -> None:
    colours = np.zeros((20, 30, 3))
    colours[..., 0] = 255
    assert tp.read_picture(colours, **SCALE).grey[0, 0] == pytest.approx(0.299 * 255)


def test_a_picture_is_a_value() -> None:
    numbers = GREYS.copy()
    picture = tp.read_picture(numbers, width=40)
    numbers[:] = 0

    assert picture == tp.read_picture(GREYS, width=40) != tp.read_picture(GREYS, width=41)
    with pytest.raises(ValueError, match="read-only"):
        picture.grey[0, 0] = 3


@pytest.mark.parametrize("library", ["PIL", "contourpy"])
def test_a_library_that_is_not_there_is_named_with_its_install_line(
    library: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Image.fromarray(GREYS).save(tmp_path / "picture.png")

    def refusing(name: str) -> object:
        if name.split(".")[0] == library:
            raise ImportError(name)
        return importlib.import_module(name)

    monkeypatch.setattr("toolpaths.base.extras.import_module", refusing)
    with pytest.raises(InputError, match=r"pip install 'toolpaths\[pictures\]'"):
        tp.read_picture(tmp_path / "picture.png", width=40)


def test_no_library_is_loaded_before_a_picture_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor for a picture that is made of numbers, and whose scale needs no outline."""
    real = builtins.__import__

    def refusing(name: str, *rest: object, **more: object) -> object:
        assert name.split(".")[0] not in ("PIL", "contourpy")
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", refusing)
    monkeypatch.setattr("toolpaths.base.extras.import_module", lambda name: pytest.fail(name))
    tp.read_picture(GREYS, **SCALE)
