"""A small job that has all that a restart can fall on: a row of pecked holes, a stop for screws, an entry, passes, arcs
and tabs."""

from __future__ import annotations

from functools import cache

import toolpaths as tp

DRILL = tp.Cutter(2, tp.drill_point(3), feed_mm_min=300, spindle_rpm=9000)
MILL = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, plunge_mm_min=450, spindle_rpm=18000, step_down=3)
BOARD = tp.Board(width=130, height=90, thickness=12, wood="oak")
SCREWS = tp.screws([(8, 8), (122, 8), (8, 82), (122, 82)], head_diameter=9, height=3, driven_at="Drive the screws")
FRONT = tp.Fixture(board=BOARD, screws=SCREWS, grips=(BOARD.outline,), spoilboard_depth=1.0)


@cache
def job(tool_change: str = "M6", units: str = "mm", cycles: str = "canned") -> tp.Job:
    pilots = tp.drill([(x, y) for y in (8, 82) for x in (8, 122)], DRILL, depth=10, peck=4, name="pilots")
    tray = tp.pocket(tp.rectangle(40, 30, (50, 45), corner_radius=5), MILL, depth=5, name="tray")
    hole = tp.bore([(90, 45)], 10, MILL, depth=tp.through(0.3), name="hole")
    outline = tp.contour(
        tp.rectangle(92, 56, (65, 45), corner_radius=6), MILL, depth=tp.through(0.3),
        tabs=tp.Tabs(count=4, width=6, height=4), name="outline",
    )  # fmt: skip
    setup = tp.Setup(FRONT, [pilots, tp.stop("Drive the screws"), tray, hole, outline])
    return tp.Job("Tray", [setup], units=units, cycles=cycles, tool_change=tool_change)
