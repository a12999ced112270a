"""Shapes, toolpaths, G-code and its verification for two-sided work on a small router.

    import toolpaths as tp

The work can hurt: the machine's manual, local codes and qualified practice come first.
All lengths are millimetres, inch() makes them from inches; other units stand in the names of arguments.
Places are seen from the front, from the lower-left corner of the board; depths count from its face.

Shapes       rectangle circle ellipse regular_polygon ring slot arc_slot slot_along keyed_hole flatted_hole
             Outline join_lines (Joined Gap) shape_faults repaired (ShapeFault Repaired)
             mirror mirror_half mirror_quarter repeat_around  row grid bolt_circle spaced_along system_32
             move rotate centre_on resize offset  round_corners chamfer_corners relieve_corners
             place_from_corner place_from_wall  measures (Measures)  letters stroke_letters
Drawings     read_svg read_dxf (Drawing DrawingCurve Circle Note)  write_svg write_dxf
             pictures: read_picture (Picture Traced) write_picture_grid  symmetrised (Symmetrised SideOff)
Facts        Board  Cutter flat ball bull_nose v_point drill_point undercut rounding  Machine  Fixture
             screws dowels Clamp Grip through inch species wood_movement  proposed_screws proposed_dowels Tabs
Operations   contour groove pocket drill bore countersink face  chamfer round_edge cove_edge  keyhole_slot
             hinge_cup hollow v_carve  straight_inlay tapered_inlay  Setup stop any_order
Job          Job Accept: .programs() .report() .write(folder) .sheet() .compare(folder) .study() fit: InlayFit
             Restart: job.restart(program, line=...)  Replay: job.replay(program).write("front.html")
Test cut     test_cut measured Size: cutter, axes and zeros from a scrap  GaugePiece Measured Estimate
Text, feeds  program_text texts_by_cutter read    advise check_cutter    progress  judge_all write_all Outcome
Judging      simulate verify tolerance_study CODES  Report JobReport Finding Study Wood  toolpaths.testing
Part meant   Part Recess CutAlong Parting Cone Keyhole Dish (Section) Carving TaperedInsert intended_part
Contents     goes_in screwed_in turning_clip: judged  Many parts: Template repeat_at in_rows (Layout)
Pictures     part_svg section_svg relief_png; setups, jobs, parts and reports show themselves in a notebook
Errors       ToolpathsError: InputError UnitsError ShapeError DoesNotFitError ProgramError NotSafeError

help(tp.pocket) and the like say what each argument means, show an example, and name the errors.
"""

from toolpaths.base.names_on_demand import names_on_demand

__all__, __getattr__, __dir__ = names_on_demand(__name__, __file__)
