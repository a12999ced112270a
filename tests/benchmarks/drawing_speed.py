"""Time to read drawings of many segments into curves and areas, over what a reading library alone takes; goal 5.

    python tests/benchmarks/drawing_speed.py [SEGMENTS]

SVG is held against svgelements where that is installed (pip install svgelements), DXF against ezdxf.
"""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Callable, Iterator
from typing import Any

import ezdxf
import numpy as np
from ezdxf.math import ConstructionArc

import toolpaths as tp

GOAL = 5.0


def seconds(call: Callable[[], Any]) -> float:
    start = time.process_time()
    call()
    return time.process_time() - start


def places(count: int) -> np.ndarray:
    """(count, 2) places along a closed wavy line."""
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    radius = 400 + 5 * np.sin(200 * turn)
    return np.column_stack([500 + radius * np.cos(turn), 500 + radius * np.sin(turn)])


def svg(count: int, kind: str) -> str:
    points = places(count).round(4).tolist()
    letter = {"lines": "L{0} {1}", "arcs": "A.5 .5 0 0 1 {0} {1}", "curves": "Q{2} {3} {0} {1}"}[kind]
    said = [letter.format(x, y, u + 0.01, v) for (u, v), (x, y) in zip(points, points[1:])]
    x, y = points[0]
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1000mm" viewBox="0 0 1000 1000">'
    return f'{head}<path d="M{x} {y}{"".join(said)}z"/></svg>'


def dxf(count: int, kind: str) -> str:
    document = ezdxf.new(units=4)
    space, points = document.modelspace(), places(count).tolist()
    if kind == "lines":
        for start, end in zip(points, [*points[1:], points[0]]):
            space.add_line(start, end)
    elif kind == "arcs":
        for start, end in zip(points, [*points[1:], points[0]]):
            ConstructionArc.from_2p_radius(start, end, 0.6).add_to_layout(space)
    else:
        bulge = 0.3 if kind == "bulges" else 0.0
        space.add_lwpolyline([(x, y, bulge) for x, y in points], format="xyb", close=True)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


def ratios(count: int) -> Iterator[tuple[str, float]]:
    """Each kind of drawing, and how many times as long as by the library alone it takes to areas."""
    for kind in ("polyline", "bulges", "lines", "arcs"):
        text = dxf(count, kind)
        alone = seconds(lambda text=text: ezdxf.read(io.StringIO(text)))
        yield f"DXF {kind}", seconds(lambda text=text: tp.read_dxf(text.encode()).areas()) / alone
    try:
        import svgelements
    except ImportError:
        return
    for kind in ("lines", "arcs", "curves"):
        text = svg(count, kind)
        alone = seconds(lambda text=text: list(svgelements.SVG.parse(io.StringIO(text)).elements()))
        yield f"SVG {kind}", seconds(lambda text=text: tp.read_svg(text).areas()) / alone


if __name__ == "__main__":
    for name, ratio in ratios(int(sys.argv[1]) if len(sys.argv) > 1 else 50_000):
        print(f"{name}: {ratio:.2f} times{'' if ratio <= GOAL else f', goal {GOAL:g}: MISSED'}")
