"""Lengths of SVG, and where a view box comes to lie: CSS Values 3, SVG 2 chapter 8."""

from __future__ import annotations

import re
from math import hypot, isfinite
from typing import NamedTuple

from toolpaths.base.errors import InputError
from toolpaths.drawings.affine import Affine
from toolpaths.drawings.svg_path_data import NUMBER

PX_PER_INCH = 96.0
# px in each unit. em and ex depend on letters, and are refused.
_PX = {
    "": 1.0, "px": 1.0, "in": PX_PER_INCH, "cm": PX_PER_INCH / 2.54, "mm": PX_PER_INCH / 25.4,
    "q": PX_PER_INCH / 101.6, "pt": PX_PER_INCH / 72, "pc": PX_PER_INCH / 6,
}  # fmt: skip
MM_PER_PX = 25.4 / PX_PER_INCH
_MM = {"mm": 1.0, "cm": 10.0, "q": 0.25, "in": 25.4}
_LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z]*|%)\s*")
_NUMBERS = re.compile(rf"\s*({NUMBER})\s*,?")


class Length(NamedTuple):
    """A number and its unit, in small letters; "%" and "" are units too."""

    number: float
    unit: str

    def px(self, name: str, whole: float) -> float:
        """User units; `whole` is what 100 % are."""
        if self.unit == "%":
            return self.number * whole / 100
        if self.unit not in _PX:
            raise InputError(f"{name}={self.number:g}{self.unit} is in a unit that is no length here; use mm.")
        return self.number * _PX[self.unit]


def length(name: str, written: str) -> Length:
    """A length as an attribute writes it."""
    match = _LENGTH.fullmatch(written)
    if match is None or not isfinite(float(match[1])):
        raise InputError(f"{name}={written[:40]!r} is no length.")
    return Length(float(match[1]), match[2].lower())


def numbers(name: str, written: str) -> list[float]:
    """Numbers with spaces or commas between them."""
    found, at = [], 0
    written = written.strip()
    while at < len(written):
        match = _NUMBERS.match(written, at)
        if match is None or not isfinite(float(match[1])):
            raise InputError(f"{name} holds {written[at : at + 20]!r}, which is no number.")
        found.append(float(match[1]))
        at = match.end()
    return found


def in_mm(said: Length) -> float:
    """mm of a length that is no percentage; those in mm stay exactly what they are."""
    if said.unit in _MM:
        return said.number * _MM[said.unit]
    return said.px("the size of the sheet", 0.0) * MM_PER_PX


class Viewport(NamedTuple):
    """Width and height of what percentages are of, in user units."""

    width: float
    height: float

    @property
    def diagonal(self) -> float:
        """What a percentage of no direction is of."""
        return hypot(self.width, self.height) / 2**0.5


class ViewBox(NamedTuple):
    """The part of the user's plane that is shown."""

    left: float
    top: float
    width: float
    height: float


def view_box(written: str) -> ViewBox | None:
    """A viewBox; None where its width or height is 0, for which nothing is drawn."""
    found = numbers("viewBox", written)
    if len(found) != 4 or found[2] < 0 or found[3] < 0:
        raise InputError(f"viewBox={written[:60]!r} must be four numbers: left, top, width and height, not below 0.")
    box = ViewBox(*found)
    return box if box.width > 0 and box.height > 0 else None


def fitted_view(box: ViewBox, x: float, y: float, width: float, height: float, how: str) -> Affine:
    """The map that shows a view box in a rectangle, as preserveAspectRatio says."""
    words = how.split()
    words = words[1:] if words[:1] == ["defer"] else words
    align, cut = words[0] if words else "xMidYMid", words[1:] == ["slice"]
    across, down = width / box.width, height / box.height
    if align == "none":
        return Affine(across, 0.0, 0.0, down, x - box.left * across, y - box.top * down)
    match = re.fullmatch(r"x(Min|Mid|Max)Y(Min|Mid|Max)", align)
    if match is None or words[1:] not in ([], ["meet"], ["slice"]):
        raise InputError(f"preserveAspectRatio={how[:40]!r} is none of SVG's.")
    scale = max(across, down) if cut else min(across, down)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    right = share[match[1]] * (width - box.width * scale)
    below = share[match[2]] * (height - box.height * scale)
    return Affine(scale, 0.0, 0.0, scale, x - box.left * scale + right, y - box.top * scale + below)
