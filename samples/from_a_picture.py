"""A wall clock of 20 mm beech in the shape of an owl, from a picture of one cut by hand from dark paper.

    python samples/from_a_picture.py FOLDER

draws the picture first, skewed, turned, blurred and noisy as such are; then writes front.nc and back.nc to the folder
and prints how far the sides of the owl were from each other, and what the simulator finds in the programs.
The work can hurt: the machine's manual, local codes and qualified practice come first.
It needs the extra for pictures: pip install 'toolpaths[pictures]'.
"""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import shapely
from PIL import Image, ImageFilter
from shapely import affinity

import toolpaths as tp


def take_picture(path: Path) -> None:
    """An owl 150 mm wide, half a millimetre a pixel."""
    half = tp.Outline((0, 75)).line_to((62, 100)).smooth_through([(60, 60), (74, 0), (48, -85)])
    owl = tp.mirror_half(half.line_to((20, -85)).line_to((0, -70)), "vertical")
    seen = affinity.rotate(affinity.skew(owl, 1.5), 2)
    y, x = np.mgrid[:480, :420]
    grey = np.where(shapely.contains_xy(seen, (x - 210) / 2, (240 - y) / 2), 45, 215)
    noisy = grey + np.random.default_rng(1).normal(0, 8, grey.shape)
    Image.fromarray(noisy.clip(0, 255).astype(np.uint8)).filter(ImageFilter.GaussianBlur(1)).save(path)


with TemporaryDirectory() as scratch:
    take_picture(Path(scratch, "owl.png"))
    picture = tp.read_picture(Path(scratch, "owl.png"), marks=[(10, 240), (410, 240)], distance=200)
even = tp.symmetrised(picture.outlines(least_mm2=20, tolerance=0.15).largest, tolerance=0.15)
owl = tp.round_corners(tp.centre_on(even.upright, (100, 120)), 4)

board = tp.Board(width=200, height=240, thickness=20, name="beech", wood="beech")
mill = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, plunge_mm_min=400, spindle_rpm=18000, step_down=3, cutting_length=32)
dowels = tp.dowels([(12, 120), (188, 120), (100, 16)], diameter=8, depth=8)  # the third: only one way fits
tape = (tp.Grip(area=board.outline, by="tape"),)
front_side = tp.Fixture(board=board, grips=tape, dowels=dowels, spoilboard_depth=0.3)
holes = tp.bore([(dowel.x, dowel.y) for dowel in dowels], 8, mill, depth=tp.through(8), name="dowel holes")
eyes = tp.pocket([tp.circle(32, (x, 172)) for x in (72, 128)], mill, depth=5, name="eyes")
front = tp.Setup(front_side, [eyes, tp.bore([(100, 110)], 10, mill, depth=tp.through(0.3), name="shaft"), holes])
works = tp.pocket(tp.relieve_corners(tp.rectangle(57, 57, (100, 110)), mill), mill, depth=12, name="works")
tabs = tp.Tabs(count=6, width=8, height=4)
outline = tp.contour(owl, mill, depth=tp.through(0.3), tabs=tabs, name="owl")
back = tp.Setup(front_side.turned_over("left to right", grips=tape), [works, outline], after=front)
job = tp.Job("Owl clock", [front, back])

if __name__ == "__main__":
    folder = Path(sys.argv[1])
    report = job.write(folder)
    written = " ".join(sorted(path.name for path in folder.iterdir()))
    print(f"{job.title}, written to {folder}: {written}", even, report, *front.notes, *back.notes, sep="\n")
    sys.exit(0 if report.ok else 1)
