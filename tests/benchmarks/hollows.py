"""Hollows as simulated, against closed formulas: how much wood is taken, how deep, how high the ridges stand.

    python tests/benchmarks/hollows.py

Dishes of the reference sheet (D.5): diameter D, depth d, the sphere's radius rho = (D^2/4 + d^2)/(2 d), the volume
pi d (3 D^2/4 + d^2)/6; a ball of radius R whose passes lie s apart on it leaves ridges of
rho - ((rho - R) cos(s/2rho) + sqrt(R^2 - (rho - R)^2 sin^2(s/2rho))), upright to it. Measured is the simulated board.
Goals: volume within 0.3 %, the deepest place within 0.01 mm, no place more than 0.005 mm below the sphere or the face,
ridges within 5 % of the formula for the passes as they are, and within 5 % of what was asked for.
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

import numpy as np

import toolpaths as tp
from toolpaths.making.operations.hollowing.tip_heights import TipHeights

VOLUME, DEPTH, BELOW, RIDGES = 0.003, 0.01, 0.005, 0.05
CELL, BAND = 0.125, 4.0
T1 = tp.Cutter(1, tp.flat(8), feed_mm_min=2400, spindle_rpm=18000, step_down=4)
T2 = tp.Cutter(2, tp.ball(12), feed_mm_min=3000, spindle_rpm=18000, step_down=6)


class Figures(NamedTuple):
    """Shares and mm by which a dish as cut is off the one meant.

    volume : share of the volume; deepest : mm; below : mm that any place lies too deep
    off_formula, off_asked : shares by which the ridges of a band of the surface are off, at most
    lines, minutes : of the program
    """

    volume: float
    deepest: float
    below: float
    off_formula: float
    off_asked: float
    lines: int
    minutes: float

    @property
    def met(self) -> bool:
        near = abs(self.volume) <= VOLUME and abs(self.deepest) <= DEPTH and self.below <= BELOW
        return near and max(self.off_formula, self.off_asked) <= RIDGES


def figures(diameter: float, depth: float, scallop: float = 0.02) -> Figures:
    """Of one dish, roughed with T1 and finished with T2."""
    middle, half, radius = diameter / 2 + 15, diameter / 2, T2.radius
    board = tp.Board(width=2 * middle, height=2 * middle, thickness=depth + 15)
    side = tp.Fixture(board=board, grips=(board.outline,))
    dish = tp.hollow(tp.circle(diameter, (middle, middle)), [T1, T2], depth=depth, scallop=scallop)
    text = tp.program_text(tp.Setup(side, [dish]))
    report = tp.simulate(text, side, [T1, T2], cell=CELL)
    wood, rho = report.stock, (half**2 + depth**2) / (2 * depth)
    xs, ys = np.meshgrid(wood.grid.xs(), wood.grid.ys())
    r, z = np.hypot(xs - middle, ys - middle), wood.top.astype(np.float64)
    meant = np.where(r < half, rho - depth - np.sqrt(rho**2 - np.minimum(r, half) ** 2), 0.0)
    volume = pi * depth * (3 * half**2 + depth**2) / 6
    upright = rho - np.hypot(r, z - (rho - depth))
    away = TipHeights(tp.Section.arc(width=half, depth=depth), T2.profile, half).passes(scallop)
    axis = half - away
    turn = np.arcsin(axis / (rho - radius))
    apart = -np.diff(turn) * rho
    formula = rho - (
        (rho - radius) * np.cos(apart / 2 / rho)
        + np.sqrt(radius**2 - (rho - radius) ** 2 * np.sin(apart / 2 / rho) ** 2)
    )
    # Where the ridge between two passes stands, as far from the middle as half-way between the places they touch.
    ridge_at = rho * np.sin((turn[1:] + turn[:-1]) / 2)
    off_formula, off_asked = [], []
    for low in np.arange(BAND, half - BAND, BAND):
        band = (r >= low) & (r < low + BAND)
        tall, passes = upright[band].max(), (ridge_at >= low) & (ridge_at < low + BAND)
        off_formula.append(tall / formula[passes].max() - 1)
        off_asked.append(tall / scallop - 1)
    return Figures(
        -z.sum() * CELL**2 / volume - 1,
        -depth - float(z.min()),
        float((meant - z)[np.abs(r - half) > CELL].max()),
        max(map(abs, off_formula)),
        max(map(abs, off_asked)),
        len(text.splitlines()),
        report.seconds / 60,
    )


def main() -> None:
    missed = False
    for diameter, depth in ((100, 10), (150, 20)):
        found = figures(diameter, depth)
        missed |= not found.met
        print(
            f"dish {diameter} x {depth}: volume {found.volume:+.3%} (goal {VOLUME:.1%}), "
            f"deepest {found.deepest:+.4f} mm "
            f"(goal {DEPTH:g}), below {found.below:.4f} mm (goal {BELOW:g}), ridges off the formula "
            f"{found.off_formula:.1%}, off 0.02 {found.off_asked:.1%} (goal {RIDGES:.0%}); "
            f"{found.lines} lines, {found.minutes:.0f} min"
        )
    print("goals missed" if missed else "all goals met")


if __name__ == "__main__":
    main()
