"""How strong wood is where little of it holds a piece: in shear, and in tension along and across the grain.

Of a species by its specific gravity G, at 12 % moisture, by the functions of the USDA Wood Handbook, FPL-GTR-190
(2010), Table 5-11a, from memory and unverified. The modulus of rupture stands for tension along the grain, of which
the book says that it is a low estimate for clear wood with a straight grain. Between along and across Hankinson's
formula holds (chapter 5). Sheet goods: common practice, weak.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.woods import SPECIES, is_species, kind_of, species


class WoodStrength(NamedTuple):
    """N/mm2 at which wood breaks: in shear along the grain, pulled along it, and pulled across it."""

    shear: float
    along: float
    across: float

    def tension(self, cosine: Floats) -> Floats:
        """N/mm2 at which it breaks when pulled at an angle to the grain, given as its cosine."""
        square = np.clip(cosine * cosine, 0.0, 1.0)
        return np.asarray(self.along * self.across / (self.along * (1 - square) + self.across * square))


_HARDEST = "hardwood"
_SHEETS = {"plywood": WoodStrength(5.0, 15.0, 15.0), "MDF": WoodStrength(5.0, 12.0, 12.0)}


def solid_wood(gravity: float, conifer: bool) -> WoodStrength:
    """Of a specific gravity, oven-dry mass over volume at 12 % moisture.

    >>> from toolpaths.facts.wood_strength import solid_wood
    >>> [round(each, 1) for each in solid_wood(0.40, conifer=True)]
    [7.6, 67.7, 2.2]
    """
    if conifer:
        return WoodStrength(16.6 * gravity**0.85, 170.7 * gravity**1.01, 6.0 * gravity**1.11)
    return WoodStrength(21.9 * gravity**1.13, 171.3 * gravity**1.13, 10.1 * gravity**1.30)


def wood_strength(wood: str) -> WoodStrength:
    """Of a wood as Board names it.

    A wood named by its kind alone is as heavy as the heaviest of that kind that is listed, and one that is not named at
    all is such a hardwood: how hard it is to cut is taken from the upper end (cutting_energy.py), and what is hard to
    cut is strong. So the caution counts once.
    """
    kind = kind_of(wood)
    if kind in _SHEETS:
        return _SHEETS[kind]
    if is_species(wood):
        found = species(wood)
        return solid_wood(found.specific_gravity, found.conifer)
    conifer = kind == "softwood"
    of_kind = [each.specific_gravity for each in SPECIES if each.conifer == conifer and each.kind == (kind or _HARDEST)]
    return solid_wood(max(of_kind), conifer)
