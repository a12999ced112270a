"""read_svg(): an SVG file as curves in mm, seen as it is seen on the screen, y up."""

from __future__ import annotations

import os
from collections.abc import Mapping

from toolpaths.base import checks
from toolpaths.base.checks import distance
from toolpaths.base.errors import InputError
from toolpaths.drawings.affine import Affine, moved, scaled
from toolpaths.drawings.assemble import drawing_of, hidden_in_mm, notes_in_mm, to_width
from toolpaths.drawings.drawing_curve import Note
from toolpaths.drawings.file_bytes import file_bytes, unit_or_width
from toolpaths.drawings.read_drawing import Drawing
from toolpaths.drawings.svg_file import svg_tree
from toolpaths.drawings.svg_shapes import said_length
from toolpaths.drawings.svg_units import MM_PER_PX, Length, Viewport, fitted_view, in_mm, numbers, view_box
from toolpaths.drawings.svg_walk import SvgWalk
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE

# Where the lower left corner of the sheet lies, "x y" in mm, in files that write_svg() made.
CORNER = "data-corner-mm"
_NO_SIZE = (
    "The file says no physical size; give unit=, what one unit of its numbers is ('mm', 'inch', ...), or width=, how "
    "wide all that is drawn is in mm."
)


def read_svg(
    source: str | os.PathLike[str] | bytes,
    unit: str | float | None = None,
    *,
    width: float | None = None,
    gap: float = 0.01,
    tolerance: float = DEFAULT_TOLERANCE,
) -> Drawing:
    """Read an SVG file: its curves in mm from the lower left corner of its sheet, y up.

    source : the path of the file, or what stands in it, as bytes or text
    unit : what one unit of its numbers is: "mm", "cm", "m", "inch", "ft", "pt", "px", or mm as a number. Needed where
        the file says no physical size, and counts where it does
    width : mm, instead: how wide all that is drawn is
    gap : mm; ends no farther apart are joined, and every gap that was closed is said
    tolerance : mm, as in Setup

    >>> import toolpaths as tp
    >>> drawing = tp.read_svg('''<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50">
    ...     <rect width="80" height="50" fill="none"/> <circle id="hole" cx="20" cy="10" r="3" fill="none"/></svg>''')
    >>> drawing.circles(name="hole")
    (Circle(centre=(20.0, 40.0), diameter=6.0),)
    >>> [round(area.area, 1) for area in drawing.areas()]
    [3971.7]

    Raises InputError for a file that is no SVG, says no size where none is given, holds what cannot be read in full, or
    too much; ShapeError for a coordinate that is no number. The library for it is `pip install 'toolpaths[drawings]'`.
    """
    unit_mm, wide = unit_or_width(unit, width)
    most, within = distance("gap", gap), checks.tolerance("tolerance", tolerance)
    root = svg_tree(file_bytes(source, "<"))
    walk = SvgWalk(root)
    sheet = _Sheet(root.attrib)
    notes = list[Note]()
    if unit_mm is None and wide is None and sheet.size is None:
        raise InputError(_NO_SIZE)
    walk.draw(*sheet.content(own_units=unit_mm is not None or wide is not None))
    if unit_mm is None and wide is None:
        to_mm = scaled(1.0, -1.0)
        high = sheet.size.height if sheet.size else 0.0
        notes += sheet.doubts()
    else:
        to_mm = to_width(walk.things, wide) if wide is not None else scaled(unit_mm or 1.0, unit_mm or 1.0)
        high = sheet.units_high * to_mm.d
        to_mm = scaled(1.0, -1.0).after(to_mm)
        if sheet.size is not None:
            given = "width" if wide is not None else "unit"
            notes.append(Note(f"the size that the file says, {sheet.written}, is not used: {given} is given"))
    corner = numbers(CORNER, root.attrib.get(CORNER, ""))
    to_mm = moved(*(corner if len(corner) == 2 else (0.0, 0.0))).after(moved(0.0, high)).after(to_mm)
    things = [thing.mapped(to_mm) for thing in walk.things]
    return drawing_of(things, most, within, hidden_in_mm(walk.hidden, to_mm), [*notes, *notes_in_mm(walk.notes, to_mm)])


class _Sheet:
    """The size of the outermost svg and what its view box makes of it.

    size : in mm; None where the file says none that is physical
    """

    def __init__(self, attributes: Mapping[str, str]) -> None:
        self.box = view_box(attributes["viewBox"]) if "viewBox" in attributes else None
        if "viewBox" in attributes and self.box is None:
            raise InputError("The file draws nothing: its viewBox has no width or no height.")
        self.how = attributes.get("preserveAspectRatio", "")
        self.said = [_physical(said_length(attributes, name)) for name in ("width", "height")]
        self.size = self._size()
        self.written = " by ".join(f"{each.number:g}{each.unit}" if each else "auto" for each in self.said)

    def _size(self) -> Viewport | None:
        wide, tall = (None if each is None else in_mm(each) for each in self.said)
        if self.box is not None and wide is not None and tall is None:
            tall = wide * self.box.height / self.box.width
        if self.box is not None and tall is not None and wide is None:
            wide = tall * self.box.width / self.box.height
        if wide is None or tall is None:
            return None
        if wide <= 0 or tall <= 0:
            raise InputError("The file draws nothing: its width or its height is not above 0.")
        return Viewport(wide, tall)

    @property
    def units_high(self) -> float:
        """Height of the sheet in the units of its content; 0 where it says none, y then counts from its top."""
        if self.box is not None:
            return self.box.top + self.box.height
        return self.size.height / MM_PER_PX if self.size is not None else 0.0

    def content(self, own_units: bool) -> tuple[Affine, Viewport]:
        """The map of its content, to mm or as its own units are, and what percentages in it are of."""
        box, size = self.box, self.size
        if own_units or size is None:
            if box is not None:
                return moved(-box.left, 0.0), Viewport(box.width, box.height)
            return Affine(), Viewport(0.0, 0.0) if size is None else _in_px(size)
        if box is None:
            return scaled(MM_PER_PX, MM_PER_PX), _in_px(size)
        return fitted_view(box, 0.0, 0.0, size.width, size.height, self.how), Viewport(box.width, box.height)

    def doubts(self) -> list[Note]:
        units = {each.unit for each in self.said if each is not None}
        if units & {"", "px"}:
            return [
                Note(
                    f"the sheet is {self.written} px, read as 96 to the inch as the standard says; older programs "
                    "wrote 90 or 72: measure one thing, or give unit="
                )
            ]
        return []


def _physical(said: Length | None) -> Length | None:
    return None if said is None or said.unit == "%" else said


def _in_px(size: Viewport) -> Viewport:
    return Viewport(size.width / MM_PER_PX, size.height / MM_PER_PX)
