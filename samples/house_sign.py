"""An oval house sign of 18 mm oak from a drawing: a sun over hills, a number in a V groove, two holes to hang it by.

    python samples/house_sign.py FOLDER

reads house_sign.svg, which lies beside it, writes house_sign.nc and prints what the simulator finds in it.
The work can hurt: the machine's manual, local codes and qualified practice come first.
It needs the extra for drawings: pip install 'toolpaths[drawings]'.
"""

import sys
from pathlib import Path

import toolpaths as tp

board = tp.Board(width=260, height=150, thickness=18, name="oak", wood="oak")
mill = tp.Cutter(1, tp.flat(3), feed_mm_min=900, plunge_mm_min=300, spindle_rpm=18000, step_down=1.5, cutting_length=24)
point = tp.Cutter(2, tp.v_point(12, 90), feed_mm_min=900, plunge_mm_min=300, spindle_rpm=18000, step_down=2)

drawing = tp.read_svg(Path(__file__).with_suffix(".svg"))


def placed(shape):
    """The drawing's sheet stands 20 and 15 mm inside the board."""
    return tp.move(shape, 20, 15)


landscape = [placed(area) for area in drawing.areas(name="landscape")]
number = [placed(line) for line in drawing.lines(name="number")]
holes = [placed(tp.circle(each.diameter, each.centre)) for each in drawing.circles()]
(outline,) = [placed(area) for area in drawing.areas(name="board")]

side = tp.Fixture(board=board, grips=(tp.Grip(area=board.outline, by="tape"),))
setup = tp.Setup(
    side,
    name="house_sign",
    work=[
        tp.pocket(landscape, mill, depth=3, name="landscape"),
        tp.pocket(holes, mill, depth=tp.through(0.2), name="holes"),
        tp.groove(number, point, depth=2, name="number"),
        tp.contour(outline, mill, depth=tp.through(0.2), tabs=tp.Tabs(count=4, width=8, height=4), name="outline"),
    ],
)
job = tp.Job("House sign", [setup])


def run(folder: Path) -> tp.JobReport:
    """Judge the program against the part that the setup means, and write it if it is safe."""
    return job.write(folder)


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    report = run(folder)
    written = " ".join(sorted(path.name for path in folder.iterdir()))
    print(f"{job.title}, written to {folder}: {written}", report, *setup.notes, sep="\n")
    sys.exit(0 if report.ok else 1)
