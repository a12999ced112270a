"""The tests' own judge: by plain separate rules, is a changed program still safe, and does it still make the part?

It knows the program before the edit, which is sound, and shares no code with the library's judge: its own reader, its
own wood. It is certain or it says so: what a rule finds is a danger, or too near to call.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import atan2, degrees
from typing import NamedTuple

import numpy as np
import shapely
from own_reader import Event, Motion, State, read
from plain_wood import Points, Way, disc, heights, probes, rise
from shapely.geometry.base import BaseGeometry

import toolpaths as tp

# mm: what is less is no change, what is more is one.
NONE, CHANGE = 0.02, 0.1
# A feed is another one from here on, and the same up to there, as a ratio.
_OTHER_FEED, _SAME_FEED = 5.0, 1.25
# mm2: smaller pieces of wood are chips.
CHIP = 20.0
_GRID = 0.5
_TOOL = re.compile(r"\bT(\d+)\b")


class Step(NamedTuple):
    """A move on the board, and the machine while it is made. way : None where it begins at a place not known."""

    line: int
    rapid: bool
    way: Way | None
    state: State
    cutter: tp.Cutter | None
    stops: tuple[str, ...]


class Run(NamedTuple):
    """A program run: its moves, and what is wrong with it (`lost`) or may be (`unsure`) without a look at the wood."""

    steps: list[Step]
    lost: list[str]
    unsure: list[str]

    def stops(self) -> tuple[str, ...]:
        """The messages of all stops made."""
        return self.steps[-1].stops if self.steps else ()

    def cuts(self) -> list[Way]:
        return [s.way for s in self.steps if s.way and min(s.way.start[2], s.way.end[2]) < 0]


def zero_of(fixture: tp.Fixture) -> tuple[float, float, float]:
    """Where X0 Y0 Z0 lies, from the lower-left corner of the board as it lies and from its top."""
    width, height, across = fixture.board.width, fixture.board.height, fixture.zero_at
    x = width / 2 if across == "centre" else width if "right" in across else 0.0
    y = height / 2 if across == "centre" else height if "upper" in across else 0.0
    return x, y, -fixture.board.thickness if fixture.zero_on == "spoilboard" else 0.0


def turned(points: Points, fixture: tp.Fixture) -> Points:
    """Points seen from the front, where they come to lie; and the other way round."""
    if fixture.turned == "left to right":
        return np.column_stack([fixture.board.width - points[:, 0], points[:, 1]])
    if fixture.turned == "top to bottom":
        return np.column_stack([points[:, 0], fixture.board.height - points[:, 1]])
    return points


def run(text: str, fixture: tp.Fixture, cutters: Sequence[tp.Cutter]) -> Run:
    """A program run on the bare facts of the machine."""
    rack = {cutter.number: cutter for cutter in cutters}
    steps, lost, unsure = [], [], []
    changes = any(done.line and "M6" in done.line.codes() for done in read(text))
    named = _TOOL.search(" ".join(re.findall(r"\([^()]*\)", text)))
    # One that is called nowhere was put in by hand, where there is but one.
    only = cutters[0].number if len(cutters) == 1 else None
    in_spindle = only if changes or not named else int(named[1])
    zero, stops, ended, percents = zero_of(fixture), [], False, 0
    for done in read(text):
        if done.refused:
            lost.append(f"line {done.number} cannot be read")
            return Run(steps, lost, unsure)
        if not changes and not named and done.line and done.line.value("T") is not None:
            # Put in by hand, as a program that changes none may take for granted.
            in_spindle = done.after.called
            unsure.append("a cutter called and never put in")
        if done.doubtful:
            unsure.append(f"line {done.number} breaks a rule that many controllers do not hold to")
        percents += done.text.strip() == "%"
        if (ended or percents > 1) and done.line and done.line.words:
            (unsure if ended else lost).append("words after the end")
            break
        for act in done.acts:
            if isinstance(act, Event):
                if act.code == "M6":
                    in_spindle = act.before.called
                if act.code in ("M0", "M60"):
                    stops.append(act.before.message)
                    call = _TOOL.search(act.before.message)
                    in_spindle = int(call[1]) if call and not changes else in_spindle
                _waits(act, zero[2], lost, unsure)
            elif act.kind != "wait":
                steps.append(_step(act, zero, rack.get(in_spindle or 0), tuple(stops), lost))
        ended = done.after.ended
        if done.acts and (done.after.scale is None or (done.line and {"M1"} & set(done.line.codes()))):
            lost.append("units never named, or a stop that may not happen")
    if not ended and not text.rstrip().endswith("%"):
        lost.append("no end")
    if not re.search(r"G0?9[01](?!\d)", text.upper()):
        lost.append("distance mode never named")
    return Run(steps, lost, unsure)


def _waits(event: Event, zero_z: float, lost: list[str], unsure: list[str]) -> None:
    z = event.before.at[2]
    low = None if z is None else float(z) + zero_z
    if event.code in ("M0", "M1", "M60") and event.before.spindle != "M5":
        lost.append("a stop with the spindle turning")
    if event.code in ("M0", "M1", "M60", "M6", "M2", "M30") and low is not None:
        if low < -NONE:
            lost.append(f"{event.code} with the cutter in the wood")
        elif low < 5:
            unsure.append(f"{event.code} with the cutter low")
    if event.code == "M5" and low is not None and low < 0:
        unsure.append("the spindle stopped in the wood")


def _step(
    act: Motion, zero: tuple[float, float, float], cutter: tp.Cutter | None, stops: tuple[str, ...], lost: list[str]
) -> Step:
    start, end = ([None if a is None else float(a) + b for a, b in zip(place, zero)] for place in (act.start, act.end))
    rapid = act.kind == "rapid"
    way = None
    if None in start or None in end:
        sideways = start[:2] != end[:2]
        if not rapid or (sideways and end[2] is None) or (sideways and start[2] is None):
            lost.append("moves from a place that was never named")
        if end[2] is not None and end[2] < 0:
            lost.append("goes down at a place that was never named")
    elif not cutter:
        if end[2] < 0:
            lost.append("no cutter of the rack in the spindle")
    else:
        centre = start[0] + float(act.centre[0]), start[1] + float(act.centre[1])
        way = Way(cutter, tuple(start), tuple(end), centre, act.turn)
    return Step(act.line, rapid, way, act.after, cutter, stops)


class Wood(NamedTuple):
    """What stands before a program: cut from the other side by `below`, whose points are turned by its fixture."""

    fixture: tp.Fixture
    below: list[Way]

    @property
    def thinnest(self) -> float:
        """z below which a cut may reach through."""
        deepest = min((min(way.start[2], way.end[2]) for way in self.below), default=0.0)
        return -self.fixture.board.thickness - deepest + 0.1

    def bottom(self, points: Points) -> Points:
        """(k,) lower face of the wood, from the top of the board as it lies."""
        thick = self.fixture.board.thickness
        if not self.below:
            return np.full(len(points), -thick)
        return -thick - heights(self.below, turned(points, self.fixture))

    def on_board(self, points: Points) -> np.ndarray:
        board = self.fixture.board
        return (points[:, 0] > 0) & (points[:, 0] < board.width) & (points[:, 1] > 0) & (points[:, 1] < board.height)

    def met(self, way: Way, before: Sequence[Way], apart: float = 1.0) -> float:
        """mm of wood, most, that stands in the way after others were made."""
        offsets = disc(way.cutter.profile.diameter / 2 - 1e-6)
        up = rise(way.cutter, np.hypot(*offsets.T))
        places = way.places(apart)
        places = places[places[:, 2] < 0]
        if not len(places):
            return 0.0
        points = (places[:, None, :2] + offsets).reshape(-1, 2)
        lowest = (places[:, None, 2] + up).reshape(-1)
        top = heights([other for other in before if _meet(other, way)], points)
        deep = np.minimum(top - np.maximum(lowest, self.bottom(points)), top - lowest)
        return float(np.where(self.on_board(points), deep, 0.0).max(initial=0.0))

    def ahead(self, way: Way, before: Sequence[Way]) -> float:
        """mm of wood, most, that stands on the axis itself: what the cutter takes at once over its width."""
        places = way.places(0.5)
        points = places[:, :2]
        top = heights([other for other in before if _meet(other, way)], points)
        deep = top - np.maximum(places[:, 2], self.bottom(points))
        return float(np.where(self.on_board(points), deep, 0.0).max(initial=0.0))


def _meet(one: Way, other: Way) -> bool:
    a, b = one.box, other.box
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


class Norm(NamedTuple):
    """What the sound program does, by cutter and by going down, on a slope or level: least and most feed, the deepest
    cut."""

    feeds: dict[tuple[int, str], tuple[float, float]]
    speeds: dict[int, float]
    deepest: dict[int, float]

    def usual_feed(self, number: int, way: Way) -> tuple[float, float] | None:
        """Least and most of a cutter on a way of this kind, else of any kind; None where it never cuts."""
        if (number, _kind(way)) in self.feeds:
            return self.feeds[number, _kind(way)]
        others = [value for (n, _), value in self.feeds.items() if n == number]
        return (min(low for low, _ in others), max(high for _, high in others)) if others else None


def _kind(way: Way) -> str:
    drop = way.start[2] - way.end[2]
    return "level" if drop <= 1e-6 else "down" if way.length < 1e-6 else "slope"


def norm_of(made: Run, wood: Wood) -> Norm:
    feeds: dict[tuple[int, str], tuple[float, float]] = {}
    speeds: dict[int, float] = {}
    deepest: dict[int, float] = {}
    before: list[Way] = []
    for step in made.steps:
        way, feed = step.way, float(step.state.feed or 0)
        if way and min(way.start[2], way.end[2]) < 0:
            if not step.rapid:
                number = way.cutter.number
                least, most = feeds.get((number, _kind(way)), (feed, feed))
                feeds[number, _kind(way)] = min(least, feed), max(most, feed)
                speeds[number] = float(step.state.speed or 0)
                deepest[number] = max(deepest.get(number, 0.0), wood.ahead(way, before))
            before.append(way)
    return Norm(feeds, speeds, deepest)


class Found:
    """What the rules find: `lost` for certain, `unsure` where it is too near to call."""

    def __init__(self, lost: Sequence[str] = (), unsure: Sequence[str] = ()) -> None:
        self.lost, self.unsure = list(lost), list(unsure)

    def say(self, what: str, sure: bool = True) -> None:
        (self.lost if sure else self.unsure).append(what)


def rules(made: Run, wood: Wood, norm: Norm, unlike: Sequence[Way]) -> Found:
    """What is wrong with the moves of a program.

    unlike : the ways that the sound program does not make, or that only it makes
    """
    found, before = Found(made.lost, made.unsure), list[Way]()
    things, new = _things(wood.fixture), {way.key for way in unlike}
    for step in made.steps:
        way = step.way
        if not step.rapid and not step.state.feed:
            found.say(f"line {step.line}: no feed")
        if way is None:
            continue
        _travel(way, wood.fixture, found)
        _hold_downs(step, things, found)
        if min(way.start[2], way.end[2]) < -1e-6:
            if step.rapid and way.start != way.end:
                met = wood.met(way, before, 0.5)
                if met > NONE:
                    found.say(f"a rapid through {met:.2f} mm of wood", met > CHANGE)
                if step.state.spindle != "M3" and way.end[2] < way.start[2]:
                    found.say("lowered before the spindle turns", False)
            elif not step.rapid:
                near = any(_meet(way, other) for other in unlike)
                _fed(step, wood, before, norm, near, found)
                if way.key in new:
                    _down(way, found)
            _deep(way, wood.fixture, found)
            before.append(way)
    return found


def _fed(step: Step, wood: Wood, before: list[Way], norm: Norm, near: bool, found: Found) -> None:
    way, feed, rpm = step.way, float(step.state.feed or 0), float(step.state.speed or 0)
    number = way.cutter.number
    usual = norm.usual_feed(number, way)
    odd = max(feed / usual[1], usual[0] / feed) if usual and feed else _OTHER_FEED
    spinning = step.state.spindle == "M3" and rpm > 0
    speed = norm.speeds.get(number, 0.0)
    same_speed = bool(rpm) and 0.95 < rpm / (speed or rpm) < 1.05
    if not (near or odd > _SAME_FEED or not same_speed or not spinning):
        return
    met = wood.met(way, before)
    if met < NONE:
        return
    if not spinning:
        found.say("fed with the spindle not turning")
    elif not same_speed:
        found.say(f"another speed, {rpm:g}", False)
    if not usual:
        found.say(f"T{number} does not cut in the sound program", False)
    elif odd > _SAME_FEED:
        found.say(f"line {step.line}: fed at {feed:g}, {odd:.1f} times off", odd >= _OTHER_FEED and met > 0.5)
    if near:
        _load(way, wood.ahead(way, before), norm, found)
        drop, bears = way.start[2] - way.end[2], way.cutter.plunge_mm_min or way.cutter.feed_mm_min / 3
        down = feed * drop / max(float(np.hypot(way.length, drop)), 1e-9)
        if down > 1.02 * bears:
            found.say(f"line {step.line}: down at {down:.0f} a minute", down > 3 * bears and met > 0.5)


def _load(way: Way, ahead: float, norm: Norm, found: Found) -> None:
    cutter = way.cutter
    deepest = norm.deepest.get(cutter.number, 0.0)
    limit = cutter.step_down or cutter.profile.diameter
    if cutter.profile.kind == "drill":
        if way.length > 0.05:
            found.say("a drill moved sideways")
        elif ahead > deepest + CHANGE:
            found.say("drilled deeper at once", False)
        return
    if ahead > max(limit, deepest) + NONE:
        # For a moment a cutter bears more.
        sure = ahead > 1.5 * limit and deepest < limit + NONE and way.length > 2 * cutter.profile.diameter
        found.say(f"{ahead:.2f} mm at once, {limit:g} is its pass", sure)


def _down(way: Way, found: Found) -> None:
    """Of a way that the sound program does not make."""
    drop = way.start[2] - way.end[2]
    if drop > NONE and way.length > 1e-6:
        angle = degrees(atan2(drop, way.length))
        if angle > (way.cutter.ramp_angle_deg or 10.0) + 0.05:
            found.say(f"down at {angle:.0f} degrees", False)
    if drop > NONE and not way.cutter.centre_cutting:
        found.say("down with a cutter dead at its centre", way.length < 1e-6)


def _deep(way: Way, fixture: tp.Fixture, found: Found) -> None:
    thick, low = fixture.board.thickness, min(way.start[2], way.end[2])
    radius = way.cutter.profile.diameter / 2
    places = way.places(0.5)
    over = -thick - low - fixture.spoilboard_depth
    if over > -0.2:
        holes = turned(np.array([(d.x, d.y) for d in fixture.dowels]).reshape(-1, 2), fixture)
        for dowel, (x, y) in zip(fixture.dowels, holes):
            if (np.hypot(places[:, 0] - x, places[:, 1] - y) + radius <= dowel.diameter / 2 + 0.18).all():
                over = -thick - low - dowel.depth - way.cutter.profile.tip_height
        if over > 0.001:
            found.say(f"{over:.2f} mm too deep into the spoilboard", over > 0.05)
    edges = way.cutter.cutting_length
    if edges and -low > edges + 0.2:
        found.say("deeper than its edges are long", False)
    places = places[places[:, 2] < -NONE]
    if len(places):
        past = np.max([-places[:, 0], places[:, 0] - fixture.board.width, -places[:, 1],
                       places[:, 1] - fixture.board.height]) + radius - fixture.overhang  # fmt: skip
        if past > 1e-6:
            found.say(f"{past:.2f} mm past the edge of the board", past > CHANGE)


def _travel(way: Way, fixture: tp.Fixture, found: Found) -> None:
    zero = zero_of(fixture)
    for axis in range(3):
        reach = max(abs(way.end[axis] - zero[axis]), abs(way.end[axis] - way.start[axis]))
        if reach > fixture.machine.travel[axis] + 1:
            found.say("farther than the machine goes")
        elif reach > fixture.machine.travel[axis] / 2:
            found.say("far out", False)
    if way.end[2] > 60:
        found.say("high up", False)


def _things(fixture: tp.Fixture) -> list[tuple[BaseGeometry, float, str]]:
    """Area as it lies, height, and the stop from which on it stands."""
    found = []
    for screw in fixture.screws:
        at = turned(np.array([[screw.x, screw.y]]), fixture)[0]
        found.append((shapely.Point(at).buffer(screw.head_diameter / 2, quad_segs=32), screw.height, screw.driven_at))
    for clamp in fixture.clamps:
        area = shapely.transform(clamp.area, lambda points: turned(points, fixture))
        found.append((area, clamp.height, ""))
    for dowel in fixture.dowels if fixture.turned else ():
        at = turned(np.array([[dowel.x, dowel.y]]), fixture)[0]
        found.append((shapely.Point(at).buffer(dowel.diameter / 2, quad_segs=32), dowel.standing, ""))
    return found


def _hold_downs(step: Step, things: list[tuple[BaseGeometry, float, str]], found: Found) -> None:
    way = step.way
    assert way is not None
    highest = max((height for _, height, _ in things), default=0.0)
    low = min(way.start[2], way.end[2])
    nut = way.cutter.stick_out
    if low >= highest + 0.5 and (nut is None or low + nut >= highest + 0.5):
        return
    places = way.places(0.25)
    for area, height, stop in things:
        if stop and stop not in step.stops:
            continue
        away = shapely.distance(shapely.points(places[:, :2]), area)
        wide = way.cutter.profile.diameter / 2
        for lowest, radius in ((places[:, 2], wide), (places[:, 2] + (nut or 99), way.cutter.nut_diameter / 2)):
            inside = np.minimum(height - lowest, radius - away)
            if inside.max() > -0.3:
                found.say(f"line {step.line}: at what holds the board", bool(inside.max() > CHANGE))


def loose(fixture: tp.Fixture, top: list[Way], below: list[Way], stops: set[str]) -> float:
    """mm2 of the largest piece of wood that nothing holds, at the end; 0 where all is held."""
    board = fixture.board
    xs, ys = (np.arange(_GRID / 2, size, _GRID) for size in (board.width, board.height))
    points = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    wood = Wood(fixture, below)
    stands = (heights(top, points) - wood.bottom(points) > 0.05).reshape(len(ys), len(xs))
    held = [area for area, _, stop in _things(fixture) if not stop or stop in stops]
    held += [shapely.transform(grip, lambda p: turned(p, fixture)) for grip in fixture.grips]
    worst = 0
    for cells in _pieces(stands):
        spots = shapely.points(points.reshape(len(ys), len(xs), 2)[tuple(np.array(cells).T)])
        if not any(shapely.intersects(area.buffer(_GRID), spots).any() for area in held):
            worst = max(worst, len(cells))
    return worst * _GRID * _GRID


def _pieces(stands: np.ndarray) -> list[list[tuple[int, int]]]:
    left = {(int(a), int(b)) for a, b in np.argwhere(stands)}
    pieces = []
    while left:
        piece = [left.pop()]
        for a, b in piece:
            for beside in ((a + 1, b), (a - 1, b), (a, b + 1), (a, b - 1)):
                if beside in left:
                    left.remove(beside)
                    piece.append(beside)
        pieces.append(piece)
    return pieces


def changed(
    sound: list[Way], other: list[Way], unlike: Sequence[Way], fixture: tp.Fixture, area: BaseGeometry
) -> float:
    """0 where the part within an area (as the board lies) is the same, CHANGE where it is another, else NONE."""
    if not unlike:
        return 0.0
    points = np.concatenate([probes(way) for way in unlike])
    points = points[shapely.contains_xy(area, *points.T)]
    if not len(points):
        return 0.0
    thick = fixture.board.thickness
    boxes = [w.box for w in unlike]
    around = shapely.box(min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes),
                         max(b[3] for b in boxes))  # fmt: skip
    sound, other = ([w for w in ways if shapely.box(*w.box).intersects(around)] for ways in (sound, other))
    now = np.maximum(heights(other, points), -thick)
    for much in (CHANGE, NONE):
        lowest = np.clip(heights(sound, points, much, much), -thick, -much)
        highest = np.maximum(heights(sound, points, -much, -much), -thick)
        # Wood left standing, no wider than that, is a whisker.
        stands = now if much == NONE else np.maximum(heights(other, points, much / 2), -thick)
        if (now < lowest - 1e-6).any() or (stands > highest + 1e-6).any():
            return much
    return 0.0
