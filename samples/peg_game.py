"""A peg game for two, worked in inches: a maple strip with three rows of forty holes.

    python samples/peg_game.py FOLDER

writes peg_game.nc, in inches, and prints what the simulator finds in it. The strip is held by
double-sided tape, with nothing standing above it, since its whole face is levelled first.
The work can hurt: the machine's manual, local codes and qualified practice come first.
"""

import sys
from pathlib import Path

import toolpaths as tp
from toolpaths import inch

board = tp.Board(width=inch(15), height=inch(4), thickness=inch("3/4"), name="maple", wood="hard maple")
quarter_inch = tp.Cutter(
    1, tp.flat(inch("1/4")), feed_mm_min=inch(60), plunge_mm_min=inch(20), spindle_rpm=18000, cutting_length=inch(1)
)
eighth_drill = tp.Cutter(
    2, tp.drill_point(inch("1/8")), feed_mm_min=inch(30), plunge_mm_min=inch(12), spindle_rpm=7000, stick_out=inch(2)
)
levelling = tp.Cutter(
    3,
    tp.flat(inch(1)),
    feed_mm_min=inch(80),
    spindle_rpm=14000,
    step_down=inch("1/32"),
    cutting_length=inch("1/2"),
    shank_diameter=inch("1/4"),
    centre_cutting=False,
)

# Every depth counts from the face as measured, before it was levelled by so much.
levelled = inch("1/32")
middle = (inch(7.5), inch(2))
holes = [
    (middle[0] + inch(0.33) * (column - 19.5), middle[1] + inch(0.75) * row)
    for row in (-1, 0, 1)
    for column in (reversed(range(40)) if row == 0 else range(40))
]
outline = tp.rectangle(inch(14), inch(3), middle, corner_radius=inch("3/4"))

side = tp.Fixture(
    board=board,
    overhang=inch(1) + 1,
    spoilboard_depth=inch(0.02),
    grips=[board.outline],  # double-sided tape under the whole board
)
setup = tp.Setup(
    side,
    name="peg_game",
    work=(
        tp.face(board.outline, levelling, depth=levelled),
        tp.drill(
            holes, eighth_drill, depth=levelled + inch("3/8"), from_depth=levelled, peck=inch("1/8"), name="peg holes"
        ),
        tp.contour(
            outline,
            quarter_inch,
            depth=tp.through(inch(0.012)),
            from_depth=levelled,
            tabs=tp.Tabs(spacing=inch(8), width=inch("5/16"), height=inch("1/8"), slope_deg=30),
            name="outline",
        ),
    ),
)
job = tp.Job("Peg game", [setup], units="inch")


def run(folder: Path) -> tp.JobReport:
    """Judge the program against the part that the setup means, and write it if it is safe."""
    return job.write(folder)


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    report = run(folder)
    written = " ".join(sorted(path.name for path in folder.iterdir()))
    print(f"{job.title}, written to {folder}: {written}", report, *setup.notes, sep="\n")
    sys.exit(0 if report.ok else 1)
