"""The grey that parts what is dark in a picture from what is bright, and how clearly it does."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import ShapeError

# Where the means of dark and bright lie nearer to each other than so many times the spread within them, no threshold
# parts a picture: an even spread of greys has 3.5, one heap of them 2.7, grain like waves 4.1, a drawn edge with noise
# of a tenth 10.
_LEAST_APART = 4.5
# Of 255: dark and bright nearer to each other are one.
_LEAST_CONTRAST = 4.0
_GREYS = 1024


class Parting(NamedTuple):
    """Where a threshold parts the greys of a picture.

    dark, bright : the grey of either side that half of it is darker than
    apart : by how many times the spread within them the means of the two lie apart
    """

    threshold: float
    dark: float
    bright: float
    apart: float

    @property
    def clear(self) -> bool:
        """Whether dark and bright are two heaps of greys, and not one that is cut in two."""
        return self.apart >= _LEAST_APART and self.bright - self.dark >= _LEAST_CONTRAST

    @property
    def why_not(self) -> str:
        """What is said where it is not clear."""
        return (
            f"No threshold parts dark from bright in this picture: {self.dark:.0f} and {self.bright:.0f} "
            f"lie {self.apart:.1f} times the spread about them apart, not {_LEAST_APART:g}. Give a threshold, or read "
            "the points of the outline from the picture under a grid of millimetres."
        )


def best_parting(grey: Floats) -> Parting:
    """The threshold with the greatest variance between dark and bright (Otsu 1979, IEEE Trans. SMC 9(1), 62-66).

    It is half way between the greys of the two, of which the few at blurred edges are not: at a blurred edge that is
    where the edge was.
    """
    low, high = float(grey.min()), float(grey.max())
    if high - low < _LEAST_CONTRAST:
        return Parting((low + high) / 2, low, high, 0.0)
    counts, edges = np.histogram(grey, bins=_GREYS, range=(low, high))
    middles = (edges[:-1] + edges[1:]) / 2
    below, sums = np.cumsum(counts)[:-1], np.cumsum(counts * middles)[:-1]
    above, total = grey.size - below, float((counts * middles).sum())
    between = (sums / below - (total - sums) / above) ** 2 * below * above
    # Greys that nothing has make a flat top: its middle.
    best = np.flatnonzero(between >= between.max() * (1 - 1e-12))
    found = parting(grey, float(edges[1:-1][best].mean()))
    return found._replace(threshold=(found.dark + found.bright) / 2)


def parting(grey: Floats, threshold: float) -> Parting:
    """What a threshold makes of a picture; ShapeError where all of it lies to one side."""
    dark = grey < threshold
    number = int(dark.sum())
    if number in (0, grey.size):
        raise ShapeError(
            f"The threshold {threshold:g} parts nothing: the greys go from {grey.min():.0f} to {grey.max():.0f}."
        )
    one, other = grey[dark], grey[~dark]
    spread = float(np.sqrt((one.var() * one.size + other.var() * other.size) / grey.size))
    apart = float(other.mean() - one.mean()) / max(spread, 1e-9)
    return Parting(threshold, float(np.median(one)), float(np.median(other)), apart)
