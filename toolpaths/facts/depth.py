"""Depths as the user states them, and the Z that each is: the one place where a depth becomes a height.

Every depth counts from the face of the board as it was measured before any work, whatever was taken off it since.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from toolpaths.base.checks import coordinate, distance, length, let_in
from toolpaths.base.errors import DoesNotFitError, InputError

# mm; less wood below a cut than this is none.
_NO_WOOD = 0.01


@dataclass(frozen=True, slots=True)
class Through:
    """A depth: through the board, and `beyond` mm into the spoilboard; below 0 so much short of the underside."""

    beyond: float

    def __post_init__(self) -> None:
        let_in(self, beyond=coordinate)

    def __str__(self) -> str:
        return "through" + (f" and {self.beyond:g}" if self.beyond else "")


Depth = float | Through


def through(beyond: float = 0.3) -> Through:
    """A depth right through the board as it lies and so many mm into the spoilboard.

    0.1 to 0.5 mm is common practice, no source.

    >>> through(0.3)
    Through(beyond=0.3)

    Raises InputError for a number below 0.
    """
    return Through(distance("beyond", beyond))


def z_of(depth: Depth, underside: float) -> float:
    """Z of a depth, from the board's face.

    underside : z of the board's lower face, as it lies
    """
    return underside - depth.beyond if isinstance(depth, Through) else 0.0 - depth


def deeper(depth: Depth, by: float) -> Depth:
    """A depth so many mm deeper than another; less deep below 0."""
    return Through(depth.beyond + by) if isinstance(depth, Through) else depth + by


def checked_depth(name: str, depth: Any) -> Depth:
    """mm above zero, or through()."""
    if depth is through:
        raise InputError(f"{name}=through needs its parentheses: {name}=through(0.3).")
    return depth if isinstance(depth, Through) else length(name, depth)


def check_short_of_underside(depth: Depth, underside: float, spoilboard_depth: float) -> None:
    """Raises DoesNotFitError for a depth in mm that leaves no wood below it, and goes no deeper into the spoilboard
    than may be, which is refused elsewhere: that a cut goes right through is said in words."""
    thick = -underside
    if not isinstance(depth, Through) and thick - _NO_WOOD < depth <= thick + spoilboard_depth:
        beyond = round(max(depth - thick, 0.0), 3)
        raise DoesNotFitError(
            f"depth={depth:g} is all of the {thick:g} mm of the board: for a cut right through say "
            f"depth=through({beyond or 0.3:g}), for any other leave some wood below it."
        )


def check_from_depth(from_depth: float, depth: Depth) -> None:
    """Raises InputError where a cut begins, mm below the face, no higher than it ends."""
    if not isinstance(depth, Through) and from_depth >= depth:
        raise InputError(
            f"from_depth={from_depth:g} is not above depth={depth:g}. Both count from the face of the board as it was "
            f"before any work: a cut {depth:g} deep below a surface levelled by {from_depth:g} has "
            f"depth={from_depth + depth:g}."
        )
