"""The public names and their homes: what type checkers read, and what the package looks names up by."""

from toolpaths.base.errors import (
    DoesNotFitError as DoesNotFitError,
    InputError as InputError,
    NotSafeError as NotSafeError,
    ProgramError as ProgramError,
    ShapeError as ShapeError,
    ToolpathsError as ToolpathsError,
    UnitsError as UnitsError,
)
from toolpaths.base.progress import Progress as Progress, progress as progress
from toolpaths.base.units import inch as inch
from toolpaths.facts.board import (
    Board as Board,
    Clamp as Clamp,
    Dowel as Dowel,
    Screw as Screw,
    dowels as dowels,
    screws as screws,
)
from toolpaths.facts.contents import (
    GoesIn as GoesIn,
    ScrewedIn as ScrewedIn,
    TurningClip as TurningClip,
    goes_in as goes_in,
    screwed_in as screwed_in,
    turning_clip as turning_clip,
)
from toolpaths.facts.cutter import Cutter as Cutter
from toolpaths.facts.depth import through as through
from toolpaths.facts.features.cone import Cone as Cone
from toolpaths.facts.features.carving import Carving as Carving
from toolpaths.facts.features.cut_along import CutAlong as CutAlong
from toolpaths.facts.features.dish import Dish as Dish
from toolpaths.facts.features.feature import Feature as Feature
from toolpaths.facts.features.keyhole import Keyhole as Keyhole
from toolpaths.facts.features.parting import Parting as Parting
from toolpaths.facts.features.recess import Recess as Recess
from toolpaths.facts.features.tapered_insert import TaperedInsert as TaperedInsert
from toolpaths.facts.fixture import Fixture as Fixture
from toolpaths.facts.grip import Grip as Grip
from toolpaths.facts.hold_down import HoldDown as HoldDown
from toolpaths.facts.machine import ALL_CODES as ALL_CODES, ARCS as ARCS, CYCLES as CYCLES, Machine as Machine
from toolpaths.facts.part import Part as Part
from toolpaths.facts.profile import (
    Profile as Profile,
    ball as ball,
    bull_nose as bull_nose,
    drill_point as drill_point,
    flat as flat,
    rounding as rounding,
    undercut as undercut,
    v_point as v_point,
)
from toolpaths.facts.section import Section as Section
from toolpaths.facts.wood_movement import wood_movement as wood_movement
from toolpaths.facts.woods import Species as Species, species as species
from toolpaths.feeds.advice import Advice as Advice, advise as advise
from toolpaths.feeds.check_cutter import check_cutter as check_cutter
from toolpaths.feeds.figure import Figure as Figure
from toolpaths.job.accept import Accept as Accept
from toolpaths.job.all_jobs import judge_all as judge_all, write_all as write_all
from toolpaths.job.calibration.gauge_piece import GaugePiece as GaugePiece, test_cut as test_cut
from toolpaths.job.calibration.least_squares import Estimate as Estimate
from toolpaths.job.calibration.measured import Measured as Measured, measured as measured
from toolpaths.job.calibration.size import Size as Size
from toolpaths.job.job import Job as Job
from toolpaths.job.outcome import Outcome as Outcome
from toolpaths.job.proposed_screws import ProposedScrews as ProposedScrews, proposed_screws as proposed_screws
from toolpaths.job.replay import Replay as Replay
from toolpaths.job.restart.restart import Restart as Restart
from toolpaths.judging.fit.inlay_fit import InlayFit as InlayFit
from toolpaths.judging.job_report import (
    AcceptedFinding as AcceptedFinding,
    JobReport as JobReport,
    SideFinding as SideFinding,
)
from toolpaths.judging.reader.motions import Program as Program
from toolpaths.judging.reader.read import read as read
from toolpaths.judging.report import Report as Report
from toolpaths.judging.simulate import simulate as simulate
from toolpaths.judging.study.result import Study as Study
from toolpaths.judging.study.study import tolerance_study as tolerance_study
from toolpaths.judging.trial.codes import CODES as CODES
from toolpaths.judging.trial.findings import Finding as Finding
from toolpaths.judging.verify import verify as verify
from toolpaths.judging.wood.field import Wood as Wood
from toolpaths.making.inlays.straight_inlay import (
    StraightInlay as StraightInlay,
    straight_inlay as straight_inlay,
)
from toolpaths.making.inlays.tapered_inlay import TaperedInlay as TaperedInlay, tapered_inlay as tapered_inlay
from toolpaths.making.motion.tabs import Tabs as Tabs
from toolpaths.making.operations.bore import Bore as Bore, bore as bore
from toolpaths.making.operations.chamfer import Chamfer as Chamfer, chamfer as chamfer
from toolpaths.making.operations.contour import Contour as Contour, contour as contour
from toolpaths.making.operations.countersink import Countersink as Countersink, countersink as countersink
from toolpaths.making.operations.drill import Drill as Drill, drill as drill
from toolpaths.making.operations.face import Face as Face, face as face
from toolpaths.making.operations.groove import Groove as Groove, groove as groove
from toolpaths.making.operations.hinge_cup import hinge_cup as hinge_cup
from toolpaths.making.operations.keyhole_slot import KeyholeSlot as KeyholeSlot, keyhole_slot as keyhole_slot
from toolpaths.making.operations.hollow import Hollow as Hollow, hollow as hollow
from toolpaths.making.operations.operation import Operation as Operation
from toolpaths.making.operations.pocket import Pocket as Pocket, pocket as pocket
from toolpaths.making.operations.v_carve import VCarve as VCarve, v_carve as v_carve
from toolpaths.making.plan.in_rows import in_rows as in_rows
from toolpaths.making.plan.layout import Layout as Layout, repeat_at as repeat_at
from toolpaths.making.operations.quarter_round import (
    CoveEdge as CoveEdge,
    RoundEdge as RoundEdge,
    cove_edge as cove_edge,
    round_edge as round_edge,
)
from toolpaths.making.plan.part_meant import intended_part as intended_part
from toolpaths.making.plan.proposed_dowels import ProposedDowels as ProposedDowels, proposed_dowels as proposed_dowels
from toolpaths.making.plan.setup import Setup as Setup
from toolpaths.making.plan.template import Template as Template
from toolpaths.making.plan.work import any_order as any_order, stop as stop
from toolpaths.making.writer.program import program_text as program_text, texts_by_cutter as texts_by_cutter
from toolpaths.show.part_drawing import part_svg as part_svg
from toolpaths.show.picture_grid import write_picture_grid as write_picture_grid
from toolpaths.show.relief_picture import relief_png as relief_png
from toolpaths.show.section_view import section_svg as section_svg
from toolpaths.lettering.letters import letters as letters
from toolpaths.lettering.stroke_letters import stroke_letters as stroke_letters
from toolpaths.shapes.offset import offset as offset
from toolpaths.shapes.outline import Outline as Outline
from toolpaths.shapes.outline_corners import chamfer_corners as chamfer_corners, round_corners as round_corners
from toolpaths.shapes.hole_patterns import (
    bolt_circle as bolt_circle,
    grid as grid,
    row as row,
    spaced_along as spaced_along,
    system_32 as system_32,
)
from toolpaths.shapes.joining import Gap as Gap, Joined as Joined, join_lines as join_lines
from toolpaths.shapes.measures import Measures as Measures, measures as measures
from toolpaths.shapes.places import place_from_corner as place_from_corner, place_from_wall as place_from_wall
from toolpaths.shapes.plain_shapes import (
    circle as circle,
    ellipse as ellipse,
    rectangle as rectangle,
    regular_polygon as regular_polygon,
    slot as slot,
)
from toolpaths.shapes.relief import relieve_corners as relieve_corners
from toolpaths.shapes.repair import Repaired as Repaired, repaired as repaired
from toolpaths.shapes.round_shapes import (
    arc_slot as arc_slot,
    flatted_hole as flatted_hole,
    keyed_hole as keyed_hole,
    ring as ring,
    slot_along as slot_along,
)
from toolpaths.shapes.shape_faults import ShapeFault as ShapeFault, shape_faults as shape_faults
from toolpaths.shapes.sides_off import SideOff as SideOff
from toolpaths.shapes.symmetrised import Symmetrised as Symmetrised, symmetrised as symmetrised
from toolpaths.shapes.symmetry import (
    mirror as mirror,
    mirror_half as mirror_half,
    mirror_quarter as mirror_quarter,
    repeat_around as repeat_around,
)
from toolpaths.shapes.transform import (
    centre_on as centre_on,
    move as move,
    resize as resize,
    rotate as rotate,
)
from toolpaths.drawings.curve_segments import Circle as Circle
from toolpaths.drawings.drawing_curve import DrawingCurve as DrawingCurve, Note as Note
from toolpaths.drawings.read_drawing import Drawing as Drawing
from toolpaths.drawings.read_svg import read_svg as read_svg
from toolpaths.drawings.read_dxf import read_dxf as read_dxf
from toolpaths.pictures.picture import Picture as Picture, read_picture as read_picture
from toolpaths.pictures.traced import Traced as Traced
from toolpaths.show.write_drawings import write_dxf as write_dxf, write_svg as write_svg
