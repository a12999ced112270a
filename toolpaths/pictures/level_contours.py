"""The lines of one grey in a picture, to a fraction of a pixel."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import ShapeError
from toolpaths.base.extras import extra_library

# Places between two pixels where the threshold is crossed; a picture of more is noise, and would take gigabytes.
_MOST_CROSSINGS = 4_000_000
# Of 255: no grey of a file is so near to another.
_NEXT_TO = 1e-3


def ring_area(ring: Floats) -> float:
    """The area that a ring of (n, 2) places encloses; negative where it goes round clockwise, y taken upwards."""
    x, y = ring.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y)) / 2


def level_contours(grey: Floats, threshold: float, dark: bool) -> list[Floats]:
    """(n, 2) pixel places (x to the right, y down; whole numbers are middles of pixels) of each closed contour, the
    last point not the first again, the one that encloses most before the others.

    dark : whether it is dark things that the contours go round; those that reach the edge of the picture close along it

    Raises ShapeError for a picture that is noise, and for one without a contour.
    """
    above = grey >= threshold
    crossings = int((above[1:] != above[:-1]).sum()) + int((above[:, 1:] != above[:, :-1]).sum())
    if crossings > _MOST_CROSSINGS:
        raise ShapeError(
            f"The threshold {threshold:g} is crossed at {crossings} places: that is noise. Blur the picture, or read "
            "the points of the outline from the picture under a grid of millimetres."
        )
    if (grey == threshold).any():
        # Contours through the middle of a pixel would touch there.
        threshold += _NEXT_TO
    contourpy = extra_library("contourpy", "pictures", "contourpy is not installed, with which contours are followed")
    found = contourpy.contour_generator(z=_with_ground_round_it(grey, threshold, dark), name="serial").lines(threshold)
    rings = [ring[:-1] - 1.0 for ring in found]
    if not rings:
        raise ShapeError(f"Nothing in the picture is parted by the threshold {threshold:g}.")
    return sorted(rings, key=lambda ring: -abs(ring_area(ring)))


def _with_ground_round_it(grey: Floats, threshold: float, dark: bool) -> Floats:
    """A picture with a pixel more all round, each as far on the ground's side of the threshold as its neighbour is off
    it, so that the threshold is crossed at the very edge of the picture; never at it, where contours would end."""
    padded = np.pad(grey, 1, mode="edge")
    for edge in (padded[0], padded[-1], padded[:, 0], padded[:, -1]):
        np.copyto(edge, threshold + np.maximum(np.abs(edge - threshold), 1.0) * (1 if dark else -1))
    return padded
