"""What closed outlines that may cross and overlap enclose, by one of the two rules that drawings and fonts have."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
import pyclipper
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.shapes.offset import tree_polygons

FillRule = Literal["nonzero", "evenodd"]
# mm: whole numbers of pyclipper are so large; outlines are rounded by half of it.
_GRAIN = 1e-6


def filled(rings: Sequence[Floats], rule: FillRule) -> BaseGeometry:
    """The area inside closed outlines of (n, 2) points each; empty where they enclose nothing.

    rule : "nonzero": where the turns of the outlines about a place do not cancel out; "evenodd": where they are
        odd in number (SVG 2, fill-rule)
    """
    engine = pyclipper.Pyclipper()
    for ring in rings:
        whole = np.rint(ring / _GRAIN).astype(np.int64)
        if not _on_one_line(whole):
            engine.AddPath(whole.tolist(), pyclipper.PT_SUBJECT, True)
    kind = pyclipper.PFT_NONZERO if rule == "nonzero" else pyclipper.PFT_EVENODD
    try:
        tree = engine.Execute2(pyclipper.CT_UNION, kind, kind)
    except pyclipper.ClipperException:  # nothing was added
        return shapely.Polygon()
    return shapely.union_all(tree_polygons(tree, _GRAIN))


def _on_one_line(points: NDArray[np.int64]) -> bool:
    """Whether points lie on one line, or in one place, so that they enclose nothing."""
    off = (points - points[:1]).astype(np.float64)
    far = off[np.hypot(*off.T).argmax()]
    return bool((np.abs(off[:, 0] * far[1] - off[:, 1] * far[0]) <= np.hypot(*far)).all())
