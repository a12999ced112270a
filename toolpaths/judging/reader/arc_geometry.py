"""Arcs: from end point and offsets or radius to centre and sweep (NISTIR 6556, 3.5.3)."""

from __future__ import annotations

from math import atan2, hypot, pi, sqrt

from toolpaths.judging.reader.tokens import Fault

Point3 = tuple[float, float, float]

# How far start and end may differ in their distance from the centre, 3.5.3.2; the hair more is for
# floating point, so that a difference of exactly the limit passes.
TOLERANCE_MM = 0.002 * (1 + 1e-9)
TOLERANCE_INCH = 0.0002 * 25.4 * (1 + 1e-9)
# Half the chord may exceed R by this much of R, per NIST's interpreter.
_CHORD_EXCESS = 1e-12
# An end nearer to the start than this, in mm, is the start: sums of G91 moves come back this closely,
# and no program has the decimals to ask for a shorter arc.
_ONE_PLACE = 1e-7

# mm; an arc that is off by more than this was not rounded, but is wrong: two decimals of an inch round by 0.13.
_ROUNDED = 0.3


def arc(
    clockwise: bool,
    axes: tuple[int, int, int],
    start: Point3,
    end: Point3,
    offsets: dict[str, float],
    radius: float | None,
    tolerance: float,
) -> tuple[Point3, float]:
    """The centre, and the angle turned in radians, anticlockwise positive, at most one turn.

    axes : first, second and normal axis of the plane
    offsets : of the centre from the start, in mm, by letter I, J and K; empty if there are none
    """
    first, second, normal = axes
    for letter in offsets:
        if "IJK".index(letter) == normal:
            good = " and ".join(sorted(("IJK"[first], "IJK"[second])))
            raise Fault("arc-offset", f"{letter} is no offset in this plane; use {good}.", letter)
    if radius is not None and offsets:
        raise Fault("arc-format", "The arc has both R and offsets; keep one.", "R")
    chord = end[first] - start[first], end[second] - start[second]
    full = hypot(*chord) < _ONE_PLACE
    if radius is not None:
        if full:
            raise Fault("arc-radius", "With R the end must differ from the start; use offsets for a full turn.", "R")
        toward, sweep = _from_radius(chord, radius, clockwise)
    elif offsets:
        toward = offsets.get("IJK"[first], 0.0), offsets.get("IJK"[second], 0.0)
        sweep = _from_centre(chord, toward, clockwise, full, tolerance)
    else:
        raise Fault("arc-format", "The arc needs R or an offset of its centre, such as I5.")
    centre = list(start)
    centre[first] += toward[0]
    centre[second] += toward[1]
    return (centre[0], centre[1], centre[2]), sweep


def _from_centre(
    chord: tuple[float, float], toward: tuple[float, float], clockwise: bool, full: bool, tolerance: float
) -> float:
    begin = -toward[0], -toward[1]
    finish = chord[0] - toward[0], chord[1] - toward[1]
    radius, end_radius = hypot(*begin), hypot(*finish)
    if radius == 0 or end_radius == 0:
        raise Fault("arc-radius", "The centre lies on the arc's start or end, so its radius is 0.")
    if abs(radius - end_radius) > tolerance:
        rounded = abs(radius - end_radius) < _ROUNDED
        raise Fault(
            "arc-mismatch",
            f"The arc starts {radius:.5f} mm from its centre and ends {end_radius:.5f} mm from it; at most "
            f"{tolerance:.5f} mm of difference is read. "
            + (
                "Write the coordinates with one more decimal."
                if rounded
                else "Check its end, the signs of I, J, K, and whether a line before it is missing."
            ),
        )
    if full:
        turned = 2 * pi
    else:
        # In (0, 2 pi], from the cross and dot products of the two radii.
        turned = atan2(begin[0] * finish[1] - begin[1] * finish[0], begin[0] * finish[0] + begin[1] * finish[1])
        turned = (-turned if clockwise else turned) % (2 * pi) or 2 * pi
    return -turned if clockwise else turned


def _from_radius(chord: tuple[float, float], radius: float, clockwise: bool) -> tuple[tuple[float, float], float]:
    length = hypot(*chord)
    half, reach = length / 2, abs(radius)
    if half > reach * (1 + _CHORD_EXCESS):
        raise Fault("arc-radius", f"R is {reach:g} mm, too small to reach the end; {half:g} mm is the least.", "R")
    rise = sqrt(max(0.0, (reach - half) * (reach + half)))
    turned = 2 * atan2(half, rise) if radius > 0 else 2 * (pi - atan2(half, rise))
    # The centre lies left of the chord when turning anticlockwise by less than half a turn.
    side = rise / length if clockwise != (radius > 0) else -rise / length
    toward = chord[0] / 2 - side * chord[1], chord[1] / 2 + side * chord[0]
    return toward, -turned if clockwise else turned
