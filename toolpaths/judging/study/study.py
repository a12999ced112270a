"""What a board that is not its nominal self does to a job: every requirement at its worst."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from concurrent.futures import Executor
from functools import partial

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, between, instance, optional
from toolpaths.base.long_outlines import buffered
from toolpaths.base.on_executor import checked_executor
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.part import Part
from toolpaths.judging.job_programs import Judged, Setting, Side, read_sides
from toolpaths.judging.study.corners import NOMINAL, Corner, checked_ranges, corners_of, in_words
from toolpaths.judging.study.judged_corners import JudgedCorners, Kind, past
from toolpaths.judging.study.registration import mismatch, registration_notes, size_shift
from toolpaths.judging.study.requirements import A_CUT, Question
from toolpaths.judging.study.result import NOTHING, NewFinding, Requirement, Study
from toolpaths.judging.study.thickness import cut_depth, of_each_side
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.patches import centres
from toolpaths.judging.wood.regions import label

# mm2 that a place cut from both sides has at least; the most such places that are listed.
_A_PLACE = 4.0
_MOST_STEPS = 6


def tolerance_study(
    sides: Sequence[Side],
    cutters: Iterable[Cutter],
    *,
    part: Part | None = None,
    thickness: float = 0.0,
    flip_line: float = 0.0,
    dowel_clearance: float = 0.0,
    cutter_diameter: float = 0.0,
    zero_z: float = 0.0,
    width: float = 0.0,
    height: float = 0.0,
    flip_angle_deg: float = 0.0,
    thinnest_web: float = 0.0,
    cell: float = 0.5,
    executor: Executor | None = None,
) -> Study:
    """Judge a job at every combination of the extremes of what may be off, and report what it has to spare.

    sides, cutters : as for verify()
    part : what is meant; its features lend the requirements their names, and gouges and leftovers are found
        that are more than the ranges themselves explain
    thickness, flip_line, cutter_diameter, zero_z, width, height : mm, half ranges: each may be off by so much either
        way. Where Z0 is the board's top a thicker board moves the underside, where it is the spoilboard the top.
        Width and height move the back off the front only where X0 Y0 is found anew once the board is turned over: not
        on pins, where only Z0 is set anew; without pins by what the corners that are found lie off.
    dowel_clearance : mm by which the dowels' holes are wider than the pins
    flip_angle_deg : degrees, half range: so far may the line about which the board is turned over be askew
    thinnest_web : mm, least thickness of wood that has to be left between the two faces where both are cut
    cell : mm, width of the cells of the wood; depths do not depend on it
    executor : of concurrent.futures, on which the corners are judged, some at a time; here and now unless given, since
        few studies are longer than it takes to start processes. The study is the same either way

    Depths, widths and the thickness left are worked out at the corners. They change one way with each of
    the ranges, so no board within the ranges is worse: through cuts, spoilboard, tabs, dowel holes, and level
    floors more than the sideways error away from walls. Webs are followed to their lips; between those, where they
    slope, they are looked at in places. How far front and back may be off each other is a bound in closed form. The
    clearance of a hold-down may be less between two corners by
    the square of the sideways error over the distance, a thousandth of a mm or so; findings are those of the
    corners only. Z0 is taken to be off the same way on both sides, which is where sums of depths are extreme.

    >>> import toolpaths as tp
    >>> board = tp.Board(width=200, height=140, thickness=18)
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> side = tp.Fixture(board=board)
    >>> setup = tp.Setup(side, [tp.pocket(tp.rectangle(60, 40, (100, 70)), T1, depth=4)])
    >>> text = tp.program_text(setup)
    >>> study = tp.tolerance_study([(text, side)], [T1], part=tp.intended_part(setup), thickness=0.2, cell=2.0)
    >>> study.ok, len(study.requirements) > 0
    (True, True)

    Raises InputError for ranges that cannot be used, and as verify() does.
    """
    settings, given = read_sides(sides, cutters), checked_executor("executor", executor)
    meant = optional("part", part, partial(instance, kind=Part))
    half_ranges = Corner(thickness, flip_line, dowel_clearance, cutter_diameter, zero_z, width, height, flip_angle_deg)
    ranges = checked_ranges(half_ranges, settings)
    between("thinnest_web", thinnest_web, 0.0, settings[0].fixture.board.thickness)
    judged = JudgedCorners(settings, ranges, meant, thinnest_web, cell)
    corners = list(corners_of(_acting(ranges, settings)))
    found = judged.at_all(corners, given)
    requirements = [
        _requirement(question, corners, [each.measured[n] for each in found])
        for n, question in enumerate(judged.questions)
    ]
    requirements += _steps(settings, judged.nominal, ranges, meant)
    requirements.sort(key=lambda r: (r.margin is None, r.ok, r.margin or 0.0))
    new = _new(judged, dict(zip(corners, (each.worst for each in found), strict=True)))
    return Study(ranges, len(corners), tuple(requirements), new, registration_notes(settings, ranges))


def _acting(ranges: Corner, settings: Sequence[Setting]) -> Corner:
    """The ranges without the board's width or height where that moves nothing."""
    first = settings[0].fixture
    shifts = [size_shift(first, setting.fixture, ranges) for setting in settings]
    across, up = np.any(shifts, axis=0).tolist()
    return ranges._replace(width=ranges.width if across else 0.0, height=ranges.height if up else 0.0)


