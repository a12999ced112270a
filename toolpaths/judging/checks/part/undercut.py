"""Undercuts: what the head of an undercut cutter takes below wood that stays, against what the part has there."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.features.feature import Undercut
from toolpaths.facts.features.slack import ROUND
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.waste import waste_of
from toolpaths.judging.checks.part.target import lowest
from toolpaths.judging.checks.part.wood_at import slack_in
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.trial.undercuts import Undercuts, undercuts_of, volume_below_shoulders

# mm2 for each mm that a wall may be off: less is a sliver between two ways of drawing a circle in chords. And mm beyond
# what is allowed that show at a wall.
_SLIVER, _BESIDE = 0.2, 0.01


def undercuts(trial: Trial) -> Iterator[Finding]:
    """The head takes wood below a surface that the part keeps, or leaves some where the part is undercut.

    Sideways and in height it may be off by Part.within, as any wall and floor.
    """
    part, case = trial.part, trial.case
    meant = [] if part is None else [one for each in part.cut_from(case.fixture.side) for one in each.undercuts()]
    found = undercuts_of(case)
    if part is None or not (meant or len(found.move)):
        return
    yield from _too_much(trial, part, found)
    if meant:
        yield from _too_little(trial, part)


def below_shoulders(trial: Trial) -> Iterator[str]:
    """How much more is removed than the faces of the wood show, where this program undercuts it."""
    if len(undercuts_of(trial.case).move):
        more = volume_below_shoulders(trial.after) - volume_below_shoulders(trial.before)
        yield f"{more / 1000:.2f} cm3 more are removed below shoulders, which count as standing."


def _too_much(trial: Trial, part: Part, found: Undercuts) -> Iterator[Finding]:
    case, fixture = trial.case, trial.case.fixture
    # What takes alike, as the way along a slot and the way back, is one.
    alike: dict[tuple[float, float], list[int]] = {}
    for number in range(len(found.move)):
        alike.setdefault((float(found.floor[number]), float(found.ceiling[number])), []).append(number)
    for (floor, ceiling), numbers in alike.items():
        allowed = _may_be_open(trial, part, fixture, floor, ceiling)
        every = shapely.difference(shapely.union_all(found.area[numbers]), allowed)
        every = _below_the_part(trial, part, every, floor)
        # What is no wider than what a wall may be off, to either side, is none.
        if shapely.buffer(every, -_BESIDE / 2).area < _SLIVER * part.within:
            continue
        worst = max(shapely.get_parts(every).tolist(), key=lambda each: each.area)
        did = [int(found.move[n]) for n in numbers if shapely.intersects(found.area[n], worst)]
        at = worst.representative_point()
        lines = tuple(dict.fromkeys(case.moves.line[did].tolist()))
        far = _reach_into(every, allowed)
        yield Finding(
            "undercut", "damage", lines[0], case.point(at.x, at.y, floor), far, part.within,
            f"the head of the cutter takes {every.area:.1f} mm2 of the part below its surface that should stay, "
            f"{max(-ceiling, 0.0):.2f} to {-floor:.2f} mm deep, {far:.2f} mm wide at most.",
            len(did), lines,
        )  # fmt: skip


def _below_the_part(trial: Trial, part: Part, area: BaseGeometry, floor: float) -> BaseGeometry:
    """Those pieces of an area in which some wood of the part stands above a floor: not those in a hollow of it."""
    pieces = shapely.get_parts(area)
    if not any(feature.lowest(slack_in(trial, part)).sloped for feature in part.cut_from(trial.case.fixture.side)):
        return area
    target = lowest(part, trial.case.fixture, slack_in(trial, part))
    kept = [
        piece
        for piece in pieces.tolist()
        if (target.at(shapely.get_coordinates([piece, piece.representative_point()])) > floor + part.within).any()
    ]
    return shapely.union_all(kept)


def _reach_into(area: BaseGeometry, allowed: BaseGeometry) -> float:
    """mm from what is allowed to the farthest corner of what lies beyond; where nothing is near, how wide that is."""
    corners = shapely.points(shapely.get_coordinates(area))
    wide = 2 * float(shapely.maximum_inscribed_circle(max(shapely.get_parts(area), key=lambda each: each.area)).length)
    return max(wide, float(shapely.distance(corners, allowed).max())) if not allowed.is_empty else wide


def _may_be_open(trial: Trial, part: Part, fixture: Fixture, floor: float, ceiling: float) -> BaseGeometry:
    """Where a head may be between these heights, on the board as it lies."""
    within, slack = part.within, slack_in(trial, part)
    areas = [fixture.place(waste_of(part.partings(), slack))]
    for feature in part.cut_from(fixture.side):
        surfaces = feature.lowest(slack)
        areas += [fixture.place(one.area) for one in surfaces.floors if one.z <= floor + within]
        for swept in surfaces.swept:
            if swept.tip <= floor + within:
                radius = swept.profile.radius_at(floor + within - swept.tip)
                areas.append(fixture.place(shapely.buffer(swept.line, radius, quad_segs=ROUND)))
        for under in feature.undercuts():
            if under.floor <= floor + within and under.ceiling >= ceiling - within:
                areas.append(fixture.place(_grown(under, slack.sideways(under.area))))
    return shapely.union_all(areas)


def _too_little(trial: Trial, part: Part) -> Iterator[Finding]:
    """Over all programs that have cut this face so far, as for what is left over of any feature."""
    case, slack = trial.case, slack_in(trial, part)
    programs = [undercuts_of(each) for each in (*(trial.before.top_cuts or ()), case)]
    if trial.before.top_cuts is None:
        return
    for feature in part.cut_from(case.fixture.side):
        for under in feature.undercuts():
            taken = [
                area
                for found in programs
                for area, floor, ceiling in zip(found.area, found.floor, found.ceiling, strict=True)
                if floor <= under.floor + part.within and ceiling >= under.ceiling - part.within
            ]
            # What is open from above as deep is no shoulder any more, and another matter.
            opened = shapely.buffer(feature.shape, slack.within, quad_segs=ROUND)
            left = shapely.difference(_grown(under, -slack.sideways(under.area)), opened)
            left = shapely.difference(case.fixture.place(left), shapely.union_all(taken))
            if shapely.buffer(left, -_BESIDE / 2).area < _SLIVER * part.within:
                continue
            at = max(shapely.get_parts(left).tolist(), key=lambda each: each.area).representative_point()
            yield Finding(
                "not-undercut", "damage", 0, case.point(at.x, at.y, under.floor), float(left.area), 0.0,
                f"{left.area:.1f} mm2 of wood stand under the shoulders of the {feature.name}, where a screw's head is "
                "to slide; cut it with the undercut cutter that it was drawn for.",
            )  # fmt: skip


def _grown(under: Undercut, by: float) -> BaseGeometry:
    return shapely.buffer(under.area, by, quad_segs=ROUND)
