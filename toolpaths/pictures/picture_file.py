"""Picture files as greys: as the camera was held, of any kind of pixel; what is none, or too much, is refused."""

from __future__ import annotations

import os
import warnings
from pathlib import Path
from typing import Any

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import InputError
from toolpaths.base.extras import extra_library

# A file of more bytes, a picture of more pixels: refused before it is decoded. A camera of today makes 50 million.
_MOST_BYTES, _MOST_PIXELS = 200_000_000, 64_000_000
# Pixels: a picture of fewer either way has no outline.
_LEAST_SIDE = 8
# Those of photographs and scans; other decoders are not let near a file.
_FORMATS = ("PNG", "JPEG", "TIFF", "BMP", "WEBP")


def check_size(width: int, height: int) -> None:
    """InputError for a picture with too few or too many pixels."""
    if min(width, height) < _LEAST_SIDE:
        raise InputError(f"The picture is {width} x {height} pixels; it needs {_LEAST_SIDE} at least either way.")
    if width * height > _MOST_PIXELS:
        raise InputError(f"The picture is {width} x {height} pixels; {_MOST_PIXELS} in all are read at most.")


def greys_of_file(path: Path) -> tuple[Floats, tuple[str, ...]]:
    """(rows, columns) greys of 0 to 255, and notes of what is in doubt."""
    need = "Pillow is not installed, with which pictures are read"
    images, turning = (extra_library(f"PIL.{name}", "pictures", need) for name in ("Image", "ImageOps"))
    notes: list[str] = []
    try:
        if os.path.getsize(path) > _MOST_BYTES:
            raise InputError(f"{path.name} is larger than {_MOST_BYTES / 1e6:g} MB.")
        with warnings.catch_warnings():
            # It warns of large pictures, which are refused here, before anything is decoded.
            warnings.simplefilter("ignore")
            with images.open(path, formats=_FORMATS) as image:
                check_size(*image.size)
                if getattr(image, "n_frames", 1) > 1:
                    notes.append(f"{path.name} holds {image.n_frames} pictures; the first is read.")
                image.load()
                return _greys(images, turning.exif_transpose(image), path.name, notes), tuple(notes)
    except InputError:
        raise
    except Exception as error:  # a broken picture raises whatever its decoder stumbles over
        reason = " ".join(str(error).split()) or type(error).__name__
        raise InputError(f"{path.name} cannot be read as a picture: {reason}.") from None


def _greys(images: Any, image: Any, name: str, notes: list[str]) -> Floats:
    if image.mode == "F":
        raise InputError(f"{name} holds greys that are no whole numbers; save it with 8 or 16 bits.")
    if image.mode.startswith("I"):
        # Greys of 16 bits, which a conversion would cut off at 255.
        numbers = np.asarray(image, dtype=float)
        if numbers.min() < 0 or numbers.max() > 65_535:
            raise InputError(f"{name} holds greys of neither 8 nor 16 bits.")
        return numbers / 257
    if image.has_transparency_data:
        image = image.convert("RGBA")
        if image.getchannel("A").getextrema()[0] < 255:
            notes.append(f"{name} is transparent in places, which are taken for white.")
        image = images.alpha_composite(images.new("RGBA", image.size, "white"), image)
    return np.asarray(image.convert("L"), dtype=float)
