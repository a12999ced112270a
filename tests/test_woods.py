"""Species and the kind of wood that each is run as."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from toolpaths import InputError, species
from toolpaths.facts.woods import SPECIES, WOOD_KINDS, kind_of


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
        assert each.kind in WOOD_KINDS and str(each).startswith(each.name)


def test_a_heavier_species_is_never_run_as_a_softer_kind():
    for one in SPECIES:
        for other in SPECIES:
            if one.conifer == other.conifer and one.specific_gravity <= other.specific_gravity:
                assert not (one.kind == "hardwood" and other.kind == "softwood")


def test_names_are_found_as_people_write_them():
    assert species("douglas fir") is species("  Douglas-Fir ")
    assert [kind_of(kind) for kind in ("", *WOOD_KINDS)] == ["", *WOOD_KINDS]
    assert [kind_of(kind) for kind in ("Softwood", "mdf", " PLYWOOD")] == ["softwood", "MDF", "plywood"]


@pytest.mark.parametrize(
    ("word", "heaviest", "kind"),
    [
        ("oak", "white oak", "hardwood"), ("Maple", "hard maple", "hardwood"), ("birch", "yellow birch", "hardwood"),
        ("ASH", "white ash", "hardwood"), ("walnut", "black walnut", "hardwood"),
        ("poplar", "yellow-poplar", "hardwood"),
        ("cherry", "black cherry", "hardwood"), ("alder", "red alder", "hardwood"), ("pine", "slash pine", "hardwood"),
        ("spruce", "Sitka spruce", "softwood"), ("cedar", "western redcedar", "softwood"),
        ("fir", "Douglas-fir", "softwood"),
        ("redwood", "old redwood", "softwood"), ("beech", "beech", "hardwood"),
    ],
)  # fmt: skip
def test_what_several_species_are_called_is_run_as_the_heaviest_of_them_and_says_so(word, heaviest, kind):
    found, heavy = species(word), species(heaviest)
    assert found.specific_gravity == heavy.specific_gravity
    assert found.kind == kind_of(word) == kind
    assert found is heavy or found.source.startswith(f"as {heaviest}, the heaviest {word.lower()} listed here: ")
    ends = (word.lower(), f"red{word.lower()}")
    others = [each for each in SPECIES if each.name.lower().replace("-", " ").split()[-1] in ends]
    assert heavy.specific_gravity == max(each.specific_gravity for each in others)


@pytest.mark.parametrize("name", ["teak", "western white pine", "wood", " ", 3, None])
def test_an_unknown_wood_is_an_error_that_lists_what_there_is(name):
    words = r"No wood .* is listed.* birch,.*; of them .*red oak.*'softwood', 'hardwood', 'plywood', 'MDF'"
    for ask in (kind_of, lambda wood: tp.Board(width=90, height=90, thickness=9, wood=wood), _advised):
        with pytest.raises(InputError, match=words):
            ask(name)


def _advised(wood: str) -> tp.Advice:
    return tp.advise(tp.flat(6), wood=wood, machine=tp.Machine())


NAMES = ["", *WOOD_KINDS, "oak", "pine", "spruce", *(each.name for each in SPECIES)]


@given(name=st.sampled_from(NAMES), data=st.data())
def test_board_and_advice_take_the_same_names_however_they_are_written(name, data):
    """The board keeps what was written; advice goes by its kind, and differs in nothing but the name."""
    written = "".join(data.draw(st.sampled_from([c.lower(), c.upper(), "-" if c in " -" else c])) for c in name)
    board = tp.Board(width=100, height=80, thickness=18, wood=written)
    assert board.wood == written
    assert kind_of(board.wood) == kind_of(name)
    assert _advised(written).figures() == _advised(kind_of(name)).figures()
    assert board.grain_direction_deg == (None if kind_of(name) in ("plywood", "MDF") else 0.0)


@pytest.mark.parametrize("wood", ["oak", "White-Oak", "spruce", "mdf"])
def test_chips_are_judged_by_the_kind_of_the_wood(wood):
    """A feed that rubs and one that is too thick: found in a species as in its kind, in the same words."""

    machine = tp.Machine(rapid_mm_min=15000)

    def found(of: str, feed: int) -> list[str]:
        board = tp.Board(width=100, height=80, thickness=18, wood=of)
        cut = f"G0 X30 Y40\nG1 Z-0.3 F300\nX70 F{feed}"
        text = f"G21 G90 G94 G17\nT1 M6\nS16000 M3\nG4 P3\nG0 Z10\n{cut}\nG0 Z10\nM5\nM30\n"
        cutter = tp.Cutter(1, tp.flat(6), 1500, 16000)
        findings = tp.simulate(text, tp.Fixture(board=board, machine=machine), [cutter]).findings
        return [finding.message for finding in findings if finding.code == "chip-load"]

    for feed in (150, 15000):
        assert found(wood, feed) == found(kind_of(wood), feed)
        assert len(found(wood, feed)) == 1
    assert found(wood, 1500) == []
