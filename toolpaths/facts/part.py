"""The part meant: which wood is to be gone and which is to stay, as facts of their own.

A Part says nothing of cutters' ways. It is what a program is judged against, drawn from the front like
everything else, or taken from the setups with `intended_part`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import between, label, one_of, positive, whole
from toolpaths.base.errors import InputError
from toolpaths.facts.board import Board
from toolpaths.facts.depth import Depth, Through, checked_depth
from toolpaths.facts.profile import Profile

# mm; twice the largest board. What is said of a part beyond that is a slip of units, and takes all memory.
_FARTHEST = 10_000.0
WASTE = ("outside", "inside")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recess:
    """An area cut down to a level floor, its walls upright.

    depth : mm from the face of its side, or through()
    corners : mm, radius that its inner corners may keep; that of the finest cutter that the program
        moves sideways there unless given
    foot : mm from its walls in which the floor may rise, as a rounded cutter leaves it; likewise
    overrun : mm beyond its walls over which the cut may run out, as in levelling a face
    """

    area: Polygon | MultiPolygon
    depth: Depth
    corners: float | None = None
    foot: float | None = None
    overrun: float = 0.0
    name: str = "recess"

    def __post_init__(self) -> None:
        _check_area(self.name, self.area)
        _check_depth(self.depth)
        label("name", self.name)
        between("overrun", self.overrun, 0.0, _FARTHEST)
        for name in ("corners", "foot"):
            if getattr(self, name) is not None:
                between(name, getattr(self, name), 0.0, _FARTHEST)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutAlong:
    """What a cutter of this profile leaves when its axis follows lines, or stands at points.

    line : shapely lines or points, seen from the front
    depth : mm of the tip below the face of its side, or through()
    waste : area beside the cut that may be cut as deep: the cutter may come and go there, and cut wider
    """

    line: BaseGeometry
    profile: Profile
    depth: Depth
    name: str = "cut along"
    waste: BaseGeometry = field(default_factory=Polygon)

    def __post_init__(self) -> None:
        if not isinstance(self.line, BaseGeometry) or self.line.is_empty or self.line.area > 0:
            raise InputError(f"{self.name}: line must be shapely lines or points, such as area.boundary.")
        _check_near(self.name, self.line)
        if not isinstance(self.profile, Profile):
            raise InputError(f"{self.name}: profile={self.profile!r} must be flat(6), ball(12) or the like.")
        _check_depth(self.depth)
        if not isinstance(self.waste, BaseGeometry):
            raise InputError(f"{self.name}: waste must be a shapely area.")
        label("name", self.name)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Parting:
    """A cut right through along the boundary of an area; on its waste side the wood is not judged.

    waste : "outside" for the outline of the part, "inside" for an opening in it
    tabs : how many tabs are to hold across the cut; any number unless given, but not over two fifths of it
    tab_length : mm along the wall, the most that one tab may take, slopes and all
    skin : mm of wood that may stay all along the cut
    corners : as for Recess
    """

    area: Polygon | MultiPolygon
    waste: str
    tabs: int | None = None
    tab_length: float = 30.0
    skin: float = 0.0
    corners: float | None = None
    name: str = "parting"

    def __post_init__(self) -> None:
        _check_area(self.name, self.area)
        one_of("waste", self.waste, WASTE)
        label("name", self.name)
        between("skin", self.skin, 0.0, _FARTHEST)
        positive("tab_length", self.tab_length)
        if self.tabs is not None:
            whole("tabs", self.tabs, 0)
        if self.corners is not None:
            between("corners", self.corners, 0.0, _FARTHEST)


Feature = Recess | CutAlong | Parting


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """What is to come out of the board: features cut from the front and from the back.

    All shapes are seen from the front; depths count from the face of the side on which they are cut.
    within : mm that a wall or floor may be off, in height and sideways, to either side
    """

    board: Board
    front: Sequence[Feature] = ()
    back: Sequence[Feature] = ()
    within: float = 0.03

    def __post_init__(self) -> None:
        if not isinstance(self.board, Board):
            raise InputError(f"board={self.board!r} must be a Board.")
        positive("within", between("within", self.within, 0.0, self.board.thickness))
        for side in ("front", "back"):
            features = getattr(self, side)
            if not isinstance(features, (tuple, list)) or not all(
                isinstance(f, (Recess, CutAlong, Parting)) for f in features
            ):
                raise InputError(f"{side} must list Recess(...), CutAlong(...) and Parting(...).")
            object.__setattr__(self, side, tuple(features))

    def cut_from(self, side: str) -> tuple[Feature, ...]:
        """The features of one side, "front" or "back"."""
        return tuple(self.back if side == "back" else self.front)


def _check_area(name: str, area: object) -> None:
    if not isinstance(area, (Polygon, MultiPolygon)) or area.is_empty or not area.is_valid:
        raise InputError(f"{name}: area must be a valid shapely polygon, for instance rectangle(...).")
    _check_near(name, area)


def _check_depth(depth: Depth) -> None:
    checked_depth(depth)
    between("depth", depth.beyond if isinstance(depth, Through) else depth, 0.0, _FARTHEST)


def _check_near(name: str, shape: BaseGeometry) -> None:
    farthest = max(abs(edge) for edge in shape.bounds)
    if not farthest <= _FARTHEST:
        raise InputError(f"{name} reaches to {farthest:g} mm, beyond every board; are its lengths in mm?")
