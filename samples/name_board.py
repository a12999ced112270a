"""A name board of 18 mm oak: letters and a border carved with a V, and an opening with a rebate for a small picture.

    python samples/name_board.py FOLDER

writes name_board.nc and prints what the simulator finds in it. The letters are strokes made as wide as a chisel; with a
font of your own take tp.letters("Linden", "font.ttf", 30) for them.
The work can hurt: the machine's manual, local codes and qualified practice come first.
It needs the extra for letters: pip install 'toolpaths[lettering]'.
"""

import sys
from pathlib import Path

import shapely

import toolpaths as tp

board = tp.Board(width=320, height=130, thickness=18, name="oak", wood="oak")
mill = tp.Cutter(1, tp.flat(6), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=18000, step_down=2, cutting_length=24)
vee = tp.Cutter(2, tp.v_point(12, 60), feed_mm_min=900, plunge_mm_min=300, spindle_rpm=18000, step_down=2)

strokes = tp.stroke_letters("Linden", 34)
name = tp.centre_on(shapely.buffer(strokes, 2.2, cap_style="square", join_style="mitre"), (200, 65))
sheet = tp.rectangle(290, 104, (160, 65))
border = sheet - tp.rectangle(284, 98, (160, 65))
picture = tp.rectangle(60, 74, (60, 65))
# The picture lies on a ledge 5 mm wide; its frame is relieved, so that square corners go in.
rebate = tp.relieve_corners(picture, 3.01)
opening = tp.round_corners(tp.rectangle(50, 64, (60, 65)), 4)

side = tp.Fixture(board=board, grips=(tp.Grip(area=board.outline, by="tape"),))
setup = tp.Setup(
    side,
    name="name_board",
    work=[
        tp.pocket(rebate, mill, depth=6, name="rebate"),
        tp.pocket(opening, mill, depth=tp.through(0.2), from_depth=6, name="opening"),
        tp.v_carve(name, vee, name="name"),
        tp.v_carve(border, vee, name="border"),
    ],
)
job = tp.Job("Name board", [setup])


def run(folder: Path) -> tp.JobReport:
    """Judge the program against the part that the setup means, and write it if it is safe."""
    return job.write(folder)


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    report = run(folder)
    written = " ".join(sorted(path.name for path in folder.iterdir()))
    print(f"{job.title}, written to {folder}: {written}", report, *setup.notes, sep="\n")
    sys.exit(0 if report.ok else 1)
