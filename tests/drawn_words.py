"""Where the words of a drawing stand on paper, by their own numbers: that none is off it, too small or over another."""

from __future__ import annotations

import re
from html import unescape

import shapely
from shapely import Polygon, affinity, box

# Of letters of a sans serif, of their size: how wide they are on the whole, how high and how far they go below.
WIDE, HIGH = 0.52, 0.72


def boxes(drawing: str) -> list[tuple[str, float, Polygon]]:
    """Each word, its size in mm on paper, and the box that it fills, y down."""
    found = []
    for attributes, text in re.findall(r"<text([^>]*)>([^<]*)</text>", drawing):
        said = dict(re.findall(r'([\w-]+)="([^"]*)"', attributes))
        x, y, size, text = float(said["x"]), float(said["y"]), float(said["font-size"]), unescape(text)
        long = WIDE * size * len(text)
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[said["text-anchor"]] * long
        area = box(left, y - HIGH * size, left + long, y)
        found.append((text, size, affinity.rotate(area, -90, (x, y)) if "transform" in said else area))
    return found


def faults(drawing: str) -> list[str]:
    """What is wrong with one SVG: words, and ends of lines off the page."""
    wide, tall = map(float, re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', drawing)[0])
    paper, words = box(0, 0, wide, tall), boxes(drawing)
    ends = re.findall(r"(?:[ML]|A\S+ \S+ 0 0 \d )(-?[\d.]+) (-?[\d.]+)", drawing)
    found = [f"a line ends at {x} {y}" for x, y in ends if not (0 <= float(x) <= wide and 0 <= float(y) <= tall)]
    found += [f"{text!r} is off the page" for text, _, area in words if not paper.buffer(0.1).covers(area)]
    found += [f"{text!r} is {size} mm high" for text, size, _ in words if size < 2]
    areas = [area for _, _, area in words]
    tree = shapely.STRtree(areas)
    for a, b in tree.query(areas, predicate="intersects").T.tolist():
        if a < b and areas[a].intersection(areas[b]).area > 0.05:
            found.append(f"{words[a][0]!r} runs into {words[b][0]!r}")
    return found
