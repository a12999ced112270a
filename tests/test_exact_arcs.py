"""Every arc of a drawing leaves as one of its own radius: alone, between lines, into others, in closed outlines."""

from __future__ import annotations

import re
from math import atan2, cos, degrees, dist, hypot, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

import toolpaths as tp
from samples import examples
from toolpaths.drawings.curve_segments import Arc, DrawnSubpath, Line, circle_arc
from toolpaths.shapes.drawn_curve import fitted
from toolpaths.shapes.exact_arcs import exact_arcs

RADII = (0.5, 1, 2, 3, 5, 10, 25, 60, 150, 400, 1000, 2000)
SWEEPS = (5, 8, 12, 20, 30, 45, 60, 90, 120, 179, 181, 240, 300, 350, 359)
TOLERANCE = 0.01


def line_from(place, heading, length):
    return Line(place, (place[0] + length * cos(heading), place[1] + length * sin(heading)))


def arc_from(place, heading, radius, sweep):
    """An arc tangent to a heading; sweep in radians."""
    side = 1 if sweep > 0 else -1
    centre = (place[0] - side * radius * sin(heading), place[1] + side * radius * cos(heading))
    return circle_arc(centre, radius, atan2(place[1] - centre[1], place[0] - centre[0]), sweep)


def end_of(segment):
    x, y = segment.chords(1e-3)[-1].tolist()
    return x, y


def chain(heading, *pieces):
    """Segments tangent to each other: a length of a line, or (radius, sweep in degrees)."""
    place, found = (3.0, 4.0), []
    for piece in pieces:
        if isinstance(piece, tuple):
            found.append(arc_from(place, heading, piece[0], radians(piece[1])))
            heading += radians(piece[1])
        else:
            found.append(line_from(place, heading, piece))
        place = end_of(found[-1])
    return found


def assert_arcs_stay(segments):
    """Arcs of each arc's own radius, within 0.002 mm, sweep as much as it does; nothing else is an arc."""
    points = DrawnSubpath(tuple(segments), False).chords(TOLERANCE / 8)
    found = [s for s in fitted(points, False, TOLERANCE).segments if s.sweep]
    assert all(abs(s.sweep) <= pi * (1 + 1e-6) for s in found)
    for arc in (s for s in segments if isinstance(s, Arc)):
        own = [s for s in found if dist(s.centre, arc.centre) < 0.002 and abs(s.radius - arc.radius) < 0.002]
        assert sum(s.sweep for s in own) == pytest.approx(arc.sweep, rel=1e-6), (arc, [s.radius for s in found])
        found = [s for s in found if s not in own]
    assert found == []


@pytest.mark.parametrize("radius", RADII)
def test_an_arc_alone(radius):
    for sweep in SWEEPS:
        assert_arcs_stay(chain(0.3, (radius, sweep)))
        assert_arcs_stay(chain(0.3, (radius, -sweep)))


@pytest.mark.parametrize("radius", RADII)
def test_an_arc_between_lines(radius):
    for sweep in SWEEPS:
        for length in (1, 10, 50):
            assert_arcs_stay(chain(0.4, length, (radius, sweep), length))


@given(
    st.lists(
        st.tuples(st.sampled_from(RADII), st.sampled_from(SWEEPS[:9]), st.sampled_from([-1, 1])), min_size=2, max_size=4
    ),
    st.floats(0, 6),
)  # fmt: skip
@examples(100)
def test_arcs_into_each_other(pieces, heading):
    """Of one radius and the same sense two arcs are one, so these are left out."""
    kept = [piece for piece, before in zip(pieces, [(0, 0, 0), *pieces]) if piece[::2] != before[::2]]
    assert_arcs_stay(chain(heading, *((radius, side * sweep) for radius, sweep, side in kept)))


def radii_in(text):
    """Radii of the arcs of a program, as its I and J say them, and by how much each turns (radians)."""
    program = tp.read(text)
    arcs = program.motions.sweep != 0
    lines = text.splitlines()
    said = [dict(re.findall(r"([IJ])([-.0-9]+)", lines[n - 1])) for n in program.motions.line[arcs]]
    return np.array([hypot(float(w.get("I", 0)), float(w.get("J", 0))) for w in said]), np.abs(
        program.motions.sweep[arcs]
    )


@pytest.mark.parametrize("way", [1, -1])
def test_a_closed_outline_of_arcs_alone(way):
    """Four arcs of two radii, tangent, begun in the middle of one: as drawn, and as the program says it."""
    segments = chain(0.0, (30, 45), (12, 90), (30, 90), (12, 90), (30, 45))
    points = DrawnSubpath(tuple(segments), False).chords(TOLERANCE / 8)[:-1][::way] + np.array((60, 20))
    found = fitted(points, True, TOLERANCE).segments
    assert sorted(round(s.radius, 4) for s in found) == [12, 12, 30, 30]
    board = tp.Board(width=160, height=120, thickness=18)
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1000, spindle_rpm=16000)
    work = tp.contour(Polygon(points), cutter, depth=2, side="outside")
    radii, _ = radii_in(tp.program_text(tp.Setup(tp.Fixture(board=board, overhang=10), [work])))
    assert {round(float(r), 3) for r in radii} >= {15, 33} and np.abs(radii - radii.round()).max() < 0.002


def test_through_to_the_text():
    """Grooves along arcs of an SVG: each leaves as G2 or G3 at its own radius."""
    wanted = [(r, s) for r in (0.5, 1, 2, 5, 10) for s in SWEEPS]
    paths = []
    for k, (radius, sweep) in enumerate(wanted):
        x, y = 30 + 40 * (k % 15), 30 + 40 * (k // 15)
        (arc,) = chain(radians(7 * k), (radius, sweep))
        dx, dy = end_of(arc)[0] - 3, end_of(arc)[1] - 4
        paths.append(f"M{x} {y}a{radius} {radius} 0 {int(sweep > 180)} 1 {dx:.9f} {dy:.9f}")
    drawn = tp.read_svg(
        '<svg xmlns="http://www.w3.org/2000/svg" width="700mm" height="300mm" viewBox="0 0 700 300">'
        f'<path fill="none" d="{"".join(paths)}"/></svg>',
        gap=1e-4,  # the ends of the smallest one are nearer than the usual gap
    )
    cutter = tp.Cutter(1, tp.v_point(6, 60), feed_mm_min=1000, spindle_rpm=16000)
    setup = tp.Setup(tp.Fixture(board=tp.Board(width=700, height=300, thickness=18)), [
        tp.groove(drawn.lines(), cutter, depth=1, entry="plunge"),
    ])  # fmt: skip
    radii, swept = radii_in(tp.program_text(setup))
    for radius in {r for r, _ in wanted}:
        own = np.abs(radii - radius) <= 0.002
        total = sum(s for r, s in wanted if r == radius)
        assert degrees(swept[own].sum()) >= total * 0.999
    assert np.abs(radii[:, None] - np.array([0.5, 1, 2, 5, 10])).min(axis=1).max() <= 0.002


def test_what_only_seems_to_be_an_arc_is_none():
    """A polygon of few corners, an ellipse, a sine, and an arc whose vertices are rounded to hundredths."""
    few = np.array(tp.regular_polygon(12, 40).exterior.coords)
    t = np.linspace(0, 2, 300)
    for points in (
        few,
        np.array(tp.ellipse(40, 39).exterior.coords),
        np.column_stack([40 * t, np.sin(3 * t)]),
        np.array(LineString(tp.circle(40).exterior.coords).coords).round(2),
    ):
        assert exact_arcs(points, 0.005) == []
