"""Keyhole slot: a hanger slot, cut by an undercut cutter that goes in and out at its entry hole.

The head is under the wood from the entry hole on, and has no way up but that hole: so the cutter goes straight down
there, along the slot at full depth, back the same way, and straight up again, all at feed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations
from math import cos, radians, sin
from typing import Any

import numpy as np
import shapely

from toolpaths.base.checks import finite, length, let_in, places_in
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.keyhole import USUAL_SHOULDER, Keyhole, check_shoulder, check_undercut
from toolpaths.making.motion.route import Order
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations.at_places import AtPlaces
from toolpaths.making.operations.operation import AIR, CLEAR, Site
from toolpaths.shapes.placement import Placement

# Room between the cutter and the wood of a hole into which it is let down, mm.
_SPARE = AIR


@dataclass(frozen=True, kw_only=True, repr=False)
class KeyholeSlot(AtPlaces):
    """A hanger slot from each place; made by keyhole_slot()."""

    depth: float
    length: float
    heading_deg: float = 90.0

    def _check(self) -> None:
        super()._check()
        let_in(self, depth=length, length=length, heading_deg=finite)
        cutter, profile = self.cutter, self.cutter.profile
        check_undercut("A keyhole slot", profile)
        check_shoulder(self.title, profile, self.depth, self.from_depth)
        deep = self.depth - self.from_depth
        if self.length < profile.diameter:
            raise InputError(
                f"length={self.length:g} is shorter than the head of {cutter} is wide: a screw's head would not get "
                f"under the shoulders. Give {profile.diameter:g} or more."
            )
        if deep > cutter.body.cutting_length:
            raise DoesNotFitError(
                f"{cutter} cuts with head and neck over cutting_length={cutter.body.cutting_length:g} mm, and the slot "
                f"is {deep:g} deep at once: its shank would rub in it. Give a depth of "
                f"{self.from_depth + cutter.body.cutting_length:g} or less, or cutting_length as measured.",
                self.places[0],
            )
        if deep > cutter.bears.deepest_pass:
            raise DoesNotFitError(
                f"A keyhole slot is cut in one pass, here {deep:g} mm deep, and {cutter} bears "
                f"{cutter.bears.deepest_pass:g} (deepest_pass, step_down). Give a depth of "
                f"{self.from_depth + cutter.bears.deepest_pass:g} or less, or the pass that it bears.",
                self.places[0],
            )
        self._check_apart()

    def _check_apart(self) -> None:
        """Slots that meet below their shoulders would cut the wood between loose."""
        lines, wide = self._lines, self.cutter.diameter
        for a, b in combinations(lines, 2):
            if (apart := float(shapely.distance(a, b))) < wide:
                x, y = a.coords[0]
                raise DoesNotFitError(
                    f"Two keyhole slots are {apart:.2f} mm apart near ({x:.1f}, {y:.1f}), and their undercuts, "
                    f"{wide:g} mm wide, meet below the wood between them; put them more than {wide:g} apart.",
                    (x, y),
                )

    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        return super()._drawn_at(place) | {"heading_deg": self.heading_deg + place.turned_deg}

    @property
    def _usual_name(self) -> str:
        return "keyhole slot"

    @property
    def _along(self) -> Point:
        """From an entry hole to the end of its slot, seen from the front."""
        angle = radians(self.heading_deg)
        return self.length * cos(angle), self.length * sin(angle)

    @property
    def _lines(self) -> list[shapely.LineString]:
        dx, dy = self._along
        return [shapely.LineString([(x, y), (x + dx, y + dy)]) for x, y in self.places]

    def _notes(self) -> tuple[str, ...]:
        thick = self.depth - self.from_depth - self.cutter.profile.head_height
        if thick >= USUAL_SHOULDER - 1e-9:
            return ()
        return (f"the shoulders of the {self.title} are {thick:.2f} mm thick; at least 3/16 in, 4.76 mm, is usual.",)

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        if not cutter.centre_cutting:
            self._check_holes(cutter, site)
        return super().toolpath(cutter, site)

    def _check_holes(self, cutter: Cutter, site: Site) -> None:
        """A cutter that does not cut at its centre is let down in holes made before."""
        floor, wide = self.floor(site.fixture), cutter.diameter + 2 * _SPARE
        for at in self.places:
            hole = site.fixture.place(shapely.Point(at).buffer(wide / 2 - site.tolerance))
            if not shapely.covers(site.removed.down_to(floor, hole), hole):
                raise DoesNotFitError(
                    f"{cutter} does not cut at its centre and cannot go straight down at ({at[0]:.1f}, {at[1]:.1f}): "
                    f"first bore a hole {wide:g} mm wide and {-floor:g} deep "
                    "there with a flat cutter.",
                    at,
                )

    def _cut_at(self, place: Point, builder: PathBuilder, site: Site) -> None:
        floor, start = self.floor(site.fixture), self.top + CLEAR
        (x0, y0), (x1, y1) = site.fixture.seen_from_front(np.array([(0.0, 0.0), self._along])).tolist()
        builder.go_above(place, start)
        builder.plunge(floor)
        builder.straight((place[0] + x1 - x0, place[1] + y1 - y0), floor)
        builder.straight(place, floor)
        # At feed to above the face: the head has nowhere to go but through the hole.
        builder.plunge(start)

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        return (
            Keyhole(
                line=shapely.MultiLineString(self._lines), profile=self.cutter.profile, depth=self.depth,
                from_depth=self.from_depth, name=self.title,
            ),
        )  # fmt: skip


def keyhole_slot(
    places: Iterable[Any],
    cutter: Cutter,
    *,
    depth: float,
    length: float,
    heading_deg: float = 90.0,
    from_depth: float = 0.0,
    order: Order = "short",
    name: str = "",
) -> KeyholeSlot:
    """Cut a hanger slot from each (x, y), seen from the front, with an undercut cutter: the head of a screw goes in at
    the entry hole, and slides along under the shoulders.

    places : of the entry holes, as wide as the cutter's head
    depth : mm below the face to the floor of the slot. All of it is cut at once
    length : mm from the middle of the entry hole to where the cutter's axis turns round, at least the head's diameter
    heading_deg : which way the slot goes, anticlockwise from X, seen from the front: 90 is up. What hangs on a screw
        slides down on it, so the slot goes up from its hole
    from_depth, name : as for every operation
    order : visit the places along a "short" way, or "as given"

    The cutter plunges, unless centre_cutting=False: then bore the entry holes before. It goes out by the same hole
    with the spindle on, at feed. Shoulders are at least 3/16 in (4.76 mm) thick (Wood magazine, keyhole slots); the
    Keyhole that it makes says how thick, and how wide they bear.

    >>> from toolpaths import Cutter, keyhole_slot, undercut
    >>> T8 = Cutter(8, undercut(9.5, 3.2, 4.8), feed_mm_min=800, spindle_rpm=16000)
    >>> keyhole_slot([(40, 80), (160, 80)], T8, depth=8, length=15)
    <keyhole slot: T8 undercut 9.5 head 3.2 neck 4.8, 0 to 8 deep>

    Raises InputError for a slot shorter than the head, a depth that leaves no shoulder, and numbers and cutters that
    cannot be used; DoesNotFitError for a depth that the cutter does not bear at once, slots whose undercuts meet, and
    in the setup for entry holes that are missing.
    """
    return KeyholeSlot(
        places=places_in("places", places), cutter=cutter, depth=depth, length=length, heading_deg=heading_deg,
        from_depth=from_depth, order=order, name=name,
    )  # fmt: skip
