"""A toolpath: the motion of one cutter for one piece of work, before it is text.

Coordinates are those of the board as it lies: x, y from its lower-left corner, z from its top,
mm. A move names its kind; a rapid and a cut never share one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import hypot, inf
from typing import NamedTuple

from toolpaths.base.errors import Point
from toolpaths.base.values import PickledByFields, ShownInNotebooks
from toolpaths.facts.cutter import Cutter
from toolpaths.shapes.segment_bounds import segment_bounds
from toolpaths.shapes.track import Segment, Track

RAPID, CUT, DRILL = "rapid", "cut", "drill"
# How far above the last depth a peck resumes at feed, mm: 0.010 inch in the NIST interpreter.
_PECK_GAP = 0.254


class Hole(NamedTuple):
    """How one hole is drilled: from the clear height down to `bottom`, `peck` mm at a time (0: at once)."""

    clear: float
    bottom: float
    peck: float
    dwell_s: float

    def strokes(self) -> Iterator[tuple[str, float]]:
        """RAPID or CUT, and the z to which it goes: each stroke from above the hole to its bottom."""
        yield RAPID, self.clear
        down = self.clear
        while self.peck and down - self.peck > self.bottom + 1e-9:
            down -= self.peck
            yield CUT, down
            yield RAPID, self.clear
            yield RAPID, down + _PECK_GAP
        yield CUT, self.bottom


class Move(NamedTuple):
    """One motion, from where the last one ended.

    kind : RAPID; CUT, along a line or, with sweep not 0, an arc or helix about `centre` (radians,
        anticlockwise > 0); DRILL, a hole at (x, y), reached at the height where the last one ended, that ends back at z
    """

    kind: str
    x: float
    y: float
    z: float
    feed_mm_min: float = 0.0
    centre: Point = (0.0, 0.0)
    sweep: float = 0.0
    hole: Hole | None = None


@dataclass(frozen=True)
class Toolpath(PickledByFields, ShownInNotebooks):
    """Moves of one cutter. It begins with a rapid at the safe height, and ends there.

    notes : what the user should know of it, for instance wood that the cutter cannot reach
    """

    cutter: Cutter
    moves: tuple[Move, ...]
    notes: tuple[str, ...] = ()

    @cached_property
    def lowest(self) -> float:
        """The lowest z of any cut."""
        return min((m.hole.bottom if m.hole else m.z for m in self.moves), default=0.0)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, low, right and high of the cutter's axis at feed; of nothing infinity down to minus infinity."""
        cuts = list[Segment]()
        x, y = (self.moves[0].x, self.moves[0].y) if self.moves else (0.0, 0.0)
        for move in self.moves:
            if move.kind != RAPID:
                cuts.append(Segment((x, y), (move.x, move.y), move.centre, move.sweep))
            x, y = move.x, move.y
        boxes = segment_bounds(cuts)
        (left, low), (right, high) = (
            boxes[:, :2].min(axis=0, initial=inf).tolist(), boxes[:, 2:].max(axis=0, initial=-inf).tolist()
        )  # fmt: skip
        return left, low, right, high


@dataclass(frozen=True, slots=True)
class Stretch:
    """A track and the heights at which it is followed, (length along the track, z), straight between them.

    Two heights at one length are a straight plunge or lift there; on a closed track lengths go on past one round.
    ring_from, ring_rate : where the track is part of a ring or runs beside one, the length along that ring at which it
        begins, and mm along the ring for each mm along the track
    """

    track: Track
    heights: tuple[tuple[float, float], ...]
    ring_from: float = 0.0
    ring_rate: float = 1.0

    @property
    def end(self) -> float:
        """Length along the track at which it ends."""
        return self.heights[-1][0]


def level(track: Track, z: float, ring_from: float = 0.0, ring_rate: float = 1.0) -> Stretch:
    """All along a track at one height."""
    return Stretch(track, ((0.0, z), (track.length, z)), ring_from, ring_rate)


