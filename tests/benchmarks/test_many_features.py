"""The benchmark runs on few features, and nothing is asserted about time: what is counted is work."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest
import shapely

from toolpaths.facts.features import surfaces, within_reach
from toolpaths.judging.checks.part import target
from toolpaths.judging.trial import cuts_over_places, exact_heights, places_in_cells
from toolpaths.judging.wood import raster

BENCH = runpy.run_path(str(Path(__file__).with_name("many_features.py")))
ALL = [*BENCH["KINDS"], BENCH["MIXED"]]


def test_both_are_measured():
    without, with_part = BENCH["measure"](BENCH["program"]("grooves", 3), 1.0, 1)
    assert min(without, with_part) > 0


@pytest.mark.sample(1)
@pytest.mark.parametrize("kind", ALL)
def test_work_for_the_part_grows_no_faster_than_its_features(kind, monkeypatch):
    """Five times the features cost at most a tenth more than five times the cells, the pairs of place and cut, and the
    areas made."""
    counted = {"pairs": 0, "cells": 0, "areas": 0}

    def counting(room, name, what, size):
        plain = getattr(room, name)

        def wrapped(*args, **kwargs):
            found = plain(*args, **kwargs)
            counted[what] += size(args, found)
            return found

        monkeypatch.setattr(room, name, wrapped)

    counting(cuts_over_places, "cuts_near", "pairs", lambda args, found: len(found[0]))
    counting(raster, "cells", "cells", lambda args, found: len(found[0]))
    counting(target, "cells_beside", "cells", lambda args, found: len(found[0]))
    counting(surfaces, "reachable", "areas", lambda args, found: 1)
    work = []
    for number in (5, 25):
        judged = BENCH["program"](kind, number)
        counted.update(dict.fromkeys(counted, 0))
        judged.judge(1.0, judged.part)
        work.append(dict(counted))
    few, many = work
    assert max(few.values()) > 0
    assert {what: (few[what], many[what]) for what in counted if many[what] > 5.5 * few[what] + 5} == {}


@pytest.mark.sample(1)
@pytest.mark.parametrize("kind", ALL)
def test_what_cannot_cut_lower_is_not_looked_at_closer(kind, monkeypatch):
    """For the part at most six cuts are looked at closely over each place: none that lie beside it, few above another.
    It was 31 over chamfered holes and 12 over the tabs of plates."""
    counted = {"pairs": 0, "places": 0}
    near, sorted_places = cuts_over_places.cuts_near, places_in_cells.sorted_into_cells

    def looked_at(*args):
        some, z = near(*args)
        counted["pairs"] += len(some)
        return some, z

    def places_of(places):
        counted["places"] += len(places)
        return sorted_places(places)

    monkeypatch.setattr(cuts_over_places, "cuts_near", looked_at)
    monkeypatch.setattr(exact_heights, "sorted_into_cells", places_of)
    monkeypatch.setattr(target, "sorted_into_cells", places_of)
    judged, spent = BENCH["program"](kind, 12), []
    for part in (None, judged.part):
        counted.update(pairs=0, places=0)
        judged.judge(1.0, part)
        spent.append(dict(counted))
    without, with_part = spent
    assert with_part["pairs"] - without["pairs"] < 6 * (with_part["places"] - without["places"])


@pytest.mark.long
def test_of_sound_floors_no_exact_area_is_made(monkeypatch):
    """Rings that are cut as they are drawn have no corners to be looked at closer, whatever their number."""
    made = []
    plain = within_reach.reachable

    def reachable(area: shapely.Geometry, radius: float) -> shapely.Geometry:
        made.extend([area] * (radius > 0))
        return plain(area, radius)

    monkeypatch.setattr(surfaces, "reachable", reachable)
    judged = BENCH["program"]("ring pockets", 20)
    judged.judge(0.5, judged.part)
    assert made == []
