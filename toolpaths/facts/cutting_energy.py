"""How much energy it takes to cut wood, and the force on a tooth that follows from it.

Specific cutting energy k_c is the work for a volume of chips: 1 N/mm2 = 1 J/cm3. The planning ranges at a chip of
0.1 mm are common practice and weak: softwood 15 to 40, hardwood 30 to 80, MDF 30 to 60 N/mm2. Whoever asks whether a
piece is held needs the most that it may be pushed with, so the upper ends are taken, for plywood those of hardwood,
and for a wood that is not named the highest of all.

The force does not vanish with the chip: splitting the wood takes energy by the area that is laid open, however thin
the chip. For pine that is about 1.3 kJ/m2, 13 N/mm2 at 0.1 mm (Orlowski et al., Wood Science and Technology 47, 2013,
from memory and unverified): a third of what is taken for it here, and so much is taken of every wood.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.woods import WoodKind, kind_of

# N/mm2 at a chip of _PLANNED mm: the upper ends of the planning ranges (common practice, weak).
_UPPER_ENDS: dict[WoodKind, float] = {"softwood": 40.0, "hardwood": 80.0, "plywood": 80.0, "MDF": 60.0}
_PLANNED = 0.1
# Share of that which goes with the area laid open and not with the chip's thickness.
_SPLITTING = 1 / 3
# How hard a tooth pushes square to its path, as a share of how hard it pushes along it (common practice, weak).
_RADIAL = 0.5


def cutting_energy(wood: str) -> float:
    """N/mm2, specific cutting energy of a wood at chips of 0.1 mm.

    wood : as Board names it; "" is taken for the hardest to cut

    >>> from toolpaths.facts.cutting_energy import cutting_energy
    >>> cutting_energy("ponderosa pine"), cutting_energy("oak"), cutting_energy("")
    (40.0, 80.0, 80.0)
    """
    kind = kind_of(wood)
    return _UPPER_ENDS[kind] if kind else max(_UPPER_ENDS.values())


def tooth_force(energy: float, depth: Floats, chip: Floats) -> Floats:
    """N, on a tooth in a chip of that section, along its path and square to it taken together.

    energy : N/mm2, specific cutting energy at chips of 0.1 mm
    depth, chip : mm, how deep along the cutter's axis and how thick the chip is; nothing is cut where either is 0
    """
    along = energy * depth * ((1 - _SPLITTING) * chip + _SPLITTING * _PLANNED * (chip > 0))
    return np.asarray(along * sqrt(1 + _RADIAL**2))


def cutting_power(energy: float, depth: float, width: float, feed_mm_min: float) -> float:
    """W, to cut so deep and wide at that feed, at one specific cutting energy (N/mm2) for all of the chip.

    >>> from toolpaths.facts.cutting_energy import cutting_power, mean_force
    >>> round(cutting_power(25, 6, 6, 2400), 3), round(mean_force(25, 6, 6, 2400, 6, 18000), 3)
    (36.0, 6.366)
    """
    return energy * depth * width * feed_mm_min / 60_000


def mean_force(energy: float, depth: float, width: float, feed_mm_min: float, diameter: float, rpm: float) -> float:
    """N along the path of the edges, over a whole turn: the power over the speed of the edges."""
    return cutting_power(energy, depth, width, feed_mm_min) / (pi * diameter * rpm / 60_000)
