"""A font as a file: the letters of a text where they stand, with kerning, and the outlines of each.

The reading and the shaping (kerning, ligatures, marks, right-to-left scripts) is that of HarfBuzz.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Any, NamedTuple

import numpy as np

from toolpaths.base.checks import Floats, file_path
from toolpaths.base.errors import InputError
from toolpaths.base.extras import extra_library
from toolpaths.shapes.bezier import bezier

# A font file of more bytes is refused: the largest of all scripts have a tenth of it.
_MOST_BYTES = 200_000_000
# Height of capitals where a font has none to measure: common practice, no source.
_MEASURED_ON = "HIEX"


class Letter(NamedTuple):
    """A glyph of a text, in units of the font: where its origin stands on the base line, and what it belongs to.

    character : which of the characters that are seen one by one, counted from the left: an accent has its letter's
    left, advance : of that character, where it begins on the base line and how far it takes
    """

    glyph: int
    x: float
    y: float
    character: int
    left: float
    advance: float


def _shaper() -> Any:
    return extra_library("uharfbuzz", "lettering", "Letters need a library that reads fonts")


@dataclass(frozen=True)
class FontFile:
    """A TrueType or OpenType font."""

    path: str

    @classmethod
    def at(cls, name: str, path: str | os.PathLike[str]) -> FontFile:
        """The font in a file; InputError for one that is none."""
        found = cls(str(file_path(name, path)))
        _ = found.capital_height
        return found

    @cached_property
    def _font(self) -> Any:
        shaper = _shaper()
        try:
            size = os.path.getsize(self.path)
            if size > _MOST_BYTES:
                raise InputError(f"{self.path} has {size} bytes; a font of {_MOST_BYTES} at most is read.")
            face = shaper.Face(shaper.Blob.from_file_path(self.path))
        except (OSError, shaper.HarfBuzzError) as error:
            raise InputError(f"The font {self.path} cannot be read: {error}.") from None
        if face.glyph_count == 0:
            raise InputError(f"{self.path} is no TrueType or OpenType font: no letter is in it.")
        return shaper.Font(face)

    @cached_property
    def capital_height(self) -> float:
        """Height of the capitals in units of the font, measured on a letter that is level at its top."""
        for letter in _MEASURED_ON:
            glyph = self._font.get_nominal_glyph(ord(letter))
            extents = self._font.get_glyph_extents(glyph) if glyph else None
            if extents and extents.y_bearing > 0:
                return float(extents.y_bearing)
        raise InputError(
            f"{self.path} has none of the letters {', '.join(_MEASURED_ON)}, whose height gives that of capitals."
        )

    def letters(self, text: str) -> list[Letter]:
        """The letters of one line of text, its first origin at 0; InputError names characters that the font lacks."""
        if not text:
            return []
        shaper = _shaper()
        buffer = shaper.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        shaper.shape(self._font, buffer)
        missing = sorted({text[info.cluster] for info in buffer.glyph_infos if info.codepoint == 0})
        if missing:
            names = ", ".join(f"{each!r} (U+{ord(each):04X})" for each in missing)
            raise InputError(f"The font {self.path} has no letter for {names}.")
        found: list[Letter] = []
        pen = 0.0
        shaped = zip(buffer.glyph_infos, buffer.glyph_positions)
        for number, (_, group) in enumerate(groupby(shaped, key=lambda each: each[0].cluster)):
            glyphs = list(group)
            left, advance = pen, float(sum(place.x_advance for _, place in glyphs))
            for info, place in glyphs:
                found.append(Letter(info.codepoint, pen + place.x_offset, place.y_offset, number, left, advance))
                pen += place.x_advance
        return found

    def outlines(self, glyph: int, scale: float, sagitta: float) -> list[Floats]:
        """The closed outlines of a glyph, (n, 2) points each in mm, its chords within `sagitta` of its curves."""
        pen = _Pen(scale, sagitta)
        self._font.draw_glyph_with_pen(glyph, pen)
        return list(pen.rings())


class _Pen:
    """Takes a glyph down as chords; its methods are named by the protocol of the library that calls them."""

    def __init__(self, scale: float, sagitta: float) -> None:
        self.scale, self.sagitta = scale, sagitta
        self.outlines: list[list[Floats]] = []

    def _to(self, *places: tuple[float, float]) -> None:
        scaled = np.array(places, dtype=np.float64) * self.scale
        chords = self.outlines[-1]
        controls = np.vstack([chords[-1][-1:], scaled])
        chords.append(scaled if len(places) == 1 else bezier(controls.tolist(), self.sagitta)[1:])

    def moveTo(self, place: tuple[float, float]) -> None:
        self.outlines.append([np.array([place], dtype=np.float64) * self.scale])

    def lineTo(self, place: tuple[float, float]) -> None:
        self._to(place)

    def qCurveTo(self, *places: tuple[float, float]) -> None:
        self._to(*places)

    def curveTo(self, *places: tuple[float, float]) -> None:
        self._to(*places)

    def closePath(self) -> None:
        """Outlines of letters are closed, each of them."""

    def rings(self) -> Iterator[Floats]:
        for chords in self.outlines:
            points = np.vstack(chords)
            yield points[:-1] if len(points) > 1 and (points[0] == points[-1]).all() else points
