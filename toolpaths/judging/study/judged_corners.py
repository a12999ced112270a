"""A job judged at many corners: what each requirement measures there, and what is found; in shares on an executor."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
import shapely

from toolpaths.base.on_executor import as_they_come
from toolpaths.base.progress import step_by_step
from toolpaths.base.values import PickledByFields
from toolpaths.facts.part import Part
from toolpaths.judging.checks.holding.standing_tabs import standing_tabs
from toolpaths.judging.job_programs import Judged, Setting, judge_programs
from toolpaths.judging.study.at_corner import job_at, part_at
from toolpaths.judging.study.corners import NOMINAL, Corner
from toolpaths.judging.study.registration import mismatch
from toolpaths.judging.study.requirements import Question, in_moves
from toolpaths.judging.study.thickness import floors
from toolpaths.judging.study.webs import webs
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.verify import findings_of

# Findings of what the ranges move, and a requirement says.
_REQUIRED = ("tab-size",)


class Kind(NamedTuple):
    """Findings of one kind: of one code and gravity, in one program."""

    code: str
    side: str
    severity: str


class AtCorner(NamedTuple):
    """measured : the least and the greatest value of each requirement; worst : of each kind the finding farthest past
    its limit."""

    measured: tuple[tuple[float, float], ...]
    worst: dict[Kind, Finding]


@dataclass(frozen=True)
class JudgedCorners(PickledByFields):
    """A job and how far it may be off; another process works out anew what follows from that."""

    settings: tuple[Setting, ...]
    ranges: Corner
    part: Part | None
    thinnest_web: float
    cell: float

    @cached_property
    def nominal(self) -> tuple[Judged, ...]:
        """Its programs with nothing off."""
        return judge_programs(self.settings, cell=self.cell, part=self.part)

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        """What is required, marked on the nominal job."""
        tabs = [standing_tabs(program.trial) for program in self.nominal]
        rise = self.ranges.thickness + self.ranges.zero_z
        return (
            *in_moves(self.nominal, tabs, self.part, self._blur, rise),
            *floors(self.nominal, tabs, self.part, self._blur),
            *webs(self.nominal, self._blur, self.thinnest_web),
        )

    @cached_property
    def _blur(self) -> float:
        """mm by which cuts may come to lie elsewhere, sideways."""
        outline = self.settings[0].fixture.board.outline
        return mismatch(self.settings, self.ranges, shapely.get_coordinates(outline)) + self.ranges.cutter_diameter / 2

    @cached_property
    def _slack(self) -> float:
        """mm by which the ranges themselves move a wall or floor: requirements say that, and it is no gouge."""
        moves_in_depth = any(setting.fixture.zero_on != "top" for setting in self.settings)
        return moves_in_depth * self.ranges.thickness + self.ranges.zero_z + self._blur

    @cached_property
    def _before_turn(self) -> dict[Corner, tuple[Judged, ...]]:
        return {}

    def worst_at(self, corner: Corner) -> dict[Kind, Finding]:
        """What is found at a corner, of each kind the worst."""
        return _worst(self._at(corner))

    def at_all(self, corners: Sequence[Corner], executor: Executor | None) -> list[AtCorner]:
        """Each corner judged, in order, here or in shares on an executor."""
        if executor is None:
            return [self._at_one(corner) for corner in step_by_step("Studying", corners)]
        # Of each share the nominal job is judged anew.
        shares = [list(share) for share in np.array_split(np.arange(len(corners)), os.cpu_count() or 1) if len(share)]
        found: dict[int, AtCorner] = {}
        for done in as_they_come("Studying", self._share, [[corners[n] for n in share] for share in shares], executor):
            if done.error is not None:
                raise done.error
            found |= zip(shares[done.number], done.made or ())
        return [found[number] for number in range(len(corners))]

    def _share(self, corners: Sequence[Corner]) -> list[AtCorner]:
        return [self._at_one(corner) for corner in corners]

    def _at_one(self, corner: Corner) -> AtCorner:
        programs = self._at(corner)
        return AtCorner(tuple(question.measure(programs) for question in self.questions), _worst(programs))

    def _at(self, corner: Corner) -> tuple[Judged, ...]:
        if corner == NOMINAL:
            return self.nominal
        part = part_at(self.part, self.settings, corner, self._slack)
        return job_at(self.settings, corner, self.cell, part, self._before_turn)


def past(finding: Finding) -> float:
    """By how much it is past its limit."""
    return abs(finding.amount - finding.limit)


def _worst(programs: tuple[Judged, ...]) -> dict[Kind, Finding]:
    worst: dict[Kind, Finding] = {}
    for found in findings_of(programs):
        finding = found.finding
        if finding.code in _REQUIRED:
            continue
        key = Kind(finding.code, found.side, finding.severity)
        if past(finding) >= past(worst.get(key, finding)):
            worst[key] = finding
    return worst
