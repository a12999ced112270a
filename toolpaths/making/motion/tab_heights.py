"""A toolpath lifted over its tabs: lines, arcs and ramps alike."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from math import copysign, cos, dist, floor, pi, radians, sin
from typing import NamedTuple

from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.making.motion.tabs import Tabs
from toolpaths.making.motion.toolpath import CUT, PathBuilder, Toolpath
from toolpaths.shapes.track import Segment, Track, turn_between, wrapped

# At a turn larger than this the path goes back over itself.
_BACK = radians(135.0)
# Two nearest points of a path this close along it, mm, are one: a curve in chords wavers.
_SAME = 0.05
# mm by which a path may be off a ring and still follow it.
_ON = 1e-6
# And radians by which their directions may differ.
_STRAIGHT = radians(1.0)
# Lengths tried for a tab on no single line or arc, and how often the last step is halved then.
_TRIES, _HALVINGS = 64, 32
# Lengths below this, mm, are rounding.
_NOTHING = 1e-9


def raise_over(
    toolpath: Toolpath, places: Sequence[Point], tabs: Tabs, top: float, rings: Sequence[Track] = ()
) -> Toolpath:
    """The toolpath, lifted to z = top wherever it comes by one of the places.

    Every time the cutter passes within its radius of a place it is raised over the same stretch,
    whatever the pass, ramps included. The stretch ends where the straight distance between its two
    ends is the width of wood asked for and the cutter's diameter (a disc at either end leaves just that
    between them), so on a curve or about a corner it is longer than on a straight run.
    rings : closed tracks that the path follows; a path that begins or ends on one, over a tab or near
        it, is taken to go on along it, and where it leaves it straight on; without any, as its last segment does
    Raises DoesNotFitError for a place the path does not pass at all, a curve too tight for the tab, or a
    square tab under a cutter that cannot go straight down.
    """
    cutter = toolpath.cutter
    if tabs.slope_deg > cutter.running.ramp_angle_deg and not cutter.centre_cutting:
        raise DoesNotFitError(
            f"{cutter} does not cut at its centre and cannot go down {tabs.slope_deg:g} degrees steep behind a tab; "
            f"take slope_deg={cutter.running.ramp_angle_deg:g} or less, or another cutter."
        )
    passed: set[Point] = set()
    builder = PathBuilder(cutter, 0.0)
    chain: list[tuple[Segment, float]] = []
    begun = 0.0
    for move in toolpath.moves:
        if move.kind == CUT:
            segment = Segment((builder.x, builder.y), (move.x, move.y), move.centre, move.sweep)
            if _turns_back(chain, segment):
                _follow_raised(builder, begun, chain, places, passed, tabs, top, rings)
                begun, chain = chain[-1][1], []
            chain.append((segment, move.z))
            builder.x, builder.y = move.x, move.y
            continue
        _follow_raised(builder, begun, chain, places, passed, tabs, top, rings)
        begun, chain = move.z, []
        builder.add(move)
    _follow_raised(builder, begun, chain, places, passed, tabs, top, rings)
    for place in places:
        if place not in passed:
            raise DoesNotFitError(f"The path does not come by the tab at ({place[0]:.1f}, {place[1]:.1f}).", place)
    return Toolpath(cutter, tuple(builder.moves), toolpath.notes)


def _turns_back(chain: list[tuple[Segment, float]], segment: Segment) -> bool:
    """Whether a segment goes back over the chain before it, as a zigzag does; a plunge between them counts as none."""
    before = next((last for last, _ in reversed(chain) if last.length > _NOTHING), None)
    if before is None or segment.length <= _NOTHING:
        return False
    return turn_between(before, segment) > _BACK


def _follow_raised(
    builder: PathBuilder,
    begun: float,
    chain: list[tuple[Segment, float]],
    places: Sequence[Point],
    passed: set[Point],
    tabs: Tabs,
    top: float,
    rings: Sequence[Track],
) -> None:
    """One unbroken stretch of cuts from z = begun, each with the z at its end, raised over its tabs."""
    track = Track(tuple(segment for segment, _ in chain if segment.length > _NOTHING), False)
    if not track.segments:
        for segment, z in chain:
            builder.straight(segment.end, z)
        return
    heights, along = [(0.0, begun)], 0.0
    for segment, z in chain:
        along += segment.length if segment.length > _NOTHING else 0.0
        heights.append((along, z))
    lowest = min(z for _, z in heights)
    cutter, run = builder.cutter, tabs.slope_run(max(top - lowest, 0.0))
    flat = (tabs.width + cutter.diameter) * pi / 2
    bumps = []
    for first, last, low, high in _stretches(track, rings):
        # Where it begins or ends near a tab, or over it, the middle of the tab lies beyond it, and its far end farther.
        segments = track.segments[first:last]
        before = [segment.reversed() for segment in reversed(_onward(segments[0].reversed(), flat + run, rings))]
        longer = Track((*before, *segments, *_onward(segments[-1], flat + run, rings)), False)
        begins = track.ends[first] - segments[0].length
        ahead = begins - sum(segment.length for segment in before)
        for place in places:
            for middle in _passes(longer, place, cutter.radius):
                along = middle + ahead
                if begins - flat / 2 - run < along < track.ends[last - 1] + flat / 2 + run:
                    half = _half_flat(longer, middle, place, tabs, cutter.diameter)
                    bumps.append(_Bump(along, half, run, top, lowest, low, high))
                    passed.add(place)
    builder.x, builder.y = track.start
    raised = _over(heights, bumps)
    builder.plunge(raised[0][1])
    builder.follow(track, raised)


def _stretches(track: Track, rings: Sequence[Track]) -> list[tuple[int, int, float, float]]:
    """Stretches of a path each on one of the rings, as (first segment, segment after the last, low, high).

    Where the path goes from one ring to another, or on to a wall and off it, it follows none of them; from `low` to
    `high` these ways belong to the stretches on both sides. All of the path is one where it follows no ring.
    """
    on = [_ring_of(segment, rings) for segment in track.segments]
    starts = [i for i, ring in enumerate(on) if ring >= 0 and (i == 0 or on[i - 1] != ring)]
    if not starts:
        return [(0, len(on), 0.0, track.length)]
    ends = [next((i for i in range(start, len(on)) if on[i] != on[start]), len(on)) for start in starts]
    lows = [0.0, *(track.ends[end - 1] for end in ends[:-1])]
    highs = [*(track.ends[start] - track.segments[start].length for start in starts[1:]), track.length]
    return list(zip(starts, ends, lows, highs, strict=True))


def _ring_of(segment: Segment, rings: Sequence[Track]) -> int:
    """Which of the rings a segment lies on; -1 if none."""
    return next((i for i, ring in enumerate(rings) if ring.nearest(segment.at(0.5))[1] <= _ON), -1)


class _Bump(NamedTuple):
    """A tab met along the path: a flat of z = top, and slopes of length run down to the floor; from low to high."""

    middle: float
    half: float
    run: float
    top: float
    floor: float
    low: float
    high: float

    @property
    def corners(self) -> tuple[float, float, float, float]:
        far = self.half + self.run
        return self.middle - far, self.middle - self.half, self.middle + self.half, self.middle + far

    def height(self, along: float) -> float:
        if not self.low <= along <= self.high:
            return float("-inf")
        beyond = abs(along - self.middle) - self.half
        if beyond <= 0:
            return self.top
        return self.top - (self.top - self.floor) * beyond / self.run if beyond < self.run else float("-inf")


def _over(heights: list[tuple[float, float]], bumps: list[_Bump]) -> list[tuple[float, float]]:
    """The heights, straight between their points, raised over the bumps; jumps are two heights at one length."""
    out = [(heights[0][0], max([heights[0][1], *(bump.height(heights[0][0]) for bump in bumps)]))]

    def add(along: float, z: float) -> None:
        if abs(out[-1][0] - along) > _NOTHING or abs(out[-1][1] - z) > _NOTHING:
            out.append((along, z))

    for (a, za), (b, zb) in zip(heights, heights[1:]):
        near = [bump for bump in bumps if bump.corners[0] < b and bump.corners[3] > a and min(za, zb) < bump.top]
        if not near or b - a <= _NOTHING:
            add(b, max([zb, *(bump.height(b) for bump in near)]))
            continue
        fall = (zb - za) / (b - a)
        marks = {a, b}
        for bump in near:
            met = (*bump.corners, bump.low, bump.high, *_meetings(a, za, fall, bump))
            marks |= {mark for mark in met if a < mark < b}
        was_own = False
        for low, high in zip(sorted(marks), sorted(marks)[1:]):
            if high - low <= _NOTHING:
                continue
            bump = max(near, key=lambda bump: bump.height((low + high) / 2))
            own = za + fall * ((low + high) / 2 - a)
            if bump.height((low + high) / 2) <= own:
                if was_own:
                    out.pop()
                else:
                    add(low, za + fall * (low - a))
                add(high, za + fall * (high - a))
                was_own = True
            else:
                # Both ends as seen from within the stretch: at a jump the other side differs.
                inside = min((high - low) / 4, 1e-9)
                add(low, bump.height(low + inside))
                add(high, bump.height(high - inside))
                was_own = False
    return out


def _meetings(a: float, za: float, fall: float, bump: _Bump) -> list[float]:
    """Where a straight height meets the flat and the slopes of a bump."""
    found = [a + (bump.top - za) / fall] if fall else []
    if bump.run:
        rise = (bump.top - bump.floor) / bump.run
        for slope, edge in ((rise, bump.corners[1]), (-rise, bump.corners[2])):
            if fall != slope:
                found.append((bump.top - slope * edge - za + fall * a) / (fall - slope))
    return found


def _onward(last: Segment, length: float, rings: Sequence[Track]) -> list[Segment]:
    """So many mm of where a path goes that ends with this segment: along the ring it follows, else as it does."""
    for ring in rings:
        for way in (ring, ring.reversed()):
            along, away = way.nearest(last.end)
            if away > _ON:
                continue
            arriving = way.between(along + way.length - _SAME / 2, along + way.length)[-1]
            if abs(wrapped(arriving.heading(1.0) - last.heading(1.0))) < _STRAIGHT:
                return way.between(along, along + length)
    x, y = last.end
    if last.sweep == 0 or rings:
        # An arc that leaves its ring leads off the wall and no farther round.
        heading = last.heading(1.0)
        return [Segment(last.end, (x + length * cos(heading), y + length * sin(heading)))]
    whole = Segment(last.end, last.end, last.centre, copysign(2 * pi, last.sweep))
    return [whole.part(0.0, min(length / whole.length, 1.0))]


def _passes(track: Track, place: Point, reach: float) -> list[float]:
    """Lengths along a track at which it comes nearest to a place, each time it comes within reach; not its two ends."""
    near = [segment.nearest(place) for segment in track.segments]
    found: list[float] = []
    for i, (segment, (part, away)) in enumerate(zip(track.segments, near, strict=True)):
        if away > reach:
            continue
        # The nearest point of a segment at one of its ends is none of the track if the neighbour goes on nearer.
        if part <= 0 and (i == 0 or near[i - 1][0] < 1):
            continue
        if part >= 1 and (i + 1 == len(near) or near[i + 1][0] > 0):
            continue
        along = track.ends[i] - (1 - part) * segment.length
        if not found or along - found[-1] > _SAME:
            found.append(along)
    return found


def _half_flat(track: Track, middle: float, place: Point, tabs: Tabs, diameter: float) -> float:
    """Half the length of track over which the cutter is raised: its two ends lie width and diameter apart."""
    wanted = tabs.width + diameter

    def apart(half: float) -> float:
        return dist(track.at(max(middle - half, 0.0)), track.at(min(middle + half, track.length)))

    # On a line or an arc there is a formula; else the two ends are moved apart until they are far enough.
    segment = track.segments[min(bisect_right(track.ends, middle), len(track.segments) - 1)]
    half = tabs.half_length(diameter, segment.radius)
    if abs(apart(half) - wanted) < _NOTHING:
        return half
    steps = [wanted / 2 * (1 + (pi / 2 - 1) * i / _TRIES) for i in range(_TRIES + 1)]
    far = next((half for half in steps if apart(half) >= wanted), None)
    if far is None:
        room = max(apart(wanted / 2 * pi / 2 * i / _TRIES) for i in range(_TRIES + 1)) - diameter
        raise DoesNotFitError(
            f"The path bends too tightly at ({place[0]:.1f}, {place[1]:.1f}) for a tab {tabs.width:g} mm wide: "
            + (f"{floor(room * 100) / 100:g} mm is the most there." if room > 0.01 else "there is no room for any."),
            place,
        )
    near = max(wanted / 2, far - wanted / 2 * (pi / 2 - 1) / _TRIES)
    for _ in range(_HALVINGS):
        half = (near + far) / 2
        near, far = (near, half) if apart(half) >= wanted else (half, far)
    return far
