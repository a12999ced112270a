"""Drill: holes at points, in one go or a peck at a time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

import shapely

from toolpaths.base.checks import between, distance, let_in, one_of, optional, places_in
from toolpaths.base.errors import InputError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth, Through, deeper, z_of
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.way_down import check_no_head, check_plunge, peck_needed
from toolpaths.making.motion.route import Order
from toolpaths.making.motion.toolpath import Hole, PathBuilder
from toolpaths.making.operations.at_places import AtPlaces
from toolpaths.making.operations.operation import CLEAR, Site

DepthOf = Literal["tip", "full diameter"]
DEPTH_OF: tuple[DepthOf, ...] = ("tip", "full diameter")
# Less than this in one peck, mm, is a slip of the finger, and might be written as 0.
_LEAST_PECK = 0.1
# A longer dwell at the bottom of a hole is a slip of units, and burns it.
_LONGEST_DWELL_S = 600.0


def check_peck(peck: float) -> None:
    """Raises InputError for a peck, other than 0, that makes no chip."""
    if 0 < peck < _LEAST_PECK:
        raise InputError(f"peck={peck:g} is less than {_LEAST_PECK:g} mm; take more, or 0 to drill in one go.")


@dataclass(frozen=True, kw_only=True, repr=False)
class Drill(AtPlaces):
    """A hole of the drill's own width at each place; made by drill()."""

    depth_of: DepthOf = "tip"
    peck: float | None = None
    dwell_s: float = 0.0

    def _check(self) -> None:
        super()._check()
        let_in(
            self,
            depth_of=partial(one_of, choices=DEPTH_OF),
            peck=partial(optional, door=distance),
            dwell_s=partial(between, low=0.0, high=_LONGEST_DWELL_S),
        )
        if self.peck is not None:
            check_peck(self.peck)
        check_no_head(self.cutter)
        check_plunge(self.cutter)

    @property
    def _usual_name(self) -> str:
        return "drill"

    @property
    def tip_depth(self) -> Depth:
        """How deep the tip goes."""
        return deeper(self.depth, self.cutter.profile.tip_height if self.depth_of == "full diameter" else 0.0)

    def depths(self, fixture: Fixture) -> tuple[float, float]:
        return float(self.from_depth), -z_of(self.tip_depth, fixture.underside_z)

    def _notes(self) -> tuple[str, ...]:
        point = self.cutter.profile.tip_height
        if not isinstance(self.depth, Through) or self.depth_of != "tip" or self.depth.beyond >= point:
            return ()
        return (
            f"only the point of {self.cutter} comes through, {point:.2f} mm long: below, the holes are not as wide as "
            "the drill. depth_of='full diameter' makes them so.",
        )

    def _cut_at(self, place: Point, builder: PathBuilder, site: Site) -> None:
        self.floor(site.fixture)
        bottom = z_of(self.tip_depth, site.fixture.underside_z)
        peck = peck_needed(self.cutter, self.top - bottom) if self.peck is None else self.peck
        builder.drill(place, Hole(self.top + CLEAR, bottom, peck, self.dwell_s))

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        at = shapely.MultiPoint(self.places)
        return (CutAlong(line=at, profile=self.cutter.profile, depth=self.tip_depth, name=self.title),)


def drill(
    places: Iterable[Any],
    cutter: Cutter,
    *,
    depth: Depth,
    from_depth: float = 0.0,
    depth_of: DepthOf = "tip",
    peck: float | None = None,
    dwell_s: float = 0.0,
    order: Order = "short",
    name: str = "",
) -> Drill:
    """Drill a hole at each (x, y), seen from the front.

    depth_of : whether `depth` counts to the "tip" of the drill, or to where the hole has its "full
        diameter"; the latter goes deeper by the length of the point
    peck : mm drilled between two retracts that clear the chips; unless given, what the cutter bears where the hole is
        deeper than it bears at once (Cutter.deepest_peck); 0, or no less than the hole is deep, drills in one go
    dwell_s : seconds at the bottom
    order : visit the places along a "short" way, from where the cutter waits and back, or "as given"
    depth, from_depth, name : as for every operation

    >>> from toolpaths import Cutter, drill, drill_point
    >>> drill([(20, 20), (60, 20)], Cutter(4, drill_point(2.5), feed_mm_min=600, spindle_rpm=8000), depth=9, peck=3)
    <drill: T4 drill 2.5 118 deg, 0 to 9 deep>

    Raises InputError for numbers that cannot be used, DoesNotFitError for a cutter that cannot go straight down.
    """
    return Drill(
        places=places_in("places", places), cutter=cutter, depth=depth, from_depth=from_depth,
        depth_of=depth_of, peck=peck, dwell_s=dwell_s, order=order, name=name,
    )  # fmt: skip
