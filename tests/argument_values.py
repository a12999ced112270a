"""Values that stand in for an argument: numbers at every end, arrays, texts, containers, geometry, things of all kinds.

Each is made anew for each call, since some can be used up.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely import (
    GeometryCollection,
    LinearRing,
    LineString,
    MultiLineString,
    MultiPoint,
    MultiPolygon,
    Point,
    Polygon,
)

import toolpaths as tp

BOARD = tp.Board(width=120, height=80, thickness=18)
CUTTER = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
SQUARE = [(10.0, 10.0), (60.0, 10.0), (60.0, 50.0), (10.0, 50.0)]
BOW_TIE = [(10.0, 10.0), (60.0, 50.0), (60.0, 10.0), (10.0, 50.0)]


class Hostile:
    """Every question that is asked of it fails."""

    def _fail(self, *_: object) -> Any:
        raise RuntimeError("not to be asked")

    __len__ = __iter__ = __float__ = __int__ = __index__ = __bool__ = __eq__ = __hash__ = __repr__ = __str__ = _fail
    __getitem__ = __array__ = __fspath__ = __lt__ = __gt__ = __add__ = __format__ = __contains__ = _fail


class Endless:
    """A sequence without an end."""

    def __iter__(self) -> Iterator[float]:
        while True:
            yield 1.0

    def __len__(self) -> int:
        return 10**9


class Word(str):
    """A text of another class."""


def _itself() -> list[Any]:
    """A list that holds itself."""
    found: list[Any] = []
    found.append(found)
    return found


def _deep() -> list[Any]:
    found: list[Any] = []
    for _ in range(5000):
        found = [found]
    return found


def _points() -> Iterator[tuple[float, float]]:
    yield from SQUARE


NUMBERS: dict[str, Callable[[], Any]] = {
    "True": lambda: True, "nan": lambda: math.nan, "inf": lambda: math.inf, "-inf": lambda: -math.inf,
    "-0.0": lambda: -0.0, "0": lambda: 0, "-1": lambda: -1, "2": lambda: 2, "1e-300": lambda: 1e-300,
    "1e-6": lambda: 1e-6, "0.3": lambda: 0.3, "1e3": lambda: 1e3, "1e6": lambda: 1e6, "1e9": lambda: 1e9,
    "-1e9": lambda: -1e9, "1e300": lambda: 1e300, "10**400": lambda: 10**400, "10**5000": lambda: 10**5000,
    "Fraction": lambda: Fraction(7, 2), "long Fraction": lambda: Fraction(10**400, 3),
    "Decimal": lambda: Decimal("3.5"), "Decimal NaN": lambda: Decimal("NaN"), "complex": lambda: 3 + 2j,
    "float32": lambda: np.float32(3.1), "float64": lambda: np.float64(3.1), "int8": lambda: np.int8(3),
    "uint64": lambda: np.uint64(2**64 - 1), "bool_": lambda: np.bool_(True), "numpy nan": lambda: np.float64("nan"),
}  # fmt: skip
ARRAYS: dict[str, Callable[[], Any]] = {
    "array 0-d": lambda: np.array(3.0), "array of 1": lambda: np.array([3.0]),
    "array of 2": lambda: np.array([3.0, 4.0]),
    "array of 3": lambda: np.array([3.0, 4.0, 5.0]), "array of points": lambda: np.array(SQUARE),
    "array 3-d": lambda: np.zeros((2, 2, 2)), "array of objects": lambda: np.array([None, CUTTER], dtype=object),
    "array of texts": lambda: np.array(["top", "mm"]), "array of nan": lambda: np.array([[math.nan, 1.0], [1.0, 2.0]]),
    "empty array": lambda: np.array([]), "array of bools": lambda: np.array([True, False]),
    "array of complex": lambda: np.array([1j, 2.0]),
    "array of times": lambda: np.array(["2020-01-01"], "datetime64[D]"),
}  # fmt: skip
TEXTS: dict[str, Callable[[], Any]] = {
    "empty text": lambda: "", "a text": lambda: "text", "bytes": lambda: b"text", "long text": lambda: "x" * 5000,
    "NUL": lambda: "a\0b", "two lines": lambda: "a\nb", "parentheses": lambda: "(MSG, a) G0 Z-5 (b)",
    "not ASCII": lambda: "Eiche \u00e4 \u6728 \U0001f600", "half a character": lambda: "\ud800", "blank": lambda: " ",
    "text of another class": lambda: Word("text"), "braces": lambda: "{0.__class__} %s %(a)s",
}  # fmt: skip
CONTAINERS: dict[str, Callable[[], Any]] = {
    "empty list": list, "list of a number": lambda: [1], "list of None": lambda: [None], "pair": lambda: (30.0, 40.0),
    "pair of texts": lambda: ("a", "b"), "pair of None": lambda: (None, None), "pair of inf": lambda: (math.inf, 1.0),
    "pair with 1e300": lambda: (1e300, 1.0), "triple": lambda: (3.0, 4.0, 5.0), "points": lambda: list(SQUARE),
    "uneven points": lambda: [(1, 2), (3, 4, 5)], "empty tuple": tuple, "empty dict": dict, "dict": lambda: {1: 2},
    "dict of texts": lambda: {"front": "M2"}, "set of points": lambda: {(30.0, 40.0)}, "generator": _points,
    "empty generator": lambda: iter(()), "range": lambda: range(3), "list of lists": lambda: [[[1, 2]]],
    "list in itself": _itself, "deep list": _deep, "endless": Endless, "list of texts": lambda: ["M2"],
    "list of cutters": lambda: [CUTTER, CUTTER], "list of hostile": lambda: [Hostile()],
    "map": lambda: map(float, [30, 40]), "200 points": lambda: [(n % 97 + 10, n % 53 + 10) for n in range(200)],
}  # fmt: skip
SHAPES: dict[str, Callable[[], Any]] = {
    "Point": lambda: Point(30, 40), "empty Point": Point, "Point at nan": lambda: Point(math.nan, 1),
    "Point with Z": lambda: Point(30, 40, -3), "LineString": lambda: LineString(SQUARE), "empty LineString": LineString,
    "LineString with Z": lambda: LineString([(10, 10, 0), (60, 50, -3)]), "LinearRing": lambda: LinearRing(SQUARE),
    "line of no length": lambda: LineString([(30, 40), (30, 40)]), "Polygon": lambda: Polygon(SQUARE),
    "empty Polygon": Polygon, "Polygon that crosses itself": lambda: Polygon(BOW_TIE),
    "Polygon with Z": lambda: Polygon([(x, y, -3) for x, y in SQUARE]),
    "Polygon to inf": lambda: Polygon([(0, 0), (math.inf, 0), (0, 1)]),
    "Polygon of no area": lambda: Polygon([(10, 10), (60, 10), (30, 10)]),
    "Polygon to 1e300": lambda: Polygon([(0, 0), (1e300, 0), (0, 1e300)]),
    "Polygon to 1e6": lambda: shapely.box(-1e6, -1e6, 1e6, 1e6),
    "tiny Polygon": lambda: shapely.box(30, 40, 30.001, 40.001),
    "large circle": lambda: tp.circle(10_000, (60, 40)), "hair": lambda: shapely.box(10, 40, 110, 40.01),
    "Polygon with a hole": lambda: Polygon(SQUARE, [[(20, 20), (40, 20), (40, 40), (20, 40)]]),
    "MultiPoint": lambda: MultiPoint(SQUARE), "MultiLineString": lambda: MultiLineString([SQUARE[:2], SQUARE[2:]]),
    "MultiPolygon": lambda: MultiPolygon([shapely.box(10, 10, 30, 30), shapely.box(50, 10, 80, 40)]),
    "empty MultiPolygon": MultiPolygon, "empty collection": GeometryCollection,
    "MultiPolygon that overlaps": lambda: MultiPolygon([shapely.box(10, 10, 40, 40), shapely.box(30, 10, 60, 40)]),
    "collection": lambda: GeometryCollection([Point(30, 40), LineString(SQUARE), Polygon(SQUARE)]),
    "list of shapes": lambda: [Polygon(SQUARE), Point(30, 40)],
}  # fmt: skip
THINGS: dict[str, Callable[[], Any]] = {
    "None": lambda: None, "a class": lambda: int, "a function": lambda: len, "a lambda": lambda: lambda *_: 1.0,
    "a module": lambda: math, "an object": object, "Hostile": Hostile, "Ellipsis": lambda: ...,
    "a slice": lambda: slice(3),
    "an error": lambda: ValueError("wrong"), "Cutter": lambda: CUTTER, "Profile": lambda: tp.flat(6),
    "Board": lambda: BOARD, "Fixture": lambda: tp.Fixture(board=BOARD), "Path": lambda: Path("somewhere"),
    "through()": tp.through, "through": lambda: tp.through, "Tabs": lambda: tp.Tabs(width=8, height=4, count=2),
    "Outline": lambda: tp.Outline((10, 10)).line_to((60, 10)), "Machine": tp.Machine,
    "Screw": lambda: tp.Screw(x=1, y=2, head_diameter=3, height=4), "stop": lambda: tp.stop("Wait"),
    "Recess": lambda: tp.Recess(area=Polygon(SQUARE), depth=5), "Part": lambda: tp.Part(board=BOARD),
}  # fmt: skip
VALUES = NUMBERS | ARRAYS | TEXTS | CONTAINERS | SHAPES | THINGS
