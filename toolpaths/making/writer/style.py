"""How a program is to be written: units, cycles, changes of cutter, and what the controller understands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from toolpaths.base.checks import instance, one_of
from toolpaths.base.errors import InputError
from toolpaths.facts.machine import Machine
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.number_format import UNITS, NumberFormat, Units

CycleStyle = Literal["canned", "spelled out"]
CYCLE_STYLES: tuple[CycleStyle, ...] = ("canned", "spelled out")
ToolChange = Literal["M6", "stop"]
TOOL_CHANGES: tuple[ToolChange, ...] = ("M6", "stop")


@dataclass(frozen=True, slots=True)
class Style:
    """What decides the text of a setup, besides its motion.

    tool_change : how a program changes its cutter; "" where it is for one cutter, which is fitted before it starts
    tolerance : mm, greatest distance between the paths and their text
    """

    numbers: NumberFormat
    machine: Machine
    tolerance: float
    cycles: CycleStyle
    tool_change: ToolChange | Literal[""]

    def need(self, code: str, instead: str) -> None:
        """InputError where the controller does not understand a code; the message says what would do instead."""
        if code not in self.machine.codes:
            raise InputError(f"The {self.machine.name} does not understand {code}; use {instead}.")


def style_of(setup: Setup, units: Units, cycles: CycleStyle, tool_change: ToolChange | Literal[""]) -> Style:
    """The style for a setup, its words checked."""
    instance("setup", setup, Setup)
    one_of("units", units, UNITS)
    one_of("cycles", cycles, CYCLE_STYLES)
    numbers = NumberFormat(units, setup.fixture.zero)
    return Style(numbers, setup.fixture.machine, setup.tolerance, cycles, tool_change)
