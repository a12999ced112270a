"""Depths as the user states them: so many mm, or right through the board."""

from __future__ import annotations

from dataclasses import dataclass

from toolpaths.base.checks import not_negative, positive
from toolpaths.base.errors import InputError


@dataclass(frozen=True, slots=True)
class Through:
    """A depth: through the board, and `beyond` mm into the spoilboard."""

    beyond: float


def through(beyond: float = 0.3) -> Through:
    """A depth right through the measured board and so many mm into the spoilboard.

    0.1 to 0.5 mm is common practice, no source.
    """
    return Through(not_negative("beyond", beyond))


Depth = float | Through


def checked_depth(depth: Depth) -> Depth:
    """A depth above zero, or right through."""
    if callable(depth):
        raise InputError("depth=through needs its parentheses: depth=through(0.3).")
    return depth if isinstance(depth, Through) else positive("depth", depth)
