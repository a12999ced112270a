"""Species and the kind of wood that each is run as."""

from __future__ import annotations

import pytest

from toolpaths import InputError, species
from toolpaths.facts.chip_loads import WOODS
from toolpaths.facts.woods import SPECIES, kind_of


@pytest.mark.parametrize(
    ("name", "gravity", "kind"),
    [
        ("ponderosa pine", 0.40, "softwood"), ("Sitka spruce", 0.40, "softwood"), ("Douglas-fir", 0.48, "softwood"),
        ("slash pine", 0.59, "hardwood"), ("loblolly pine", 0.51, "hardwood"), ("basswood", 0.37, "hardwood"),
        ("black cherry", 0.50, "hardwood"), ("white ash", 0.60, "hardwood"), ("beech", 0.64, "hardwood"),
    ],
)  # fmt: skip
def test_species_have_their_published_gravity_and_a_kind(name, gravity, kind):
    """Wood Handbook, Table 5-3a, and the reprints that each species names as its source."""
    found = species(name)
    assert (found.specific_gravity, found.kind, kind_of(name)) == (gravity, kind, kind)
    assert found.density_kg_m3 == pytest.approx(1120 * gravity)


def test_every_species_is_once_there_with_a_source_and_a_gravity_that_wood_can_have():
    names = [each.name.lower() for each in SPECIES]
    assert len(set(names)) == len(names) == 28
    for each in SPECIES:
        assert species(each.name) is each
        # Balsa to lignum vitae.
        assert each.source and 0.1 < each.specific_gravity < 1.3
        assert each.kind in WOODS and str(each).startswith(each.name)


def test_a_heavier_species_is_never_run_as_a_softer_kind():
    for one in SPECIES:
        for other in SPECIES:
            if one.conifer == other.conifer and one.specific_gravity <= other.specific_gravity:
                assert not (one.kind == "hardwood" and other.kind == "softwood")


def test_names_are_found_as_people_write_them():
    assert species("douglas fir") is species("  Douglas-Fir ")
    assert [kind_of(kind) for kind in ("", *WOODS)] == ["", *WOODS]


@pytest.mark.parametrize("name", ["teak", "western white pine", "oak", 3, None])
def test_an_unknown_wood_is_an_error_that_lists_what_there_is(name):
    with pytest.raises(InputError, match=r"No species .*red oak.*'softwood', 'hardwood', 'plywood', 'MDF'"):
        kind_of(name)
