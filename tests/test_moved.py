"""An operation moved: all that it says of where it lies goes along, and nothing else; whatever operation it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

import argument_calls
import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

import toolpaths as tp
from toolpaths.shapes.placement import Placement

PACKAGE = Path(tp.__file__).parent
FIXTURE = tp.Fixture(board=tp.Board(width=400, height=400, thickness=18), overhang=40)
AWAY, TURNED = Placement(16.0, -8.0), Placement(170.0, 80.0, 90.0)
# Pairs of numbers that are no place, by class and field.
NO_PLACE: set[tuple[str, str]] = set()


def _concrete(kind: type[tp.Operation]) -> Iterator[type[tp.Operation]]:
    """Those of which there are no narrower kinds."""
    for below in kind.__subclasses__():
        yield from _concrete(below)
    if not kind.__subclasses__():
        yield kind


@cache
def operation_classes() -> dict[str, type[tp.Operation]]:
    """Every operation there is, by its name."""
    for path in sorted((PACKAGE / "making" / "operations").rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        import_module(".".join(parts))
    # Tests that ran before may have made some of their own.
    return {kind.__name__: kind for kind in _concrete(tp.Operation) if kind.__module__.startswith("toolpaths.")}


@cache
def samples() -> tuple[tp.Operation, ...]:
    """Operations of every class with every argument given; contours with tabs at places as well, and what
    only inlays make."""
    made = [call.with_("", None) for call in argument_calls.CALLS if call.name in operation_classes()]
    with_tabs = [each for each in made if isinstance(each, tp.Contour) and each.tabs]
    at_points = tp.Tabs(width=5, height=3, points=((60, 28), (60, 52)))
    inlays = [call.with_("", None) for call in argument_calls.CALLS if call.name == "tapered_inlay"]
    of_inlays = [operation for inlay in inlays for operation in (*inlay.recess, *inlay.insert)]
    return (*made, *of_inlays, *[replace(each, tabs=at_points) for each in with_tabs[:1]])


def places(value: Any) -> Any:
    """The places that a value holds, (n, 2), however deep; None where it holds none."""
    if isinstance(value, BaseGeometry):
        return None if value.is_empty else shapely.get_coordinates(value)
    if isinstance(value, tp.Cutter) or not (isinstance(value, tuple) or is_dataclass(value)):
        return None
    if isinstance(value, tuple) and len(value) == 2 and all(isinstance(each, float) for each in value):
        return np.array([value])
    held = value if isinstance(value, tuple) else [getattr(value, field.name) for field in fields(value)]
    found = [each for each in map(places, held) if each is not None]
    return np.vstack(found) if found else None


def located(operation: tp.Operation) -> dict[str, Any]:
    """Its fields that hold places."""
    found = {field.name: places(getattr(operation, field.name)) for field in fields(operation)}
    return {
        name: each
        for name, each in found.items()
        if each is not None and (type(operation).__name__, name) not in NO_PLACE
    }


def test_every_operation_is_tried():
    assert {type(each).__name__ for each in samples()} == set(operation_classes())
    assert {(type(each).__name__, name) for each in samples() for name in located(each)} >= {
        ("Contour", "shape"), ("Contour", "start"), ("Contour", "tabs"), ("Pocket", "islands"), ("Pocket", "cleared"),
        ("Groove", "line"), ("Drill", "places"), ("Face", "shape"),
    }  # fmt: skip


def test_places_are_seen_however_deep_they_lie():
    """The walk itself: a new field of a kind that it does not know would be passed over."""

    @dataclass(frozen=True)
    class Held:
        tabs: tp.Tabs
        shapes: tuple[BaseGeometry, ...]

    held = Held(tp.Tabs(width=5, height=3, points=[(1, 2)]), (shapely.Point(3, 4), shapely.Polygon()))
    assert places(held).tolist() == [[1, 2], [3, 4]]
    assert places((("a", 1.0), 2.0, None)) is None


@pytest.mark.parametrize("number", range(len(samples())))
def test_all_that_lies_somewhere_is_moved_and_nothing_else(number):
    drawn = samples()[number]
    moved = drawn.moved(AWAY.x, AWAY.y)
    where = located(drawn)
    assert where and located(moved).keys() == where.keys()
    for field in fields(drawn):
        before, after = getattr(drawn, field.name), getattr(moved, field.name)
        if field.name in where:
            np.testing.assert_array_equal(places(after), where[field.name] + [AWAY.x, AWAY.y])
        else:
            assert after == before, field.name
    assert drawn.moved(0, 0) == drawn


@pytest.mark.parametrize("number", range(len(samples())))
def test_what_is_meant_of_it_moves_and_turns_with_it(number):
    """The part meant, independent of the fields: each feature as it was, turned by a quarter and moved."""
    drawn = samples()[number]
    moved = drawn.moved(TURNED.x, TURNED.y, turned_deg=90)
    for one, other in zip(drawn.features(0.01), moved.features(0.01), strict=True):
        turned = shapely.affinity.translate(shapely.affinity.rotate(one.shape, 90, origin=(0, 0)), 170, 80)
        for a, b in ((turned, other.shape), (other.shape, turned)):
            assert shapely.hausdorff_distance(a, b) < 1e-3
        wide = [each.taken(4.0, 3.0).area for each in (one, other)]
        assert wide[0] == pytest.approx(wide[1], rel=1e-4) and type(one) is type(other)
    assert moved.depths(FIXTURE) == drawn.depths(FIXTURE) and moved.title == drawn.title


def test_rows_of_a_face_turn_with_it():
    drawn = tp.face(tp.rectangle(60, 40, (30, 20)), argument_calls.T7, depth=0.8, angle_deg=10)
    one, other = (each.toolpaths(FIXTURE)[0] for each in (drawn.moved(120, 120), drawn.moved(200, 150, turned_deg=30)))
    here, there = (np.array([(move.x, move.y) for move in path.moves]) for path in (one, other))
    expected = Placement(200, 150, 30).places(here - [120, 120])
    np.testing.assert_allclose(there, expected, atol=1e-9)


def test_operations_made_at_moved_shapes_are_those_moved():
    """The values themselves, fields and hash, where the floats add up alike."""
    T1, T2 = argument_calls.T1, argument_calls.T2

    def plate(x: float, y: float) -> list[tp.Operation]:
        return [
            tp.drill([(x - 8, y), (x + 8, y)], argument_calls.T4, depth=5),
            tp.pocket(tp.rectangle(40, 24, (x, y)), [T1, T2], depth=4, islands=tp.rectangle(8, 4, (x, y))),
            tp.contour(tp.rectangle(64, 48, (x, y)), T1, depth=tp.through(), start=(x, y - 24),
                       tabs=tp.Tabs(width=5, height=3, points=[(x - 32, y), (x + 32, y)])),
        ]  # fmt: skip

    for drawn, made in zip(plate(0, 0), plate(120, 64), strict=True):
        assert drawn.moved(120, 64) == made and hash(drawn.moved(120, 64)) == hash(made)


def test_a_part_name_stands_before_the_name():
    bore = tp.bore([(60, 40)], 8, argument_calls.T1, depth=5, name="hole")
    named = replace(bore, part_name="plate 3")
    assert named.title == "plate 3: hole" and named.own_title == "hole" and bore.title == "hole"
    assert [feature.name for feature in named.features(0.01)] == ["plate 3: hole"]
    with pytest.raises(tp.InputError, match="part_name"):
        replace(bore, part_name="plate (3)")


@pytest.mark.parametrize(("dx", "turned"), [("1", 0), (float("nan"), 0), (20000, 0), (1, None)])
def test_what_is_no_number_is_refused(dx, turned):
    with pytest.raises(tp.InputError):
        samples()[0].moved(dx, 0, turned_deg=turned)
