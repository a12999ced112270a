"""The benchmark of drawings draws what it says: outlines that read into one area each."""

from __future__ import annotations

import pytest
from drawing_speed import dxf, svg

import toolpaths as tp


@pytest.mark.parametrize("kind", ["lines", "arcs", "curves"])
def test_svg(kind):
    assert [curve.closed for curve in tp.read_svg(svg(200, kind)).curves] == [True]


@pytest.mark.parametrize("kind", ["lines", "polyline", "bulges"])
def test_dxf(kind):
    assert [curve.closed for curve in tp.read_dxf(dxf(200, kind).encode()).curves] == [True]
