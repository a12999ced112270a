"""Shapes, toolpaths, G-code and its verification for two-sided work on a small router.

    import toolpaths as tp

The work can hurt: the machine's manual, local codes and qualified practice come first.
All lengths are millimetres, inch() makes them from inches; other units stand in the names of arguments.
Places are seen from the front, from the lower-left corner of the board; depths count from its face.

Shapes       rectangle circle ellipse slot regular_polygon Outline  move rotate mirror centre_on resize
             mirror_half mirror_quarter offset relieve_corners
Facts        Board  Cutter flat ball bull_nose v_point drill_point  Machine  Fixture screws dowels Clamp
             Grip  through  inch  species
Operations   contour groove pocket drill bore countersink chamfer face  Tabs
Work         Setup stop any_order
Job          Job Accept: .programs() .report() .write(folder) .compare(folder) .study(...)
Text         program_text texts_by_cutter read
Judging      simulate verify tolerance_study CODES  Report JobReport Finding Study Wood  toolpaths.testing
Part meant   Part Recess CutAlong Parting Cone intended_part
Feeds        advise check_cutter
Errors       ToolpathsError: InputError UnitsError ShapeError DoesNotFitError ProgramError NotSafeError

help(tp.pocket) and the like say what each argument means, show an example, and name the errors.
"""

from toolpaths.base.errors import (
    DoesNotFitError,
    InputError,
    NotSafeError,
    ProgramError,
    ShapeError,
    ToolpathsError,
    UnitsError,
)
from toolpaths.base.units import inch
from toolpaths.facts.board import Board, Clamp, Dowel, Screw, dowels, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import through
from toolpaths.facts.features.cone import Cone
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.features.recess import Recess
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.grip import Grip
from toolpaths.facts.hold_down import HoldDown
from toolpaths.facts.machine import ALL_CODES, ARCS, CYCLES, Machine
from toolpaths.facts.part import Part
from toolpaths.facts.profile import Profile, ball, bull_nose, drill_point, flat, v_point
from toolpaths.facts.woods import Species, species
from toolpaths.feeds.advice import Advice, advise
from toolpaths.feeds.check_cutter import check_cutter
from toolpaths.feeds.figure import Figure
from toolpaths.job.accept import Accept
from toolpaths.job.job import Job
from toolpaths.judging.job_report import AcceptedFinding, JobReport, SideFinding
from toolpaths.judging.reader.motions import Program
from toolpaths.judging.reader.read import read
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.study.result import Study
from toolpaths.judging.study.study import tolerance_study
from toolpaths.judging.trial.codes import CODES
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.verify import verify
from toolpaths.judging.wood.field import Wood
from toolpaths.making.motion.tabs import Tabs
from toolpaths.making.operations.bore import Bore, bore
from toolpaths.making.operations.chamfer import Chamfer, chamfer
from toolpaths.making.operations.contour import Contour, contour
from toolpaths.making.operations.countersink import Countersink, countersink
from toolpaths.making.operations.drill import Drill, drill
from toolpaths.making.operations.face import Face, face
from toolpaths.making.operations.groove import Groove, groove
from toolpaths.making.operations.operation import Operation
from toolpaths.making.operations.pocket import Pocket, pocket
from toolpaths.making.plan.part_meant import intended_part
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.work import any_order, stop
from toolpaths.making.writer.program import program_text, texts_by_cutter
from toolpaths.shapes.offset import offset
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.plain_shapes import circle, ellipse, rectangle, regular_polygon, slot
from toolpaths.shapes.relief import relieve_corners
from toolpaths.shapes.transform import centre_on, mirror, mirror_half, mirror_quarter, move, resize, rotate

__all__ = [
    "ALL_CODES",
    "ARCS",
    "CODES",
    "CYCLES",
    "Accept",
    "AcceptedFinding",
    "Advice",
    "Board",
    "Bore",
    "Chamfer",
    "Clamp",
    "Cone",
    "Contour",
    "Countersink",
    "CutAlong",
    "Cutter",
    "DoesNotFitError",
    "Dowel",
    "Drill",
    "Face",
    "Feature",
    "Figure",
    "Finding",
    "Fixture",
    "Grip",
    "Groove",
    "HoldDown",
    "InputError",
    "Job",
    "JobReport",
    "Machine",
    "NotSafeError",
    "Operation",
    "Outline",
    "Part",
    "Parting",
    "Pocket",
    "Profile",
    "Program",
    "ProgramError",
    "Recess",
    "Report",
    "Screw",
    "Setup",
    "ShapeError",
    "SideFinding",
    "Species",
    "Study",
    "Tabs",
    "ToolpathsError",
    "UnitsError",
    "Wood",
    "advise",
    "any_order",
    "ball",
    "bore",
    "bull_nose",
    "centre_on",
    "chamfer",
    "check_cutter",
    "circle",
    "contour",
    "countersink",
    "dowels",
    "drill",
    "drill_point",
    "ellipse",
    "face",
    "flat",
    "groove",
    "inch",
    "intended_part",
    "mirror",
    "mirror_half",
    "mirror_quarter",
    "move",
    "offset",
    "pocket",
    "program_text",
    "read",
    "rectangle",
    "regular_polygon",
    "relieve_corners",
    "resize",
    "rotate",
    "screws",
    "simulate",
    "slot",
    "species",
    "stop",
    "texts_by_cutter",
    "through",
    "tolerance_study",
    "v_point",
    "verify",
]
