"""The same job on a board that is not its nominal self: thicker, laid askew, cut by a worn cutter.

A corner is one choice of how far each fact is off; the programs stay what they are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import cos, sin
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats, not_negative
from toolpaths.base.errors import InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.judging.job_programs import Setting
from toolpaths.judging.reader.motions import Program


class Corner(NamedTuple):
    """How far each fact is off, mm; also the half ranges of a study.

    thickness : the board is so much thicker than it was measured
    flip_line : the line about which the board is turned lies so far to the right, or up; the back is
        off by twice as much
    dowel_clearance : the board has turned anticlockwise in its dowel holes as far as a pin so much
        thinner than its hole lets it, and shifted to the right, or up, as far
    cutter_diameter : every cutter is so much thicker
    zero_z : Z0 was set so much too high, on both sides: every cut is less deep
    """

    thickness: float = 0.0
    flip_line: float = 0.0
    dowel_clearance: float = 0.0
    cutter_diameter: float = 0.0
    zero_z: float = 0.0


NOMINAL = Corner()
_WORDS = {
    "thickness": ("the board {:.2f} thicker", "the board {:.2f} thinner"),
    "flip_line": ("the flip line {:.2f} too far right or up", "the flip line {:.2f} too far left or down"),
    "dowel_clearance": (
        "the board turned left by {:.2f} of play",
        "the board turned right by {:.2f} of play",
    ),
    "cutter_diameter": ("the cutters {:.2f} thicker", "the cutters {:.2f} thinner"),
    "zero_z": ("Z0 {:.2f} too high", "Z0 {:.2f} too low"),
}


def checked_ranges(ranges: Corner, settings: Sequence[Setting]) -> Corner:
    """The half ranges, each zero or more and small enough to make sense on this board with these cutters."""
    for name, value in ranges._asdict().items():
        not_negative(name, value)
    board = settings[0].fixture.board
    thinnest = min(cutter.diameter for setting in settings for cutter in setting.cutters)
    for name, most, of in (
        ("thickness", board.thickness, "the board's"),
        ("zero_z", board.thickness, "the board's thickness of"),
        ("cutter_diameter", thinnest, "the thinnest cutter's"),
        ("flip_line", min(board.width, board.height), "the board's shorter side of"),
        ("dowel_clearance", min(board.width, board.height), "the board's shorter side of"),
    ):
        if getattr(ranges, name) >= most / 2:
            raise InputError(f"{name}={getattr(ranges, name):g} is not small against {of} {most:g} mm.")
    if ranges.dowel_clearance and not pins_of(settings):
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


def settings_at(settings: Sequence[Setting], corner: Corner) -> tuple[Setting, ...]:
    """The programs of a job as they act at a corner, seen from the board.

    What comments say is left out: the head of a program names the nominal board.
    """
    return tuple(
        setting._replace(
            given=_fixture_at(setting.given, corner),
            fixture=_fixture_at(setting.fixture, corner),
            program=_program_at(setting.program, setting.fixture, corner),
            cutters=tuple(_cutter_at(cutter, corner, setting.fixture) for cutter in setting.cutters),
        )
        for setting in settings
    )


def part_at(part: Part | None, corner: Corner, slack: float) -> Part | None:
    """The same part out of the board as it is; depths count from the face of their side.

    slack : mm by which walls and floors are off just because the ranges say so, and which is no fault
    """
    if part is None:
        return part
    board = replace(part.board, thickness=part.board.thickness + corner.thickness)
    front, back = ([feature.thicker(corner.thickness) for feature in side] for side in (part.front, part.back))
    return replace(part, board=board, front=front, back=back, within=part.within + slack)


def sinks(fixture: Fixture, corner: Corner) -> float:
    """How much deeper below the underside of the board every cut goes at a corner."""
    return -corner.zero_z - (corner.thickness if fixture.zero_on == "top" else 0.0)


def _fixture_at(fixture: Fixture, corner: Corner) -> Fixture:
    """On the board as it is. The pins go as deep as the cuts do: how deep that is is a requirement of its own."""
    board = replace(fixture.board, thickness=fixture.board.thickness + corner.thickness)
    lower = sinks(fixture, corner)
    dowels = tuple(replace(dowel, depth=max(dowel.depth + lower, 0.01)) for dowel in fixture.dowels)
    return replace(fixture, board=board, dowels=dowels)


def _cutter_at(cutter: Cutter, corner: Corner, fixture: Fixture) -> Cutter:
    """A cutter ground or worn; a V cuts as wide at any depth, since its point is its point.

    Its first pass is deeper where the wood stands higher than meant; that much it is taken to bear.
    """
    deeper = max(-corner.zero_z + (corner.thickness if fixture.zero_on == "spoilboard" else 0.0), 0.0)
    cutter = replace(cutter, deepest_pass=cutter.bears.deepest_pass + deeper)
    thicker, profile = corner.cutter_diameter, cutter.profile
    if not thicker or profile.kind == "V":
        return cutter
    rounding = profile.corner_radius + (thicker / 2 if profile.kind == "ball" else 0.0)
    profile = replace(profile, diameter=profile.diameter + thicker, corner_radius=rounding)
    return replace(cutter, profile=profile, cutting_length=max(cutter.body.cutting_length, profile.tip_height))


def _program_at(program: Program, fixture: Fixture, corner: Corner) -> Program:
    motions = program.motions
    zero = np.array(fixture.zero)
    shift = np.array([0.0, 0.0, corner.zero_z])

    def moved(points: Floats) -> Floats:
        points = points + shift
        if fixture.turned and (corner.flip_line or corner.dowel_clearance):
            points[:, :2] = laid_at(fixture, corner, points[:, :2] + zero[:2]) - zero[:2]
        return points

    motions = replace(motions, start=moved(motions.start), end=moved(motions.end), centre=moved(motions.centre))
    return replace(program, motions=motions, comments=())


def laid_at(fixture: Fixture, corner: Corner, points: Floats) -> Floats:
    """Where places (n, 2) aimed at on the board that was turned over come to lie on it instead."""
    shift = 2 * corner.flip_line + corner.dowel_clearance / 2
    along = np.array([1.0, 0.0] if fixture.turned == "left to right" else [0.0, 1.0])
    middle, length = pins_apart(fixture)
    angle = corner.dowel_clearance / length if length else 0.0
    turn = np.array([[cos(angle), -sin(angle)], [sin(angle), cos(angle)]])
    return np.asarray((points - middle) @ turn.T + middle + shift * along)


def pins_of(settings: Sequence[Setting]) -> Fixture | None:
    """The first fixture that lies turned over on dowels."""
    return next((s.fixture for s in settings if s.fixture.turned and s.fixture.dowels), None)


def pins_apart(fixture: Fixture) -> tuple[Floats, float]:
    """The point midway between the two dowels farthest apart, and how far apart; 0 with fewer than two."""
    places = np.array([(d.x, d.y) for d in fixture.dowels]).reshape(-1, 2)
    if not len(places):
        return np.zeros(2), 0.0
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    a, b = np.unravel_index(int(apart.argmax()), apart.shape)
    # Pins lie so that they mirror each other: where they are seen from matters only for one on its own.
    return fixture.seen_from_front((places[a] + places[b]) / 2), float(apart[a, b])


def mismatch(settings: Sequence[Setting], ranges: Corner, points: Floats) -> float:
    """How far front and back may be off each other at the worst of some places (n, 2), seen from the front.

    Source: a flip line wrong by e shifts the back by 2 e; two pins L apart with a diametral clearance c
    let it shift by c / 2 and turn by c / L, which at a distance rho from the point between them is
    c / 2 + rho c / L (derived from rigid motions; 0.11 for c = 0.1, L = 100, rho = 60).
    """
    off = 2 * ranges.flip_line
    fixture = pins_of(settings)
    if ranges.dowel_clearance and fixture is not None:
        middle, length = pins_apart(fixture)
        middle = fixture.seen_from_front(middle)
        rho = float(np.hypot(*(points - middle).T).max()) if len(points) else 0.0
        off += ranges.dowel_clearance / 2 + (rho * ranges.dowel_clearance / length if length else 0.0)
    return off
