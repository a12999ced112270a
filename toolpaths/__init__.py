"""Shapes, toolpaths, G-code and its verification for two-sided work on a small router.

    import toolpaths as tp

All lengths are millimetres, `inch()` makes them from inches; other units stand in the names of
arguments. The work can hurt: the machine's manual, local codes and qualified practice come first.
"""

from toolpaths.board import Board, Clamp, Dowel, Screw, screws
from toolpaths.cutters import Cutter, ball, bull_nose, drill_point, flat, v_point
from toolpaths.depth import through
from toolpaths.errors import DoesNotFit, InputError, ProgramError, ShapeError, ToolpathsError, UnitsQuestion
from toolpaths.feeds.advice import Advice, advise
from toolpaths.feeds.check import check_cutter
from toolpaths.feeds.figure import Figure
from toolpaths.files import write_program, write_programs_by_cutter
from toolpaths.fixture import Fixture
from toolpaths.gcode.read import read
from toolpaths.gcode.write import program_text, texts_by_cutter
from toolpaths.geometry.offset import offset
from toolpaths.geometry.outline import Outline
from toolpaths.geometry.relief import relieve_corners
from toolpaths.geometry.shapes import circle, ellipse, rectangle, regular_polygon, slot
from toolpaths.geometry.transform import centre_on, mirror, mirror_half, mirror_quarter, move, resize, rotate
from toolpaths.intent import intended_part
from toolpaths.machine import Machine
from toolpaths.operations.bore import bore
from toolpaths.operations.chamfer import chamfer
from toolpaths.operations.contour import contour
from toolpaths.operations.drill import drill
from toolpaths.operations.face import face
from toolpaths.operations.groove import groove
from toolpaths.operations.pocket import pocket
from toolpaths.part import CutAlong, Part, Parting, Recess
from toolpaths.setup import Setup
from toolpaths.simulate.job.job import JobReport, verify
from toolpaths.simulate.report import Report
from toolpaths.simulate.run import simulate
from toolpaths.simulate.study.result import Study
from toolpaths.simulate.study.study import tolerance_study
from toolpaths.simulate.trial.codes import CODES
from toolpaths.tabs import Tabs
from toolpaths.units import inch
from toolpaths.woods import Species, species
from toolpaths.work import any_order, stop

__all__ = [
    "CODES",
    "Advice",
    "Board",
    "Clamp",
    "CutAlong",
    "Cutter",
    "DoesNotFit",
    "Dowel",
    "Figure",
    "Fixture",
    "InputError",
    "JobReport",
    "Machine",
    "Outline",
    "Part",
    "Parting",
    "ProgramError",
    "Recess",
    "Report",
    "Screw",
    "Setup",
    "ShapeError",
    "Species",
    "Study",
    "Tabs",
    "ToolpathsError",
    "UnitsQuestion",
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
    "write_program",
    "write_programs_by_cutter",
]
