"""A round seat for a three-legged stool: dished on top, its edge rounded, three sockets for legs below.

    python samples/stool_seat.py FOLDER

writes front.nc and back.nc to the folder, and prints what the simulator finds in them. The machine bores upright: the
sockets begin so, and are brought to the splay of the legs by hand, with a guide block cut to that angle.
The work can hurt: the machine's manual, local codes and qualified practice come first.
"""

import sys
from pathlib import Path

import toolpaths as tp

# The board as measured, and the cutters with feeds tried in ash on this machine: enter your own.
board = tp.Board(width=420, height=380, thickness=32.2, name="ash, nominal 32", wood="white ash")
T1 = tp.Cutter(1, tp.flat(8), feed_mm_min=2400, plunge_mm_min=600, spindle_rpm=18000, step_down=4, cutting_length=42)
T2 = tp.Cutter(2, tp.ball(20), feed_mm_min=3000, plunge_mm_min=600, spindle_rpm=16000, step_down=5, cutting_length=30)
T3 = tp.Cutter(3, tp.rounding(8, 6), feed_mm_min=1500, spindle_rpm=16000, step_down=3, cutting_length=16)

middle = (210, 200)
seat = tp.circle(320, middle)
legs = tp.bolt_circle(3, 200, middle, first_deg=90)

corners = [(15, 15), (405, 15), (15, 365), (405, 365)]
screws = tp.screws(corners, head_diameter=9, height=3)
dowels = tp.dowels([(20, 200), (400, 200), (210, 16)], diameter=10, depth=8)  # the third: only one way fits
top = tp.Fixture(board=board, screws=screws, dowels=dowels)
below = top.turned_over("left to right", screws=screws)

front = tp.Setup(
    top,
    [
        tp.bore([(pin.x, pin.y) for pin in dowels], 10, T1, depth=tp.through(8), name="dowel holes"),
        tp.hollow(tp.circle(280, middle), [T1, T2], depth=10, name="dished seat"),
        tp.round_edge(seat, T3, name="rounded edge"),
        tp.contour(seat, T1, depth=tp.through(0.3), tabs=tp.Tabs(count=5, width=10, height=5), name="outline"),
    ],
)
back = tp.Setup(below, [tp.pocket([tp.circle(25, leg) for leg in legs], T1, depth=20, name="leg sockets")], after=front)
job = tp.Job(
    "Stool seat",
    [front, back],
    afterwards=["Bring the sockets to the splay of the legs with a guide block, each towards the middle of the seat."],
)


def run(folder: Path) -> tp.JobReport:
    """Judge both programs, the back on what the front left, and write them if they are safe."""
    return job.write(folder)


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    report = run(folder)
    written = " ".join(sorted(path.name for path in folder.iterdir()))
    print(f"{job.title}, written to {folder}: {written}", report, *front.notes, *back.notes, sep="\n")
    sys.exit(0 if report.ok else 1)
