"""A wall-hung fascia for two dials and a small display, cut from one ash board on both sides.

    python samples/weather_station.py FOLDER

writes front.nc and back.nc to the folder, and prints what the simulator finds in them.
The work can hurt: the machine's manual, local codes and qualified practice come first.
"""

import sys
from math import cos, radians, sin
from pathlib import Path

import toolpaths as tp

# The board as measured, and the cutters with feeds tried in ash on this machine: enter your own.
board = tp.Board(width=440, height=220, thickness=19.8, name="ash, nominal 20", wood="white ash")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, plunge_mm_min=500, spindle_rpm=18000, cutting_length=32)
T2 = tp.Cutter(2, tp.flat(3), feed_mm_min=900, plunge_mm_min=300, spindle_rpm=20000, cutting_length=15)
T3 = tp.Cutter(3, tp.ball(12), feed_mm_min=1500, plunge_mm_min=400, spindle_rpm=16000, cutting_length=25)
T4 = tp.Cutter(4, tp.drill_point(2.5), feed_mm_min=600, plunge_mm_min=300, spindle_rpm=8000, cutting_length=30)
T5 = tp.Cutter(5, tp.drill_point(2), feed_mm_min=600, plunge_mm_min=250, spindle_rpm=8000, cutting_length=25)
T6 = tp.Cutter(6, tp.v_point(12, angle_deg=90), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=16000)

# The outline: a quarter of two arcs, its corner rounded, mirrored twice, brought to size.
quarter = tp.Outline((0, 80), heading_deg=0).tangent_arc_to((172, 66)).arc_to((190, 0), centre=(60, 0), clockwise=True)
blank = tp.mirror_quarter(quarter)
rounded = tp.offset(tp.offset(blank, -40), 40)
outline = tp.centre_on(tp.resize(rounded, width=380, height=160), (220, 110))

dials = [(110, 110), (330, 110)]
display = (220, 110)
openings = [tp.circle(80, dial) for dial in dials] + [tp.rectangle(72, 48, display, corner_radius=3)]
recesses = [tp.circle(92, dial) for dial in dials] + [tp.relieve_corners(tp.rectangle(84, 60, display), 1.5)]
corners = [(14, 14), (426, 14), (14, 206), (426, 206)]
clips = [(170, 90), (170, 130), (270, 90), (270, 130)] + [
    (x + 54 * cos(radians(angle)), y + 54 * sin(radians(angle))) for x, y in dials for angle in (90, 210, 330)
]

# Where screws hold the board, and dowels register it when it is turned over.
DRIVE = "Drive the seven screws. Heads no higher than 2 mm above the board."
screws = tp.screws([*corners, *dials, display], head_diameter=9, height=2, driven_at=DRIVE)
dowels = tp.dowels([(12, 110), (428, 110), (220, 13)], diameter=8, depth=8)  # the third: only one way fits
front_side = tp.Fixture(
    board=board, screws=screws, dowels=dowels, spoilboard_depth=0.3,
    held_meanwhile="two low clamps, at the left and the right edge",
)  # fmt: skip
back_side = front_side.turned_over("left to right", screws=tp.screws(corners, head_diameter=9, height=2))

front = tp.Setup(
    front_side,
    work=(
        tp.drill([*corners, *dials, display], T4, depth=10, depth_of="full diameter", name="screw pilots"),
        tp.stop(DRIVE),
        tp.groove(tp.offset(outline, -12), T3, depth=3, name="ornamental groove"),
        *[tp.chamfer(opening, T6, width=1.5, side="inside", name="opening edge") for opening in openings],
        *[tp.contour(opening, T1, depth=tp.through(0.3), side="inside", name="opening") for opening in openings],
        tp.bore([(d.x, d.y) for d in dowels], 8, T1, depth=tp.through(8), name="dowel holes"),
        tp.contour(
            outline,
            T1,
            depth=tp.through(0.3),
            direction="conventional",
            entry="ramp",
            tabs=tp.Tabs(count=6, width=8, height=4),
            name="outline",
        ),
    ),
)
back = tp.Setup(
    back_side,
    after=front,  # its openings are holes by now
    work=(
        *[tp.pocket(dial, T1, depth=14, name="dial recess") for dial in recesses[:2]],
        tp.pocket(recesses[2], [T1, T2], depth=14, name="display recess"),
        tp.drill(clips, T5, depth=9, peck=3, name="clip pilots"),
    ),
)
job = tp.Job("Weather station", [front, back])


def run(folder: Path) -> tp.JobReport:
    """Judge both programs, the back on what the front left, and write them if they are safe."""
    return job.write(folder)


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    report = run(folder)
    written = " ".join(sorted(path.name for path in folder.iterdir()))
    print(
        f"{job.title}, written to {folder}: {written}",
        report,
        *(note for setup in job.setups for note in setup.notes),
        sep="\n",
    )
    sys.exit(0 if report.ok else 1)
