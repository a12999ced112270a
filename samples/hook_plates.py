"""Twelve plates for coat hooks from one ash board: screw holes with countersinks on the front, hangers on the back.

    python samples/hook_plates.py FOLDER

writes front.nc and back.nc to the folder, and prints what the simulator finds in them. The work on one plate is drawn
once; where the plates, the screws and the pins go is found, and judged like places of one's own.
The work can hurt: the machine's manual, local codes and qualified practice come first.
"""

import sys
from pathlib import Path

import toolpaths as tp

# The board as measured, and the cutters with feeds tried in ash on this machine: enter your own.
board = tp.Board(width=600, height=320, thickness=18.2, name="ash, nominal 18", wood="white ash")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, plunge_mm_min=500, spindle_rpm=18000, cutting_length=32)
T2 = tp.Cutter(2, tp.drill_point(4.5), feed_mm_min=600, spindle_rpm=8000, cutting_length=40)
T3 = tp.Cutter(3, tp.v_point(12, angle_deg=90), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=16000)
T4 = tp.Cutter(4, tp.undercut(9.5, 3.2, 4.8), feed_mm_min=800, spindle_rpm=16000)
T5 = tp.Cutter(5, tp.drill_point(2.5), feed_mm_min=600, spindle_rpm=8000, cutting_length=30)

# One plate about (0, 0), seen from the front: two screws hold its hook, two hangers take screws in the wall.
outline = tp.rectangle(110, 56, corner_radius=10)
hook_screws, hangers = [(-12, 0), (12, 0)], [(-36, -4), (36, -4)]
front_work = [
    tp.drill(hook_screws, T2, depth=tp.through(0.3), depth_of="full diameter", name="screw holes"),
    tp.countersink(hook_screws, T3, diameter=9, name="countersinks"),
    tp.contour(outline, T1, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=4), name="outline"),
]
plate = tp.Template("hook plate", front_work, back=[tp.keyhole_slot(hangers, T4, depth=9, length=14, name="hangers")])

# Twelve in rows on both sides, a margin for screws and pins around them; then pins and screws in the waste.
front_side = tp.Fixture(board=board, spoilboard_depth=2, spoilboard_thickness=19)
back_side = front_side.turned_over("left to right")
layout = tp.in_rows([(plate, 12)], front_side, margin=22)
front = tp.Setup(front_side, [layout.front])
back = tp.Setup(back_side, [layout.back], after=front)
pins = tp.proposed_dowels([front, back], "left to right", diameter=8, depth=8)
held = tp.proposed_screws(
    pins.setups(T1), head_diameter=9, height=3, shank_diameter=4, length=35, held_meanwhile="two clamps at the edges"
)
job = tp.Job("Hook plates", held.setups(T5, pilot_depth=12))


def run(folder: Path) -> tp.JobReport:
    """Judge both programs, the back on what the front left, and write them if they are safe."""
    return job.write(folder)


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    report = run(folder)
    written = " ".join(sorted(path.name for path in folder.iterdir()))
    print(f"{job.title}, written to {folder}: {written}", report, sep="\n")
    sys.exit(0 if report.ok else 1)
