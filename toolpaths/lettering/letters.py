"""Text as areas: the letters of a font, sized by the height of their capitals."""

from __future__ import annotations

import os
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base import checks
from toolpaths.base.checks import Floats, between, length, one_of, point
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.lettering.base_line import ALIGNS, Align, Along, BaseLine, Straight
from toolpaths.lettering.font import FontFile
from toolpaths.shapes import door
from toolpaths.shapes.filled import filled
from toolpaths.shapes.symmetry import Line
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

# Characters of a text.
_LONGEST = 2_000
# Capital heights from one base line to the next: common practice, no source.
LINE_SPACING = 1.6


def letters(
    text: str,
    font: str | os.PathLike[str],
    capital_height: float,
    place: Point = (0.0, 0.0),
    *,
    align: Align = "left",
    along: Line | None = None,
    letter_spacing: float = 0.0,
    line_spacing: float = LINE_SPACING,
    tolerance: float = DEFAULT_TOLERANCE,
) -> BaseGeometry:
    """The letters of a text as one area, from a TrueType or OpenType font, with its kerning.

    font : the path of a .ttf or .otf file
    capital_height : of a capital H, mm; the letters are scaled by it
    place : the left end of the first base line, its middle or its right end, by `align`
    align : "left", "centre" or "right"
    along : a line, an Outline or points (x, y) on which the letters stand, in place of `place`; the text begins at
        its start, stands about its middle or ends at its end, by `align`
    letter_spacing : mm more between letters, or less where it is negative
    line_spacing : from one base line to the next, in capital heights, for a text of several lines

    Letters that overlap are united.

    >>> from toolpaths import letters
    >>> letters("Oak", "no such file.ttf", 20)
    Traceback (most recent call last):
        ...
    toolpaths.base.errors.InputError: The font no such file.ttf cannot be read: ...

    Raises InputError for a file that is no font and a character that the font lacks, ShapeError for a text without a
    letter to be seen, DoesNotFitError for one that is longer than its curve.
    """
    lines = text_lines("text", text)
    found = FontFile.at("font", font)
    fine = checks.tolerance("tolerance", tolerance) * FLATTEN
    height = length("capital_height", capital_height)
    base_lines = base_lines_for(lines, place, align, along, height * length("line_spacing", line_spacing))
    scale = height / found.capital_height
    apart = between("letter_spacing", letter_spacing, -height, 10 * height)
    areas = []
    for words, base_line in zip(lines, base_lines, strict=True):
        glyphs = found.letters(words)
        if not glyphs:
            continue
        last = glyphs[-1]
        whole = (last.left + last.advance) * scale + last.character * apart
        for glyph in glyphs:
            start = glyph.x * scale + glyph.character * apart
            middle = (glyph.left + glyph.advance / 2) * scale + glyph.character * apart
            rings = [
                base_line.placed(ring + np.array([0.0, glyph.y * scale]), start, middle, whole)
                for ring in found.outlines(glyph.glyph, scale, fine)
            ]
            areas.append(filled(rings, "nonzero"))
    united = shapely.union_all(areas)
    if united.is_empty:
        raise ShapeError(f"text={checks.shown(text)} has no letter that is seen.")
    return united


def text_lines(name: str, given: str) -> list[str]:
    """The lines of a text, none of them without an end."""
    words = checks.text(name, given)
    if not words.strip():
        raise InputError(f"{name}={checks.shown(given)} must be a text that is not empty.")
    if len(words) > _LONGEST:
        raise InputError(f"{name} is {len(words)} characters long; {_LONGEST} at most are drawn at once.")
    return words.splitlines()


def base_lines_for(lines: list[str], place: Point, align: Any, along: Line | None, spacing: float) -> list[BaseLine]:
    """Where each line of a text stands."""
    one_of("align", align, ALIGNS)
    x, y = point("place", place)
    if along is None:
        return [Straight((x, y - spacing * number), align) for number in range(len(lines))]
    if (x, y) != (0.0, 0.0):
        raise InputError(f"place={(x, y)} and along= cannot both say where the text stands.")
    if len(lines) > 1:
        raise InputError(f"along= takes a text of one line, not of {len(lines)}.")
    (curve, closed), *more = door.lines("along", door.as_line("along", along))
    if more:
        raise InputError(f"along= must be one line; these are {1 + len(more)}.")
    return [Along(_round_trip(curve) if closed else curve, align)]


def _round_trip(ring: Floats) -> Floats:
    return np.vstack([ring, ring[:1]])
