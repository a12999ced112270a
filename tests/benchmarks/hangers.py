"""Hanger slots and hinge cups against closed formulas, from the text alone.

    python tests/benchmarks/hangers.py

A keyhole slot with a head of 3/8 in and 1/8 in high, a neck and a shoulder of 3/16 in, 20 mm long takes
(L H + pi H^2 / 4) h + s |disc and slot|, 1563.144 mm3, and bears over (H - N) / 2, 2.38125 mm, to each side. Compared
is the solid that its written program sweeps, made by manifold3d. A hinge cup of 35 mm, 12.5 deep, takes pi / 4 D^2 t,
12026.41 mm3; compared is the wood that the simulator finds removed. Goals: within 0.15 mm3, exactly, within 0.1 %.
Told besides is how far the faces of the simulated wood and what it knows to lie below shoulders are off the first.
"""

from __future__ import annotations

import sys
from math import pi
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from solids import left_of, swept_undercut

import toolpaths as tp
from toolpaths.judging.trial.undercuts import volume_below_shoulders

HEAD, NECK, TALL, SHOULDER, LONG = 9.525, 4.7625, 3.175, 4.7625, 20.0
VOLUME, BEARING, CUP = 1563.144, 2.38125, pi / 4 * 35**2 * 12.5
BOARD = tp.Board(width=160, height=90, thickness=18)
SIDE = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
T1 = tp.Cutter(1, tp.flat(12), feed_mm_min=1500, spindle_rpm=16000)
T8 = tp.Cutter(8, tp.undercut(HEAD, TALL, NECK), feed_mm_min=800, spindle_rpm=16000)


def keyhole() -> dict[str, float]:
    """mm3 of the swept solid and of the simulated wood, and mm of bearing."""
    setup = tp.Setup(SIDE, [tp.keyhole_slot([(60, 35)], T8, depth=TALL + SHOULDER, length=LONG, heading_deg=37)])
    text = tp.program_text(setup)
    report = tp.simulate(text, SIDE, [T8], cell=0.1, part=tp.intended_part(setup))
    assert report.ok, str(report)
    left = left_of(BOARD, [swept_undercut(text, T8.profile)]).volume()
    (feature,) = tp.intended_part(setup).front
    return {
        "swept": BOARD.width * BOARD.height * BOARD.thickness - left,
        "simulated": report.stock.removed() + volume_below_shoulders(report.stock),
        "bearing": feature.bearing,
    }


def cup() -> float:
    """mm3 that the simulated wood of a hinge cup lacks."""
    work = tp.hinge_cup([(0, 90), (0, 0)], [45], T1, depth=12.5, to_edge=5, diameter=35)
    setup = tp.Setup(SIDE, [*work])
    report = tp.simulate(tp.program_text(setup), SIDE, [T1], cell=0.25, part=tp.intended_part(setup))
    assert report.ok, str(report)
    return report.stock.removed()


def main() -> None:
    found, taken = keyhole(), cup()
    rows = [
        ("keyhole, swept solid, mm3", VOLUME, found["swept"], abs(found["swept"] - VOLUME) <= 0.15),
        ("keyhole, simulated wood, mm3", VOLUME, found["simulated"], abs(found["simulated"] / VOLUME - 1) <= 0.002),
        ("keyhole, bearing, mm", BEARING, found["bearing"], abs(found["bearing"] - BEARING) < 1e-9),
        ("hinge cup, simulated wood, mm3", CUP, taken, abs(taken / CUP - 1) <= 0.001),
    ]
    for what, goal, figure, met in rows:
        print(f"{what:32} goal {goal:12.5f}  found {figure:12.5f}  {'met' if met else 'MISSED'}")


if __name__ == "__main__":
    main()
