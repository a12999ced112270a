"""read_dxf(): the model space of a DXF file as curves in mm."""

from __future__ import annotations

import os

from toolpaths.base import checks
from toolpaths.base.checks import distance
from toolpaths.base.errors import InputError, ToolpathsError
from toolpaths.drawings.affine import scaled
from toolpaths.drawings.assemble import drawing_of, hidden_in_mm, notes_in_mm, to_width
from toolpaths.drawings.drawing_curve import Note
from toolpaths.drawings.dxf_file import damaged, dxf_document, mm_per_unit
from toolpaths.drawings.dxf_walk import DxfWalk, unit_note
from toolpaths.drawings.file_bytes import file_bytes, unit_or_width
from toolpaths.drawings.read_drawing import Drawing
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE

_NO_UNIT = (
    "The file does not say what its unit is; give unit= ('mm', 'inch', ...), or width=, how wide all that is drawn is "
    "in mm."
)


def read_dxf(
    source: str | os.PathLike[str] | bytes,
    unit: str | float | None = None,
    *,
    width: float | None = None,
    gap: float = 0.01,
    tolerance: float = DEFAULT_TOLERANCE,
) -> Drawing:
    """Read a DXF file: the curves of its model space in mm, seen from above, at the coordinates of the file.

    source : the path of the file, or what stands in it, as bytes
    unit : what one unit of its numbers is: "mm", "cm", "m", "inch", "ft", "pt", "px", or mm as a number. Needed where
        the file says none, and counts where it does
    width : mm, instead: how wide all that is drawn is
    gap : mm; ends no farther apart are joined, and every gap that was closed is said
    tolerance : mm, as in Setup

    >>> import tempfile, ezdxf, toolpaths as tp
    >>> document = ezdxf.new(units=ezdxf.units.MM)
    >>> _ = document.modelspace().add_circle((20, 10), radius=3, dxfattribs={"layer": "holes"})
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     document.saveas(f"{folder}/plate.dxf")
    ...     drawing = tp.read_dxf(f"{folder}/plate.dxf")
    >>> drawing.circles(layer="holes")
    (Circle(centre=(20.0, 10.0), diameter=6.0),)

    Raises InputError for a file that is no sound DXF, says no unit where none is given, or holds too much; ShapeError
    for a coordinate that is no number. The library for it is `pip install 'toolpaths[drawings]'`.
    """
    unit_mm, wide = unit_or_width(unit, width)
    most, within = distance("gap", gap), checks.tolerance("tolerance", tolerance)
    data = file_bytes(source, "")
    document = dxf_document(data)
    said = mm_per_unit(document, data)
    if unit_mm is None and wide is None and said is None:
        raise InputError(_NO_UNIT)
    walk = DxfWalk(document)
    try:
        walk.draw()
    except ToolpathsError:
        raise
    except Exception as error:  # what an entity is made of is looked at by the library as late as here
        raise damaged(error) from None
    notes = list[Note]()
    if wide is not None:
        to_mm = to_width(walk.things, wide)
        notes += unit_note(said, to_mm.a)
    else:
        scale = unit_mm if unit_mm is not None else said or 1.0
        to_mm = scaled(scale, scale)
        notes += unit_note(said, scale)
    things = walk.things if to_mm == scaled(1.0, 1.0) else [thing.mapped(to_mm) for thing in walk.things]
    return drawing_of(things, most, within, hidden_in_mm(walk.hidden, to_mm), [*notes, *notes_in_mm(walk.notes, to_mm)])
