"""Faults that a judge who knew nothing of the checks planted in programs of his own hand."""

from __future__ import annotations

from functools import partial

from hand_programs import PROGRAMS
from planted import Fault, planted

from toolpaths import simulate
from toolpaths.judging.report import Report


def _judge(name: str, cell: float, with_part: bool, text: str) -> Report:
    program = PROGRAMS[name]
    part = program.part() if with_part else None
    return simulate(text, program.fixture, program.cutters, cell=cell, part=part)


def _fault(
    code: str, what: str, name: str, old: str, new: str, cell: float = 0.5, found_on: str = "", part: bool = True
) -> Fault:
    return planted(code, what, PROGRAMS[name].text, old, new, partial(_judge, name, cell, part), found_on)


FAULTS = [
    # A drill goes down only; nothing else tells without the part.
    _fault(
        "drill-sideways", "the drill stays in for the mortise", "leg_mortise", "T2 M6", "T1 M6",
        found_on="G1 X146 Z-4 F500", part=False,
    ),
    _fault("drill-sideways", "G1 for the next hole of a cycle", "leg_mortise", "X115", "G1 X115 Z-5", part=False),
    _fault(
        "drill-sideways", "the message names the drill", "cupboard_knob", "(MSG, drive the middle screw and put in T2)",
        "(MSG, drive the middle screw and put in T1)", found_on="G3 X93 Y60 Z-3.1 I-33 J0 F800", part=False,
    ),
    # The walls of a cut along a line, at cells that do not show them.
    _fault("gouge", "border 0.15 mm askew", "label_border", "G1 X80 F1200", "G1 X80 Y20.15 F1200"),
    _fault("gouge", "border 0.15 mm askew, coarse", "label_border", "G1 X80 F1200", "G1 X80 Y20.15 F1200", 1.0),
    _fault("gouge", "one groove 0.12 mm beside its line", "draining_board", "G1 X60", "G1 X60.12", 1.0, "G1 Y-8"),
    _fault("gouge", "grooves 0.06 mm too deep", "draining_board", "G1 Z-3 F500", "G1 Z-3.06 F500", 1.0,
           "G1 Y108 F1200"),
    # Which cutter is in at first is not named.
    _fault(
        "unknown-tool", "the head forgets the drill", "cupboard_knob", "(knob 60 mm; T1 is in, drill 4)",
        "(knob 60 mm)", found_on="G1 Z-15.3 F250",
    ),
    _fault("unreadable", "a centre on the wrong side", "cupboard_knob", "X93 Y60", "X39 Y60",
           found_on="G3 X93 Y60 Z-3.1 I-33 J0 F800"),
]  # fmt: skip