def _new(judged: JudgedCorners, seen: dict[Corner, dict[Kind, Finding]]) -> tuple[NewFinding, ...]:
    """Kinds of findings that the nominal job has not, each at the corner where it is worst."""
    new, nominal = [], judged.worst_at(NOMINAL)
    for key in dict.fromkeys(key for found in seen.values() for key in found if key not in nominal):
        found_at = {corner: found[key] for corner, found in seen.items() if key in found}
        worst = max(found_at, key=lambda corner: past(found_at[corner]))
        telling = _telling(worst, list(seen), set(found_at))
        if not telling:
            # Found at every corner: some range does it whichever way it goes.
            alone = {name: NOMINAL._replace(**{name: value}) for name, value in worst._asdict().items() if value}
            telling = [name for name, corner in alone.items() if key in judged.worst_at(corner)] or list(alone)
        new.append(NewFinding(key.code, key.side, found_at[worst].message, in_words(worst, telling)))
    return tuple(new)


def _telling(worst: Corner, corners: list[Corner], found_at: set[Corner]) -> list[str]:
    """Of what is off at a corner that without which it would not be found there."""
    telling = [name for name, value in worst._asdict().items() if value]
    for name in tuple(telling):
        rest = [other for other in telling if other != name]
        if all(c in found_at for c in corners if all(getattr(c, r) == getattr(worst, r) for r in rest)):
            telling = rest
    return telling


def _requirement(question: Question, corners: list[Corner], values: list[tuple[float, float]]) -> Requirement:
    low, high = min(value[0] for value in values), max(value[1] for value in values)
    margins = {corner: question.margin(*value) for corner, value in zip(corners, values, strict=True)}
    at = min(margins, key=margins.__getitem__)
    # Only what changes the margin is named: of a range that does not, any extreme is as bad.
    opposite = {name: margins[at._replace(**{name: -value})] for name, value in at._asdict().items()}
    changes = [name for name, margin in opposite.items() if abs(margin - margins[at]) > NOTHING]
    return Requirement(question.words(low, high), margins[at], low, high, in_words(at, changes))


def _steps(
    settings: Sequence[Setting], programs: tuple[Judged, ...], ranges: Corner, part: Part | None
) -> list[Requirement]:
    """How far what is cut from one side may be off what is cut from the other at the same place."""
    turned = [program for program in programs if program.setting.fixture.turned]
    everywhere = shapely.get_coordinates(settings[0].fixture.board.outline)
    if not turned or len(turned) == len(programs) or not mismatch(settings, ranges, everywhere):
        return []
    offs = [(mismatch(settings, ranges, places), name) for name, places in _shared(programs, part)]
    steps = [
        Requirement(f"front and back of {name} may be off each other by up to {off:.2f} mm", None, 0.0, off, "")
        for off, name in sorted(offs, key=lambda step: -step[0])
    ]
    return list({step.text: step for step in steps}.values())[:_MOST_STEPS]


def _shared(programs: tuple[Judged, ...], part: Part | None) -> list[tuple[str, Floats]]:
    """What is cut from both sides at one place: names, and its outermost places seen from the front."""
    if part is not None:
        pairs = []
        for front in part.cut_from("front"):
            for back in part.cut_from("back"):
                a, b = _shape(front), _shape(back)
                if _is_hole(front) == _is_hole(back) and shapely.intersects(a, b):
                    name = front.name if front.name == back.name else f"{front.name} and {back.name}"
                    pairs.append((f"the {name}", shapely.get_coordinates(shapely.union(a, b))))
        return pairs
    stock = programs[-1].report.stock
    deep = [cut_depth(programs, fixture) > A_CUT for fixture in of_each_side(programs)]
    patches = label(deep[0] & deep[1])
    found = []
    for number in np.flatnonzero(patches.area * stock.cell**2 >= _A_PLACE).tolist():
        places = programs[-1].setting.fixture.seen_from_front(centres(stock.grid, patches.cells(number)))
        x, y = ((places.min(axis=0) + places.max(axis=0)) / 2).tolist()
        found.append((f"what both sides cut about X{x:.0f} Y{y:.0f}", places))
    return found


def _is_hole(feature: Feature) -> bool:
    """Whether it stands at points: a hole meets holes, and has no walls that might be flush with others."""
    return float(shapely.length(feature.shape)) == 0


def _shape(feature: Feature) -> BaseGeometry:
    """Where a feature has walls: along its line, round a parting, all over a recess."""
    if feature.reach:
        return buffered(feature.shape, feature.reach)
    return feature.shape.boundary if feature.waste_side else feature.shape
