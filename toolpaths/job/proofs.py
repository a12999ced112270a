"""What is proved of each setup of a job, from the texts of its programs."""

from __future__ import annotations

from collections.abc import Mapping

from toolpaths.facts.part import Part
from toolpaths.job.judged import cutters_of
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.program import ProgramText
from toolpaths.proving.proof import WITHIN, Proof, prove


def proof_of(programs: Mapping[str, ProgramText], setup: Setup, part: Part) -> Proof:
    """What is proved of a setup. programs : its own, in running order"""
    # A path may lie beside its shape by the setup's own tolerance, and walls are off by less than all of it.
    within = max(WITHIN, 1.6 * setup.tolerance)
    return prove([made.text for made in programs.values()], part, setup.fixture, cutters_of([setup]), within=within)
