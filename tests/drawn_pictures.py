"""Pictures of shapes with known geometry: pixels hold how much of them the shape covers, blurred and with noise."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

DARK, BRIGHT = 40.0, 200.0
# Lines in a row of pixels along which its cover is measured.
FINE = 8


def drawn(
    shape: BaseGeometry, size: tuple[int, int], blur: float = 0.0, noise: float = 0.0, seed: int = 0
) -> NDArray[np.float64]:
    """Greys of 8 bits of a dark shape, in pixels (x to the right, y down), on a bright ground.

    blur : standard deviation in pixels
    noise : the same in greys
    """
    share = _cover(shape, size)
    if blur:
        share = _blurred(_blurred(share, blur).T, blur).T
    greys = BRIGHT + (DARK - BRIGHT) * share
    if noise:
        greys = greys + np.random.default_rng(seed).normal(0.0, noise, greys.shape)
    return np.clip(np.round(greys), 0, 255)


def _cover(shape: BaseGeometry, size: tuple[int, int]) -> NDArray[np.float64]:
    """The share of each pixel that a shape covers: along each of some lines exactly."""
    width, height = size
    starts, ends = [], []
    for ring in shapely.get_rings(shapely.get_parts(shape)):
        points = shapely.get_coordinates(ring)
        starts.append(points[:-1])
        ends.append(points[1:])
    (x0, y0), (x1, y1) = np.vstack(starts).T, np.vstack(ends).T
    edges = np.arange(width + 1)[:, None] - 0.5
    cover = np.zeros((height, width))
    for k, y in enumerate((np.arange(height * FINE) + 0.5) / FINE - 0.5):
        crossed = (y0 <= y) != (y1 <= y)
        x = np.sort(x0[crossed] + (y - y0[crossed]) / (y1 - y0)[crossed] * (x1 - x0)[crossed])
        if len(x):
            inside = (np.clip(edges, x[::2], x[1::2]) - x[::2]).sum(axis=1)
            cover[k // FINE] += np.diff(inside) / FINE
    return cover


def _blurred(rows: NDArray[np.float64], blur: float) -> NDArray[np.float64]:
    reach = int(np.ceil(4 * blur))
    steps = np.arange(-reach, reach + 1)
    weights = np.exp(-(steps**2) / (2 * blur**2))
    padded = np.pad(rows, ((0, 0), (reach, reach)), mode="edge")
    columns = rows.shape[1]
    return sum(w * padded[:, k : k + columns] for w, k in zip(weights / weights.sum(), range(2 * reach + 1)))
