"""What holds a part that is cut free: tabs where they are asked for, or a skin under the whole cut."""

from __future__ import annotations

from math import floor

import shapely

from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.facts.depth import Depth, Through
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.removed import Removed
from toolpaths.making.motion.tab_ground import TabGround
from toolpaths.making.motion.tabs import TIGHTEST, Tabs
from toolpaths.making.operations.rings import ContourSide, as_chords
from toolpaths.shapes.track import Track

# mm between which a skin holds and can be cut with a knife (common practice, no source).
_THINNEST_SKIN, _THICKEST_SKIN = 0.3, 2.0
# mm; a thinner tab hardly holds (common practice, no source).
_THINNEST = 1.0
# mm to either side of the cutter's axis in which wood is looked for.
_BESIDE_AXIS = 0.5


def check_skin(skin: float, depth: Depth, side: ContourSide, tabs: Tabs | None) -> None:
    """Raises an error for a skin that does not stand or cannot be cut, or under a cut that has no waste beside it."""
    if skin == 0:
        return
    if tabs is not None:
        raise InputError("tabs= and skin= are two ways to hold the part; give one of them.")
    if not isinstance(depth, Through):
        raise InputError(f"skin={skin:g} is left of a cut through the board: give it with depth=through().")
    if side == "on":
        raise InputError(f"skin={skin:g} is left outside or inside a shape; on its line give a depth in mm.")
    if not _THINNEST_SKIN <= skin <= _THICKEST_SKIN:
        raise InputError(
            f"skin={skin:g} must lie between {_THINNEST_SKIN:g} mm, below which a board that is off by some tenths of "
            f"a millimetre is cut through, and {_THICKEST_SKIN:g} mm, above which no knife gets through it."
        )


def floor_over(skin: float, top: float, fixture: Fixture) -> float:
    """Z of the bottom of a cut that leaves a skin."""
    floor = fixture.underside_z + skin
    if floor >= top:
        raise DoesNotFitError(
            f"A skin of {skin:g} mm is as thick as the {top - fixture.underside_z:g} mm of wood to be cut; take "
            f"{_THINNEST_SKIN:g} mm."
        )
    return floor


def skin_note(skin: float) -> tuple[str, ...]:
    """What the operator has to do about a skin."""
    if not skin:
        return ()
    return (f"a skin of {skin:g} mm stays under the whole cut: cut it with a knife, then sand the edge.",)


def top_of_tabs(tabs: Tabs, top: float, floor: float, fixture: Fixture, place: Point) -> float:
    """Z of the top of tabs in a cut from `top` to `floor`: so high above the underside, or the floor of a blind cut."""
    tab_top = max(floor, fixture.underside_z) + tabs.height
    if tab_top >= top:
        room = top - tab_top + tabs.height
        enough = max(room / 4, _THINNEST)
        raise DoesNotFitError(
            f"Tabs {tabs.height:g} mm high are no lower than the {room:g} mm of wood to be cut; "
            + (f"{enough:.1f} mm is enough." if enough < room else "hold the piece otherwise."),
            place,
        )
    return tab_top


def check_wood_for_tabs(tabs: Tabs, tab_top: float, ring: Track, ground: TabGround, removed: Removed) -> None:
    """Raises DoesNotFitError, with the height that would do, where earlier work took the tops of all tabs along a ring:
    an edge that was rounded before, say.

    tab_top : z, of tabs on this ground
    """
    line = as_chords(ring)
    if not shapely.covers(ground.removed, line):
        return
    highest = removed.highest_wood(shapely.buffer(line, _BESIDE_AXIS))
    room = highest - tab_top + tabs.height
    if 0 < room < tabs.height:
        raise DoesNotFitError(
            f"Tabs {tabs.height:g} mm high would stand higher than the wood that earlier work leaves along the cut, "
            f"{room:.2f} mm; take tabs of {floor(room * 10) / 10:g} mm or less.",
            ring.start,
        )


def longest_on_wall(tabs: Tabs, diameter: float, side: ContourSide) -> float:
    """mm along the wall that one tab may take, slopes and all, and a cutter's diameter to spare.

    Round the inside of a curve the wall is longer than the path, by the cutter's radius over that of the path:
    that is the tightest on which tabs find places themselves, or where they are asked for in an opening the
    tightest on which there can be any, half of the tab's width and the cutter's.
    """
    tightest = (tabs.width + diameter) / 2 if tabs.points and side == "inside" else TIGHTEST * diameter
    return 2 * tabs.half_zone(diameter, tabs.height, tightest) * (1 + diameter / 2 / tightest) + diameter


def given_places(tracks: list[Track], tabs: Tabs | None, diameter: float, fixture: Fixture) -> list[tuple[Point, ...]]:
    """For each ring the places of its tabs: each given point comes to the nearest place on the nearest ring."""
    places: list[list[Point]] = [[] for _ in tracks]
    if tabs is not None and tabs.points:
        farthest = tabs.width + diameter
        for point in fixture.place(shapely.MultiPoint(tabs.points)).geoms:
            nearest = [track.nearest((point.x, point.y)) for track in tracks]
            index = min(range(len(tracks)), key=lambda i: nearest[i][1])
            along, away = nearest[index]
            x, y = tracks[index].at(along)
            if away > farthest:
                raise DoesNotFitError(
                    f"The tab asked for at ({point.x:.1f}, {point.y:.1f}) is {away:.1f} mm from the cutter's path, "
                    f"more than its own width and the cutter's, {farthest:g} mm; the path's nearest place is at "
                    f"({x:.1f}, {y:.1f}).",
                    (point.x, point.y),
                )
            places[index].append((x, y))
    return [tuple(each) for each in places]
