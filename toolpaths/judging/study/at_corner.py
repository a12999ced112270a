"""The same job on a board that is not its nominal self: thicker, laid askew, cut by a worn cutter.

The programs stay what they are; how they act is seen from the board. Its edges, and what stands on it, stay where they
were meant to be: how far a cutter reaches past them is no question of a study.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.judging.job_programs import Judged, Setting, judge_programs
from toolpaths.judging.reader.motions import Program
from toolpaths.judging.study.corners import Corner
from toolpaths.judging.study.registration import laid_at, size_shift


def job_at(
    settings: Sequence[Setting],
    corner: Corner,
    cell: float,
    part: Part | None,
    known: dict[Corner, tuple[Judged, ...]] | None = None,
) -> tuple[Judged, ...]:
    """The whole job, judged with what is off at a corner, or anywhere between the corners.

    part : on the board of that corner
    known : what the programs before the turn do at other corners; they do not depend on how the back lies
    """
    known = {} if known is None else known
    at = settings_at(settings, corner)
    turn = next((n for n, setting in enumerate(settings) if setting.fixture.turned), len(settings))
    before = corner._replace(flip_line=0.0, flip_angle_deg=0.0, dowel_clearance=0.0)
    if not any(size_shift(settings[0].fixture, setting.fixture, corner).any() for setting in settings[:turn]):
        before = before._replace(width=0.0, height=0.0)
    if before not in known:
        known[before] = judge_programs(at[:turn], cell=cell, part=part)
    return judge_programs(at, cell=cell, part=part, done=known[before])


def settings_at(settings: Sequence[Setting], corner: Corner) -> tuple[Setting, ...]:
    """The programs of a job as they act at a corner, seen from the board.

    What comments say is left out: the head of a program names the nominal board.
    """
    at = []
    for setting, fixture in zip(settings, _fixtures_at(settings, corner), strict=True):
        deeper = _deeper(setting.fixture, fixture, corner)
        at.append(setting._replace(
            given=_fixture_at(setting.given, corner, fixture.levelled),
            fixture=fixture,
            program=_program_at(setting.program, settings[0].fixture, setting.fixture, corner),
            cutters=tuple(_cutter_at(cutter, deeper, corner) for cutter in setting.cutters),
        ))  # fmt: skip
    return tuple(at)


def _fixtures_at(settings: Sequence[Setting], corner: Corner) -> list[Fixture]:
    """How the board lies under each program. What was levelled from one side is off by what is cut there too deep, and
    the board so much lower in the fixtures of the other side."""
    found: list[Fixture] = []
    for setting in settings:
        levelled = setting.fixture.levelled
        before = [
            _deeper(earlier.fixture, at, corner)
            for earlier, at in zip(settings, found)
            if earlier.fixture.side != setting.fixture.side
        ]
        if levelled and before:
            levelled = max(levelled + before[-1], 0.0)
        found.append(_fixture_at(setting.fixture, corner, levelled))
    return found


def _thicker(fixture: Fixture, at: Fixture) -> float:
    """How much thicker than meant the board lies in a fixture at a corner."""
    return fixture.underside_z - at.underside_z


def _deeper(fixture: Fixture, at: Fixture, corner: Corner) -> float:
    """How much deeper than meant all is cut from the face as measured: from the spoilboard a thicker board stands
    higher."""
    return -corner.zero_z + (_thicker(fixture, at) if fixture.zero_on == "spoilboard" else 0.0)


def part_at(part: Part | None, settings: Sequence[Setting], corner: Corner, slack: float) -> Part | None:
    """The same part out of the board as it is; depths count from the face of their side.

    Where Z0 is the top, what goes through ends so much higher over the underside as the board is thicker: how much it
    has to spare is a requirement.
    slack : mm by which walls and floors are off just because the ranges say so, and which is no fault
    """
    if part is None:
        return part
    board = replace(part.board, thickness=part.board.thickness + corner.thickness)
    thicker = {"front": 0.0, "back": 0.0}
    for setting, at in zip(settings, _fixtures_at(settings, corner), strict=True):
        if setting.fixture.zero_on == "top":
            thicker[setting.fixture.side] = _thicker(setting.fixture, at)
    front = [feature.thicker(thicker["front"]) for feature in part.front]
    back = [feature.thicker(thicker["back"]) for feature in part.back]
    return replace(part, board=board, front=front, back=back, within=part.within + slack)


def _fixture_at(fixture: Fixture, corner: Corner, levelled: float) -> Fixture:
    """On the board as it is, and levelled as it is. The pins go as deep below its underside as the cuts then do: how
    deep that is is a requirement of its own, and cuts through the spoilboard are found all the same."""
    board = replace(fixture.board, thickness=fixture.board.thickness + corner.thickness)
    at = replace(fixture, board=board, levelled=levelled)
    lower = -corner.zero_z - (_thicker(fixture, at) if fixture.zero_on == "top" else 0.0)
    deepest = np.inf if fixture.spoilboard_thickness is None else np.nextafter(fixture.spoilboard_thickness, 0.0)
    depths = [min(max(dowel.depth + lower, 0.01), float(deepest)) for dowel in fixture.dowels]
    dowels = tuple(replace(dowel, depth=depth) for dowel, depth in zip(fixture.dowels, depths, strict=True))
    return replace(at, dowels=dowels)


def _cutter_at(cutter: Cutter, deeper: float, corner: Corner) -> Cutter:
    """A cutter ground or worn, its body as it was; a V cuts as wide at any depth, since its point is its point.

    Its first pass is deeper where the wood stands higher than meant; that much it is taken to bear.
    """
    deeper, bears = max(deeper, 0.0), cutter.bears
    cutter = replace(
        cutter, deepest_pass=bears.deepest_pass + deeper, deepest_peck=bears.deepest_peck + deeper,
        deepest_hole=bears.deepest_hole + deeper,
    )  # fmt: skip
    thicker, profile = corner.cutter_diameter, cutter.profile
    if not thicker or profile.kind == "V":
        return cutter
    rounding = profile.corner_radius + (thicker / 2 if profile.kind == "ball" else 0.0)
    neck = profile.neck_diameter + thicker if profile.neck_diameter else 0.0
    profile = replace(profile, diameter=profile.diameter + thicker, corner_radius=rounding, neck_diameter=neck)
    edges, stick_out, shank = cutter.body
    edges = max(edges, profile.tip_height)
    stick_out = max(edges, stick_out)
    return replace(cutter, profile=profile, cutting_length=edges, stick_out=stick_out, shank_diameter=shank)


def _program_at(program: Program, first: Fixture, fixture: Fixture, corner: Corner) -> Program:
    motions = program.motions
    off = corner.flip_line or corner.flip_angle_deg or corner.dowel_clearance
    sideways = bool(off and fixture.turned) or bool(size_shift(first, fixture, corner).any())
    zero = np.array(fixture.zero)
    shift = np.array([0.0, 0.0, corner.zero_z])

    def moved(points: Floats) -> Floats:
        points = points + shift
        if sideways:
            points[:, :2] = laid_at(first, fixture, corner, points[:, :2] + zero[:2]) - zero[:2]
        return points

    motions = replace(motions, start=moved(motions.start), end=moved(motions.end), centre=moved(motions.centre))
    return replace(program, motions=motions, comments=())
