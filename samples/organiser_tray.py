"""A desk tray of 18 mm MDF with five pockets, cleared with a 6 mm cutter and finished with a 3 mm one.

    python samples/organiser_tray.py FOLDER

writes organiser_tray.nc and prints what the simulator finds in it. Clamps hold the board at its
two short sides. MDF dust is harmful: extraction at the cutter and a mask, before anything else.
The work can hurt: the machine's manual, local codes and qualified practice come first.
"""

import sys
from pathlib import Path

import toolpaths as tp

board = tp.Board(width=400, height=260, thickness=18.1, name="MDF, nominal 18", wood="MDF")
coarse = tp.Cutter(1, tp.flat(6), feed_mm_min=2400, plunge_mm_min=700, spindle_rpm=18000, step_down=4)
fine = tp.Cutter(2, tp.flat(3), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=20000, step_down=2)

# Five pockets of different shapes, as seen from above.
pens = tp.rectangle(250, 50, (165, 45), corner_radius=4)
clips = tp.ellipse(76, 90, (338, 65))
cards = tp.relieve_corners(tp.rectangle(92, 62, (86, 121)), 1.5)
coins = tp.regular_polygon(6, 70, (190, 128), angle_deg=30)
phone = (
    tp.Outline((40, 175))
    .line_to((300, 175))
    .arc_to((360, 175), centre=(330, 175))
    .line_to((360, 210))
    .tangent_arc_to((330, 238))
    .smooth_through([(250, 228), (150, 238), (60, 232)], tangent=True)
    .line_to((40, 225))
    .line_to((40, 175))
    .close()
)
posts = [tp.circle(18, (110, 205)), tp.rectangle(40, 12, (230, 200), corner_radius=3)]

side = tp.Fixture(
    board=board,
    zero_at="centre",
    clamps=(
        tp.Clamp(area=tp.rectangle(10, 60, (5, 130)), height=12),
        tp.Clamp(area=tp.rectangle(10, 60, (395, 130)), height=12),
    ),
)
setup = tp.Setup(
    side,
    name="organiser_tray",
    # In any order: the coarse cutter clears all five before the fine one is fitted, once.
    work=[
        tp.any_order(
            tp.pocket(pens, [coarse, fine], depth=12, direction="climb", finish=0.2, name="pens"),
            tp.pocket(clips, [coarse, fine], depth=10, name="clips"),
            tp.pocket(cards, [coarse, fine], depth=8, name="cards"),
            tp.pocket(coins, [coarse, fine], depth=6, name="coins"),
            tp.pocket(phone, [coarse, fine], depth=9, islands=posts, name="phone"),
        )
    ],
)
job = tp.Job("Organiser tray", [setup])


def run(folder: Path) -> tp.JobReport:
    """Judge the program against the part that the setup means, and write it if it is safe."""
    return job.write(folder)


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    report = run(folder)
    written = " ".join(sorted(path.name for path in folder.iterdir()))
    print(f"{job.title}, written to {folder}: {written}", report, *setup.notes, sep="\n")
    sys.exit(0 if report.ok else 1)
