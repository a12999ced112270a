"""Woods by the names that people use, how heavy each is, and which of the chart makers' kinds it is run as.

A wood is named by its kind, by its species ("red oak"), by what several species are called together ("oak"), or not
at all (""). Board and advise() take the same names.

Specific gravity is oven-dry mass over volume at 12 % moisture; the density at 12 % is 1120 kg/m3
times it. Density is only a rough predictor of cutting force (D. Chuchala et al., BioResources 9(3),
2014), so it moves a species to the harder kind and never to the softer one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from toolpaths.base.checks import shown
from toolpaths.base.errors import InputError
from toolpaths.base.values import fields_in_a_line

# Kinds of wood as charts are printed for; "" is a wood that was not named.
WoodKind = Literal["softwood", "hardwood", "plywood", "MDF", ""]
WOOD_KINDS: tuple[WoodKind, ...] = ("softwood", "hardwood", "plywood", "MDF")
# A conifer as heavy as this is run as hardwood: it has smaller chips (common practice, no source).
_HEAVY = 0.50


@dataclass(frozen=True, slots=True)
class Species:
    """A species by its trade name, or several under one; `conifer` is what botany calls a softwood.

    >>> from toolpaths import species
    >>> print(species("white ash"))
    white ash, specific gravity 0.6 (a list of strength properties laid out like the Wood Handbook's Table 5-3)
    """

    name: str
    conifer: bool
    specific_gravity: float
    source: str

    __repr__ = fields_in_a_line

    @property
    def kind(self) -> Literal["softwood", "hardwood"]:
        """The column of the charts by which it is run."""
        return "softwood" if self.conifer and self.specific_gravity < _HEAVY else "hardwood"

    @property
    def density_kg_m3(self) -> float:
        """At 12 % moisture."""
        return 1120 * self.specific_gravity

    def __str__(self) -> str:
        return f"{self.name}, specific gravity {self.specific_gravity:g} ({self.source})"


_HANDBOOK = "USDA Wood Handbook, FPL-GTR-190 (2010), Table 5-3a"
_OREGON = "Oregon Wood Innovation Center, citing the Wood Handbook"
_ARMY = "TM 5-852-4, Table 2-2, crediting the Forest Products Laboratory"
_LIST = "a list of strength properties laid out like the Wood Handbook's Table 5-3"
_MEMORY = "Wood Handbook, Table 5-3, from memory and unverified"

_CONIFERS = {
    _HANDBOOK: {
        "ponderosa pine": 0.40, "red pine": 0.46, "sugar pine": 0.36, "shortleaf pine": 0.51, "slash pine": 0.59,
        "old redwood": 0.40, "young redwood": 0.35,
    },
    _OREGON: {"Douglas-fir": 0.48, "Engelmann spruce": 0.35, "western hemlock": 0.45},
    _ARMY: {"lodgepole pine": 0.41, "loblolly pine": 0.51, "Sitka spruce": 0.40},
    _MEMORY: {"eastern white pine": 0.35, "western redcedar": 0.32},
}  # fmt: skip
_BROADLEAVES = {
    _LIST: {
        "white ash": 0.60, "red alder": 0.41, "yellow birch": 0.62, "beech": 0.64, "black cherry": 0.50,
        "basswood": 0.37, "quaking aspen": 0.38, "red maple": 0.54,
    },
    _MEMORY: {
        "black walnut": 0.55, "yellow-poplar": 0.42, "hard maple": 0.63, "red oak": 0.63, "white oak": 0.68,
    },
}  # fmt: skip

SPECIES = tuple(
    Species(name, conifer, gravity, source)
    for conifer, sources in ((True, _CONIFERS), (False, _BROADLEAVES))
    for source, names in sources.items()
    for name, gravity in names.items()
)


# What species are called together is the last word of their names, but for this one.
_TOGETHER = {"redcedar": "cedar"}


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())


def _heaviest_of_each() -> dict[str, Species]:
    """By the word for several species, the heaviest of them: what is taken for it is rather too hard than too soft."""
    found: dict[str, Species] = {}
    for each in sorted(SPECIES, key=lambda species: species.specific_gravity):
        word = _plain(each.name).split()[-1]
        word = _TOGETHER.get(word, word)
        found[word] = replace(each, name=word, source=f"as {each.name}, the heaviest {word} listed here: {each.source}")
    return found


_KINDS: dict[str, WoodKind] = {_plain(kind): kind for kind in WOOD_KINDS}
_BY_WORD = _heaviest_of_each()
_BY_NAME = _BY_WORD | {_plain(each.name): each for each in SPECIES}


def species(name: str) -> Species:
    """The species of that name; capitals, hyphens and spaces do not matter.

    name : "red oak", "Douglas-fir"; or "oak", "pine", which is run as the heaviest of those that are listed

    >>> from toolpaths import species
    >>> species("Red Oak").kind, species("slash pine").kind
    ('hardwood', 'hardwood')
    >>> species("oak").specific_gravity == species("white oak").specific_gravity
    True

    Raises InputError for a name that is not listed, which tells those that are.
    """
    found = _BY_NAME.get(_plain(name)) if isinstance(name, str) else None
    if found is None:
        kinds, words = ", ".join(map(repr, WOOD_KINDS)), ", ".join(sorted(_BY_WORD))
        names = ", ".join(sorted(each.name for each in SPECIES))
        raise InputError(f"No wood {shown(name)} is listed. There are {words}; of them {names}; or say {kinds}.")
    return found


def is_species(wood: str) -> bool:
    """Whether a wood is named by its species, or by what several are called together."""
    return _plain(wood) in _BY_NAME


def kind_of(wood: str) -> WoodKind:
    """The kind of wood that a kind or a species is, or "" for a wood that is not named.

    >>> kind_of("oak"), kind_of("mdf"), kind_of("Sitka spruce")
    ('hardwood', 'MDF', 'softwood')

    Raises InputError for a name that is not listed.
    """
    if isinstance(wood, str) and wood == "":
        return ""
    known = _KINDS.get(_plain(wood)) if isinstance(wood, str) else None
    return known or species(wood).kind


def wood_name(name: str, wood: str) -> str:
    """The name of a wood that is listed, as it was written; "" where it is not said."""
    kind_of(wood)
    return str(wood)
