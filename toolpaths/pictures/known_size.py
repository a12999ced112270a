"""What is known of the size of a thing in a picture: exactly one of a width, two marks, four corners."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from toolpaths.base.checks import Floats, length, points, sequence
from toolpaths.base.errors import InputError, Point
from toolpaths.pictures.pixel_scale import PixelScale, scale_of_corners, scale_of_marks, scale_of_width


@dataclass(frozen=True)
class KnownSize:
    """What gives the scale: the `lengths` in mm, one or two, between the `marks` in the picture; without marks the
    length is the width of the outline."""

    lengths: tuple[float, ...]
    marks: Floats | None

    @classmethod
    def of(
        cls,
        width: float | None,
        marks: Iterable[Point] | None,
        distance: float | None,
        corners: Iterable[Point] | None,
        rectangle: Point | None,
    ) -> KnownSize:
        """The one that is given; InputError for none, more than one, or half of one."""
        if (marks is None) != (distance is None):
            raise InputError("marks and distance go together: two pixel places, and the mm between them.")
        if (corners is None) != (rectangle is None):
            raise InputError("corners and rectangle go together: four pixel places, and (width, height) in mm.")
        if sum(each is not None for each in (width, marks, corners)) != 1:
            raise InputError("Give exactly one of width, marks with distance, corners with rectangle: the scale.")
        if width is not None:
            return cls((length("width", width),), None)
        if marks is not None and distance is not None:
            return cls((length("distance", distance),), pixels("marks", marks, 2))
        sides = sequence("rectangle", rectangle, "(width, height) in mm")
        if len(sides) != 2:
            raise InputError("rectangle must be its (width, height) in mm.")
        lengths = (length("rectangle, width", sides[0]), length("rectangle, height", sides[1]))
        return cls(lengths, pixels("corners", corners, 4))

    @property
    def of_outline(self) -> bool:
        """Whether it is the outline whose size is known."""
        return self.marks is None

    def check_in_picture(self, size: tuple[int, int]) -> None:
        """InputError for marks that are not in a picture of so many pixels."""
        if self.marks is not None:
            check_in_picture("marks" if len(self.marks) == 2 else "corners", self.marks, size)

    def scale(self, outline: Floats | None, level: Floats | None) -> PixelScale:
        """Where pixels lie in mm.

        outline : (n, 2) pixel places of that whose width is known
        level : two pixel places of a line that lies level or upright
        """
        if self.marks is None:
            assert outline is not None
            return scale_of_width(outline, level, self.lengths[0])
        if len(self.marks) == 2:
            return scale_of_marks(self.marks, self.lengths[0], self.marks if level is None else level)
        return scale_of_corners(self.marks, *self.lengths).levelled(level)


def pixels(name: str, given: Iterable[Point] | None, number: int) -> Floats:
    """So many pixel places (x, y)."""
    marks = points(name, given if given is not None else (), number)
    if len(marks) != number:
        raise InputError(f"{name} must be {number} pixel places (x, y), not {len(marks)}.")
    return marks


def check_in_picture(name: str, marks: Floats, size: tuple[int, int]) -> None:
    """InputError for pixel places that are not in a picture of that (width, height): they are of another one."""
    for x, y in marks.tolist():
        if not (-0.5 <= x <= size[0] - 0.5 and -0.5 <= y <= size[1] - 0.5):
            raise InputError(f"{name}: ({x:g}, {y:g}) is not in the picture of {size[0]} x {size[1]} pixels.")
