"""Drawer fronts in 300 sizes, 20 widths by 15 heights: judged and written on all cores, or on a cluster.

    python samples/size_range.py FOLDER [COUNT]            # on the cores of this machine
    python samples/size_range.py FOLDER COUNT ADDRESS      # on a running dask.distributed scheduler

Each front has a finger pull cut out of its upper edge's middle, two holes for the screws that hold it to the drawer,
and is cut free of its board with tabs. COUNT sizes are made, all 300 unless given. The work can hurt: the machine's
manual, local codes and qualified practice come first.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import Executor
from pathlib import Path

from shapely import Polygon

import toolpaths as tp

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, spindle_rpm=18000, step_down=4, cutting_length=25)
T2 = tp.Cutter(2, tp.drill_point(4), feed_mm_min=700, spindle_rpm=9000, cutting_length=30)
WIDTHS = range(110, 300, 10)  # 19 of them, and the widest below
HEIGHTS = range(80, 150, 5)
TABS = tp.Tabs(count=4, width=8, height=4)
# Room round a front for the cutter and the wood that holds it.
MARGIN = 20.0


def front(width: float, height: float) -> tp.Job:
    """The job of one size."""
    board = tp.Board(width=width + 2 * MARGIN, height=height + 2 * MARGIN, thickness=16, wood="beech")
    left, low, right, high = MARGIN, MARGIN, MARGIN + width, MARGIN + height
    outline = tp.rectangle(width, height, ((left + right) / 2, (low + high) / 2), corner_radius=4)
    pull: Polygon = tp.slot((left + width / 2 - 20, high - 25), (left + width / 2 + 20, high - 25), 22)
    holes = [(left + 30, low + 30), (right - 30, low + 30)]
    work = [
        tp.drill(holes, T2, depth=tp.through(0.5), name="screw holes"),
        tp.contour(pull, T1, depth=tp.through(0.5), side="inside", tabs=TABS, name="finger pull"),
        tp.contour(outline, T1, depth=tp.through(0.5), tabs=TABS, name="outline"),
    ]
    fixture = tp.Fixture(board=board, grips=(board.outline,), spoilboard_depth=1.0, spoilboard_thickness=18)
    return tp.Job(f"Drawer front {width:g} x {height:g}", [tp.Setup(fixture, work)])


def sizes() -> list[tuple[float, float]]:
    return [(float(width), float(height)) for height in (*HEIGHTS, 150) for width in (*WIDTHS, 300)]


def run(folder: Path, count: int, executor: Executor | None) -> Iterator[tp.Outcome]:
    """Each size as soon as it is written; on processes of this machine unless an executor is given."""
    jobs = [front(*size) for size in sizes()[:count]]
    return tp.write_all(jobs, folder, executor=executor, cell=1.0)


def main(folder: Path, count: int = 300, address: str = "") -> int:
    if address:
        from dask.distributed import Client

        executor = Client(address).get_executor()
    else:
        executor = None
    sound = total = 0
    for outcome in run(folder, count, executor):
        total += 1
        sound += outcome.ok
        print(f"{total:3d} of {count}  {outcome}")
    print(f"{sound} of {total} sizes are sound and written to {folder}.")
    return 0 if sound == total else 1


if __name__ == "__main__":
    path, *more = sys.argv[1:]
    sys.exit(main(Path(path), *([int(more[0])] if more else []), *more[1:]))
