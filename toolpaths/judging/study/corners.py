"""What may be off about a job, and by how much: the ranges of a study, and their corners.

A corner is one choice of how far each fact is off: of an extreme of each range.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import NamedTuple

from toolpaths.base.checks import between, not_negative
from toolpaths.base.errors import InputError
from toolpaths.facts.fixture import Fixture
from toolpaths.judging.job_programs import Setting

# Degrees; a board that lies more askew is seen to (common practice, no source).
_MOST_ASKEW_DEG = 5.0


class Corner(NamedTuple):
    """How far each fact is off, mm, an angle in degrees; also the half ranges of a study.

    thickness : the board is so much thicker than it was measured
    width, height : it is so much wider, along X seen from the front, or higher, along Y, than was entered
    flip_line : the line about which the board is turned lies so far to the right, or up; the back is
        off by twice as much
    dowel_clearance : the board has turned anticlockwise in its dowel holes as far as a pin so much
        thinner than its hole lets it, and shifted to the right, or up, as far
    cutter_diameter : every cutter is so much thicker
    zero_z : Z0 was set so much too high, on both sides: every cut is less deep
    flip_angle_deg : the line about which the board is turned is askew by so much, about the board's middle; the back
        is turned by twice as much
    """

    thickness: float = 0.0
    flip_line: float = 0.0
    dowel_clearance: float = 0.0
    cutter_diameter: float = 0.0
    zero_z: float = 0.0
    width: float = 0.0
    height: float = 0.0
    flip_angle_deg: float = 0.0


NOMINAL = Corner()
_WORDS = {
    "thickness": ("the board {:.2f} thicker", "the board {:.2f} thinner"),
    # Turned about a line too far left by e the board lies 2 e too far left, and the cut 2 e too far right on it.
    "flip_line": ("the flip line {:.2f} too far left or down", "the flip line {:.2f} too far right or up"),
    "dowel_clearance": (
        "the board turned left by {:.2f} of play",
        "the board turned right by {:.2f} of play",
    ),
    "cutter_diameter": ("the cutters {:.2f} thicker", "the cutters {:.2f} thinner"),
    "zero_z": ("Z0 {:.2f} too high", "Z0 {:.2f} too low"),
    "width": ("the board {:.2f} wider", "the board {:.2f} narrower"),
    "height": ("the board {:.2f} higher", "the board {:.2f} lower"),
    # About a line turned clockwise by a the board comes to lie turned clockwise by 2 a, the cut on it the other way.
    "flip_angle_deg": ("the flip line turned right by {:.3f} degrees", "the flip line turned left by {:.3f} degrees"),
}


def checked_ranges(ranges: Corner, settings: Sequence[Setting]) -> Corner:
    """The half ranges, each zero or more and small enough to make sense on this board with these cutters."""
    ranges = Corner(*[not_negative(name, value) for name, value in ranges._asdict().items()])
    board = settings[0].fixture.board
    thinnest = min(cutter.diameter for setting in settings for cutter in setting.cutters)
    for name, most, of in (
        ("thickness", board.thickness, "the board's"),
        ("width", board.width, "the board's"),
        ("height", board.height, "the board's"),
        ("zero_z", board.thickness, "the board's thickness of"),
        ("cutter_diameter", thinnest, "the thinnest cutter's"),
        ("flip_line", min(board.width, board.height), "the board's shorter side of"),
        ("dowel_clearance", min(board.width, board.height), "the board's shorter side of"),
    ):
        if getattr(ranges, name) >= most / 2:
            raise InputError(f"{name}={getattr(ranges, name):g} is not small against {of} {most:g} mm.")
    between("flip_angle_deg", ranges.flip_angle_deg, 0.0, _MOST_ASKEW_DEG)
    if ranges.dowel_clearance and not any(on_pins(setting.fixture) for setting in settings):
        raise InputError(
            f"dowel_clearance={ranges.dowel_clearance:g}, but no side that is turned over has dowels; "
            "give the fixtures their dowels, or flip_line alone."
        )
    return ranges


def corners_of(ranges: Corner) -> Iterator[Corner]:
    """All combinations of the extremes of the ranges that are not zero."""
    for signs in product(*[(-1.0, 1.0) if value else (0.0,) for value in ranges]):
        yield Corner(*[sign * value for sign, value in zip(signs, ranges, strict=True)])


def in_words(corner: Corner, only: Sequence[str] = Corner._fields) -> str:
    """What is off at a corner, for instance "the board 0.20 thicker, Z0 0.10 too high"."""
    return ", ".join(
        _WORDS[name][value < 0].format(abs(value)) for name, value in corner._asdict().items() if value and name in only
    )


def on_pins(fixture: Fixture) -> bool:
    """Whether the board lies turned over on dowel pins."""
    return bool(fixture.turned and fixture.dowels)
