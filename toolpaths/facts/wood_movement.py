"""How much wider a board gets across its grain when it takes up moisture.

The change is width * C * change of moisture in % (Wood Handbook, FPL-GTR-190, ch. 13), good from 6 to 14 % moisture.
C differs with the way in which the rings stand: least where they stand upright on the face (quarter sawn, radial), most
where they lie along it (flat sawn, tangential); most boards are between.
"""

from __future__ import annotations

from typing import NamedTuple

from toolpaths.base.checks import between, positive, shown
from toolpaths.base.errors import InputError
from toolpaths.facts.woods import is_species, species


class Movement(NamedTuple):
    """Change of width by width, for each 1 % of moisture: radial and tangential; and where that is from."""

    radial: float
    tangential: float
    source: str


_HANDBOOK = "USDA Wood Handbook, FPL-GTR-190 (2010), Table 13-5"
_DERIVED = "from the shrinkage in the USDA Wood Handbook, FPL-GTR-190 (2010), Table 4-3"
_MEMORY = "Wood Handbook, Table 13-5, from memory and unverified"
_LISTED = {
    "black cherry": Movement(0.00126, 0.00248, _HANDBOOK),
    "black walnut": Movement(0.00190, 0.00274, _HANDBOOK),
    "white ash": Movement(0.00169, 0.00274, _HANDBOOK),
    "beech": Movement(0.00190, 0.00431, _HANDBOOK),
    "basswood": Movement(0.00230, 0.00330, _HANDBOOK),
    "hard maple": Movement(0.00165, 0.00353, _HANDBOOK),
    "red maple": Movement(0.00137, 0.00289, _HANDBOOK),
    "red oak": Movement(0.00158, 0.00369, _HANDBOOK),
    "white oak": Movement(0.00180, 0.00365, _HANDBOOK),
    "yellow-poplar": Movement(0.00158, 0.00289, _DERIVED),
    "Douglas-fir": Movement(0.00165, 0.00267, _DERIVED),
    "eastern white pine": Movement(0.00071, 0.00212, _MEMORY),
    "ponderosa pine": Movement(0.00133, 0.00216, _MEMORY),
    "loblolly pine": Movement(0.00165, 0.00259, _MEMORY),
    "western redcedar": Movement(0.00111, 0.00234, _MEMORY),
}
# % of moisture from the driest to the dampest for which the coefficients are good.
_MOST = 8.0


def movement(wood: str) -> Movement | None:
    """Of a wood; None where it is no species, or none whose coefficients are listed.

    Of what several species are called together, from the least to the most of those that are listed.
    """
    if not is_species(wood):
        return None
    name = species(wood).name
    mine = [each for listed, each in _LISTED.items() if name in (listed, listed.split()[-1], listed.split("-")[-1])]
    if not mine:
        return None
    most = max(mine, key=lambda each: each.tangential)
    return Movement(min(each.radial for each in mine), most.tangential, most.source)


def wood_movement(wood: str, width: float, *, moisture_change: float) -> tuple[float, float]:
    """Return by how much a board gets wider, or narrower, across its grain, mm: quarter sawn and flat sawn.

    wood : a species, as species() takes it
    width : mm across the grain
    moisture_change : % of moisture content, by the oven-dry mass, below 0 where it dries

    >>> from toolpaths import wood_movement
    >>> [round(mm, 2) for mm in wood_movement("red oak", 200, moisture_change=4)]
    [1.26, 2.95]

    Raises InputError for a wood whose coefficients are not listed, and for a change beyond 8 %.

    Source: USDA Wood Handbook, FPL-GTR-190 (2010), ch. 13.
    """
    width = positive("width", width)
    moisture_change = between("moisture_change", moisture_change, low=-_MOST, high=_MOST)
    found = movement(species(wood).name)
    if found is None:
        raise InputError(f"How {shown(wood)} moves is not listed; {', '.join(sorted(_LISTED))} are.")
    return found.radial * width * moisture_change, found.tangential * width * moisture_change
