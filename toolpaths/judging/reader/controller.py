"""What a machine's controller has stored before a program runs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from toolpaths.base.checks import coordinate, finite, numbers, one_of, whole
from toolpaths.base.errors import InputError
from toolpaths.facts.language import PLANE_AXES, WORK_SYSTEMS
from toolpaths.judging.reader.arc_geometry import Point3

ORIGIN: Point3 = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """Units and plane at the start, and the stored places. All lengths in mm, whatever the units.

    units : "mm" or "inch", for a program that does not say G20 or G21
    plane : 17, 18 or 19, for a program that does not say
    work_origins : zero of each work system in machine coordinates, {"G54": (x, y, z)}; those not
        listed lie at machine zero
    tool_lengths : length offset by its H number; those not listed are 0, as in an empty tool table
    home1, home2 : where G28 and G30 end, machine coordinates

    >>> Controller(work_origins={"G54": (0, 0, -50)}).origin("G54")
    (0.0, 0.0, -50.0)
    """

    units: str = "mm"
    plane: int = 17
    work_origins: Mapping[str, Point3] = field(default_factory=dict)
    tool_lengths: Mapping[int, float] = field(default_factory=dict)
    home1: Point3 = ORIGIN
    home2: Point3 = ORIGIN

    def __post_init__(self) -> None:
        one_of("units", self.units, ("mm", "inch"))
        if self.plane not in PLANE_AXES:
            raise InputError(f"plane={self.plane!r} is not one of 17, 18, 19.")
        origins = {
            one_of("work_origins", name, WORK_SYSTEMS): point3(name, at) for name, at in self.work_origins.items()
        }
        lengths = {whole("H", number, 0): finite(f"length H{number}", mm) for number, mm in self.tool_lengths.items()}
        object.__setattr__(self, "work_origins", origins)
        object.__setattr__(self, "tool_lengths", lengths)
        object.__setattr__(self, "home1", point3("home1", self.home1))
        object.__setattr__(self, "home2", point3("home2", self.home2))

    def origin(self, work_system: str) -> Point3:
        return self.work_origins.get(work_system, ORIGIN)


def point3(name: str, values: Point3) -> Point3:
    """Three finite numbers, mm."""
    x, y, z = (coordinate(f"{name} {axis}", value) for axis, value in zip("xyz", numbers(name, values, "x y z")))
    return x, y, z
