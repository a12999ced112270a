"""What closed outlines that may cross and overlap enclose, by one of the two rules that drawings and fonts have."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from typing import Literal

import numpy as np
import pyclipper
import shapely
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
        whole = np.rint(ring / _GRAIN).astype(np.int64).tolist()
        # Of one that lies on a line, or goes back the way it came, no corner is left, which the engine calls invalid.
        with suppress(pyclipper.ClipperException):
            engine.AddPath(whole, pyclipper.PT_SUBJECT, True)
    kind = pyclipper.PFT_NONZERO if rule == "nonzero" else pyclipper.PFT_EVENODD
    try:
        tree = engine.Execute2(pyclipper.CT_UNION, kind, kind)
    except pyclipper.ClipperException:  # nothing was added
        return shapely.Polygon()
    return shapely.union_all(tree_polygons(tree, _GRAIN))
