"""A short route through many places: which thing is done next, and from which of its ends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple

from toolpaths.base.errors import InputError, Point
from toolpaths.making.motion.before import Before
from toolpaths.making.motion.shorter_tour import shorten
from toolpaths.making.motion.shortest_tour import is_small, make_shortest
from toolpaths.making.motion.tour import Ends, Rise, Tour

# How things are visited: along a short route, or as given.
Order = Literal["short", "as given"]
ORDERS: tuple[Order, ...] = ("short", "as given")


class Visit(NamedTuple):
    """One thing of the route: its number, and which of its pairs of ends is taken."""

    thing: int
    ends: int


def short_order(places: Sequence[Point], start: Point, end: Point | None, rise: Rise | None = None) -> list[int]:
    """The numbers of the places, in the order of a short route; see short_route."""
    return [visit.thing for visit in short_route([[(place, place)] for place in places], start, end, rise)]


def short_route(
    things: Sequence[Sequence[Ends]],
    start: Point,
    end: Point | None,
    rise: Rise | None = None,
    before: Iterable[Before] = (),
) -> list[Visit]:
    """Every thing once, along a short route from `start` to `end`, or to wherever the last one ends.

    things : of each the pairs of ends with which it can be done, (where it begins, where it is left), mm
    rise : extra mm from places (k, 2) to places (k, 2), for instance up and down over what stands between them
    before : rows of things, all of the first of which are to be done before any of the others
    The length is that of the straight lines from where one ends to where the next begins, and their rise.
    Raises InputError where a thing has no ends, or where things wait for each other in a ring.
    """
    if not things:
        return []
    if empty := [number for number, ends in enumerate(things) if not ends]:
        raise InputError(f"Thing {empty[0]} of the route has no ends between which it could be done.")
    tour = Tour(things, start, end, rise, before)
    if is_small(tour):
        make_shortest(tour)
    else:
        shorten(tour)
    return [Visit(tour.thing[ends] - 1, ends - tour.ends_of[tour.thing[ends]][0]) for ends in tour.seq[1:-1]]
