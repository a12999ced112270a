"""What on one side of a board is nothing but a consequence of a finding on the side cut before: one cause, one finding.

Waste that hangs on where it should be parted is cut free, or pushed hard, only once the board was turned over.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import shapely
from shapely import Point
from shapely.geometry.base import BaseGeometry

from toolpaths.judging.job_programs import Judged, Setting
from toolpaths.judging.trial.consequences import counting
from toolpaths.judging.trial.findings import Finding

_HANGS_ON, _COMES_FREE = "not-parted", ("loose-piece", "cuts-loose", "weak-hold")
# mm; as far from the wall that should be parted a cutter of either side may be (by trial).
_BESIDE = 10.0


class _Hanging(NamedTuple):
    """A finding of waste that hangs on, which of a program's it is, and where the waste lies, seen from the front."""

    program: str
    number: int
    side: str
    area: BaseGeometry


def without_consequences_across(
    programs: tuple[Judged, ...], found: Mapping[str, list[Finding]]
) -> dict[str, list[Finding]]:
    """The findings of all programs, by the program's name, but for those that follow from one of another side."""
    hanging: list[_Hanging] = []
    follow: dict[tuple[str, int], list[Finding]] = {}
    kept = {name: list(some) for name, some in found.items()}
    for program in programs:
        setting = program.setting
        for one in found[setting.name]:
            cause = _cause(setting, one, hanging)
            if cause is not None:
                follow.setdefault((cause.program, cause.number), []).append(one)
                kept[setting.name] = [other for other in kept[setting.name] if other is not one]
        hanging += _hanging(program, found[setting.name])
    for (name, number), some in follow.items():
        cause_there = found[name][number]
        kept[name] = [counting(one, some) if one is cause_there else one for one in kept[name]]
    return kept


def _hanging(program: Judged, found: list[Finding]) -> list[_Hanging]:
    setting, part = program.setting, program.trial.part
    side = setting.fixture.side
    areas = [area for feature in part.partings(side) for area in shapely.get_parts(feature.area)] if part else []
    return [
        _Hanging(setting.name, number, side, area)
        for number, one in enumerate(found)
        if one.code == _HANGS_ON
        for area in areas
        if shapely.distance(area.boundary, _seen_from_front(setting, one)) < _BESIDE
    ]


def _cause(setting: Setting, one: Finding, hanging: list[_Hanging]) -> _Hanging | None:
    if one.code not in _COMES_FREE:
        return None
    place = _seen_from_front(setting, one)
    others = [each for each in hanging if each.side != setting.fixture.side]
    around = [each for each in others if shapely.distance(each.area, place) < _BESIDE]
    # Of an opening in an outline the opening's own waste is what is loose there.
    return min(around, key=lambda each: float(each.area.area), default=None)


def _seen_from_front(setting: Setting, one: Finding) -> BaseGeometry:
    fixture = setting.fixture
    return fixture.place(Point(one.place[0] + fixture.zero[0], one.place[1] + fixture.zero[1]))
