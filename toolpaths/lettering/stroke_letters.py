"""Text as single strokes, for a narrow groove: the letters that were drawn for plotters."""

from __future__ import annotations

from typing import Any

import numpy as np
from shapely import LineString, MultiLineString

from toolpaths.base import checks
from toolpaths.base.checks import between, length, one_of
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.base.extras import extra_library
from toolpaths.lettering.base_line import Align
from toolpaths.lettering.letters import LINE_SPACING, base_lines_for, text_lines
from toolpaths.shapes.symmetry import Line


def stroke_letters(
    text: str,
    capital_height: float,
    place: Point = (0.0, 0.0),
    *,
    face: str = "futural",
    align: Align = "left",
    along: Line | None = None,
    letter_spacing: float = 0.0,
    line_spacing: float = LINE_SPACING,
) -> MultiLineString:
    """The letters of a text as single strokes, to be cut by groove() with a fine or a pointed cutter.

    face : one of the faces of the Hershey fonts by its file's name there: "futural" plain, "rowmans" plain and
        somewhat wider, "scripts" slanted and joined, and more
    place, align, along, letter_spacing, line_spacing : as for letters()

    The strokes are those of the Hershey fonts, whose distribution asks that this is said with them: they were
    originally created by Dr. A. V. Hershey while working at the U. S. National Bureau of Standards; the format of the
    font data in their distribution was originally created by James Hurt, Cognition, Inc.; and they may not be given
    on in the format of the U. S. National Technical Information Service.

    >>> from toolpaths import stroke_letters
    >>> [round(edge, 6) for edge in stroke_letters("H", 21).bounds]
    [4.0, 0.0, 18.0, 21.0]

    Raises InputError for a face or a character that there is not (they know ASCII alone), ShapeError for a text
    without a stroke, DoesNotFitError for one that is longer than its curve.
    """
    lines = text_lines("text", text)
    height = length("capital_height", capital_height)
    base_lines = base_lines_for(lines, place, align, along, height * length("line_spacing", line_spacing))
    apart = between("letter_spacing", letter_spacing, -height, 10 * height)
    glyphs = _glyphs(face)
    strokes = []
    for words, base_line in zip(lines, base_lines, strict=True):
        missing = sorted({each for each in words if each not in glyphs})
        if missing:
            names = ", ".join(f"{each!r} (U+{ord(each):04X})" for each in missing)
            raise InputError(f"The face {face!r} has no letter for {names}.")
        scales = [height / (glyphs[each].base_line - glyphs[each].cap_line) for each in words]
        advances = [glyphs[each].char_width * scale + apart for each, scale in zip(words, scales)]
        whole = sum(advances) - apart
        for number, (each, scale) in enumerate(zip(words, scales)):
            glyph, start = glyphs[each], sum(advances[:number])
            middle = start + (advances[number] - apart) / 2
            for stroke in glyph.strokes:
                points = (np.array(stroke, dtype=np.float64) - [glyph.left_offset, glyph.base_line]) * [scale, -scale]
                strokes.append(LineString(base_line.placed(points, start, middle, whole)))
    if not strokes:
        raise ShapeError(f"text={checks.shown(text)} has no letter that is seen.")
    return MultiLineString(strokes)


def _glyphs(face: str) -> dict[str, Any]:
    """The glyphs of a face, by character."""
    fonts = extra_library("HersheyFonts", "lettering", "Stroke letters need their data").HersheyFonts()
    one_of("face", face, sorted(fonts.default_font_names))
    fonts.load_default_font(face)
    return {character: glyph for character in map(chr, range(32, 127)) for glyph in fonts.glyphs_for_text(character)}