class PathBuilder:
    """Strings moves together; always lifts to the safe height before it crosses the board.

    without_ramp : places where an operation that looked for a way down found none but straight down
    """

    def __init__(self, cutter: Cutter, safe_height: float) -> None:
        self.cutter = cutter
        self.safe_height = safe_height
        self.moves: list[Move] = []
        self.without_ramp: list[Point] = []
        self.x = self.y = float("nan")
        self.z = safe_height

    @property
    def place(self) -> Point:
        """Where the cutter is, as seen from above."""
        return self.x, self.y

    def add(self, move: Move) -> None:
        """One move as it is."""
        self.moves.append(move)
        self.x, self.y, self.z = move.x, move.y, move.z

    def lift(self) -> None:
        """Straight up to the safe height."""
        if self.moves and self.z < self.safe_height:
            self.add(Move(RAPID, self.x, self.y, self.safe_height))

    def go_above(self, place: Point, clear: float) -> None:
        """By rapid to above a place: up, across, then down to `clear` (not below it, nor the safe height's)."""
        self.lift()
        self.add(Move(RAPID, place[0], place[1], self.safe_height))
        if clear < self.safe_height:
            self.add(Move(RAPID, place[0], place[1], clear))

    def straight(self, place: Point, z: float) -> None:
        """By a straight cut to a point; nothing where the cutter is there already."""
        if hypot(place[0] - self.x, place[1] - self.y) > 1e-9 or abs(z - self.z) > 1e-9:
            self._cut(Segment((self.x, self.y), place), z)

    def plunge(self, z: float) -> None:
        """Straight down."""
        self.straight((self.x, self.y), z)

    def drill(self, place: Point, hole: Hole) -> None:
        """A hole; the cutter ends at the safe height above it."""
        self.add(Move(DRILL, place[0], place[1], self.safe_height, self.cutter.running.plunge_mm_min, hole=hole))

    def cut(self, stretch: Stretch) -> None:
        """Along a stretch that begins where the cutter stands; straight down or up to its first height before."""
        along, z = stretch.heights[0]
        x, y = stretch.track.at(along)
        assert hypot(x - self.x, y - self.y) < 1e-6, "a stretch begins elsewhere"
        self.plunge(z)
        self.follow(stretch.track, stretch.heights)

    def follow(self, track: Track, heights: Sequence[tuple[float, float]]) -> None:
        """Along a track, at heights given as (length along the track, z), straight between them.

        The cutter must stand at the first of them. Two heights at one length are a straight
        plunge or lift there.
        """
        for (a, za), (b, zb) in zip(heights, heights[1:]):
            if b - a <= 1e-9:
                self.plunge(zb)
                continue
            done = 0.0
            for segment in track.between(a, b):
                done += segment.length
                self._cut(segment, za + (zb - za) * min(done / (b - a), 1.0))

    def segments(self, segments: Iterable[Segment], z: float) -> None:
        """Along segments end to end, at the height z at which the cutter is; the first begins where it is."""
        for segment in segments:
            assert hypot(segment.start[0] - self.x, segment.start[1] - self.y) < 1e-6, "a segment begins elsewhere"
            self._cut(segment, z)

    def leave(self, segments: Sequence[Segment], z: float, above: float) -> None:
        """Along segments end to end, rising from z to `above`."""
        whole, done = sum(segment.length for segment in segments), 0.0
        for segment in segments:
            done += segment.length
            self._cut(segment, z + (above - z) * done / whole)

    def _cut(self, segment: Segment, z: float) -> None:
        down = self.z - z
        feed = self.cutter.feed_mm_min
        if down > 1e-9:
            # Down a slope the part of the feed that points down stays below the plunge feed.
            running, length = self.cutter.running, segment.length
            if length > 1e-9:
                feed = min(feed, running.ramp_mm_min)
            feed = min(feed, running.plunge_mm_min * hypot(length, down) / down)
        self.add(Move(CUT, segment.end[0], segment.end[1], z, feed, segment.centre, segment.sweep))

    def path(self, notes: Iterable[str] = ()) -> Toolpath:
        """The finished toolpath, lifted to the safe height."""
        self.lift()
        return Toolpath(self.cutter, tuple(self.moves), (*notes, *self._ramp_note()))

    def _ramp_note(self) -> tuple[str, ...]:
        if not self.without_ramp:
            return ()
        (x, y), *others = dict.fromkeys((round(x, 1), round(y, 1)) for x, y in self.without_ramp)
        places = f"{1 + len(others)} places, the first" if others else "one place"
        near = f"near X{x:.1f} Y{y:.1f} on the board as it lies"
        return (f"{self.cutter} goes straight down into wood in {places} {near}: no helix or ramp fits there.",)
