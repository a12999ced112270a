"""Four sentences about the programs of one side, each proved from their text, or not.

A motion is bounded, never sampled: its tip lies between two heights, along chords whose error widens the cutter. At
every height the disc that the cutter is there has to stay within an area, which is asked for by distances from the
area's border. Where a bound is too rough to tell, a motion is halved; what is not proved when it falls by less than a
few thousandths of a mm is not proved. Nothing is shared with those who make programs or judge them, but the facts.
Taken for granted: a machine that follows its program, a start from a place clear of everything, and the facts as given.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, inf, pi
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.proving.allowed_area import CHORDS, AllowedArea
from toolpaths.proving.motion import Flags, Motion
from toolpaths.proving.read_pieces import NotUnderstood, SideText, read_pieces

SENTENCES = (
    "nothing of the part is cut",
    "no rapid meets wood",
    "nothing is cut too deep",
    "nothing meets a hold-down",
)
# mm, more of the part than which must not be cut: a path may be off by half of that.
WITHIN = 0.02
# mm: motions that fall by less, and heights, are not halved; wood in the way of a rapid that is none.
_FINEST, _TOUCHES = 0.004, 0.02
# Motions that are looked at together.
_AT_ONCE = 5000
# Of a disc in chords, how near to its middle they come, by its radius.
_CIRCLE = cos(pi / 4 / CHORDS)


class Sentence(NamedTuple):
    """One of SENTENCES; why it is not proved, "" where it is."""

    text: str
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class Proof:
    """What is proved of the programs of one side.

    within : mm from its surface, as it is drawn, in which all lies that is cut of the part
    straight : whether it is proved for machines alone whose rapids go straight
    """

    sentences: tuple[Sentence, ...]
    within: float
    straight: bool = False

    @property
    def holds(self) -> bool:
        """Whether all is proved."""
        return not any(sentence.why_not for sentence in self.sentences)

    def __str__(self) -> str:
        missing = [f"Not proved that {text}: {why_not}." for text, why_not in self.sentences if why_not]
        where = f"within {self.within:g} mm{', if rapids go straight' if self.straight else ''}"
        return "\n".join(missing) or f"Proved to {where}: {'; '.join(SENTENCES)}."


def prove(
    texts: Sequence[str], part: Part, fixture: Fixture, cutters: Sequence[Cutter], *, within: float = WITHIN
) -> Proof:
    """What can be proved of the programs that are run on one side of a board, one after another.

    within : mm from its surface, as it is drawn, in which all has to lie that is cut of the part
    """
    try:
        side, allowed = read_pieces(texts), AllowedArea(part, fixture, within)
        for straight in (False, True):
            motion = Motion.of(side.pieces, rack(tuple(cutters)), fixture, straight)
            cut, wood = _cut_into_part(motion, allowed), _rapid_in_wood(motion)
            why = [cut, wood, _too_deep(motion, fixture), _hold_down_met(motion, fixture, side)]
            if not any(why):
                break
    except NotUnderstood as error:
        why, straight = [f"the program is not understood, {error}"] * len(SENTENCES), False
    return Proof(tuple(map(Sentence, SENTENCES, why)), within, straight)


def _cut_into_part(motion: Motion, allowed: AllowedArea) -> str:
    below = motion.some(motion.low < 0)
    # A share at a time: halves of very many motions would not find room.
    numbers = np.arange(len(below.number))
    shares = (below.some(numbers[at : at + _AT_ONCE]) for at in numbers[::_AT_ONCE])
    return next(filter(None, (_share_cut(_not_as_meant(share, allowed), allowed) for share in shares)), "")


def _share_cut(rest: Motion, allowed: AllowedArea) -> str:
    """Where some of it may come into the part.

    What may be taken is one area from each step of the part up to the next: a cutter that has room in it as wide as it
    is anywhere below the upper step has room at every height between.
    """
    steps = [step for step in allowed.steps if step < 0]
    for low, high in zip([-inf, *steps], [*steps, 0.0]):
        area, left = allowed.at(low), rest.some(rest.low < high)
        while len(left.number):
            left = left.some(~_inside(area, left, left.radii(high - left.low)))
            lowest = left.standing(left.ends[:, :, 2].argmin(axis=1))
            # Surely in the part where it is lowest; or it cannot be told better.
            wrong = ~_inside(area, lowest, lowest.radii(high - lowest.low)) | (left.high - left.low < _FINEST)
            if wrong.any():
                return left.where(wrong)
            left = left.halves()
            left = left.some(left.low < high)
    return ""


def _not_as_meant(motion: Motion, allowed: AllowedArea) -> Motion:
    """What of a motion is not within what one feature takes that is made by just that; halved where that helps."""
    rest = motion.some(~allowed.made(motion))
    steep = (rest.high - rest.low > _FINEST) & allowed.slopes_under(rest.lines)
    # No half of it is where its lowest place is not.
    falling = rest.some(steep)
    steep[steep] = allowed.made(falling.standing(falling.ends[:, :, 2].argmin(axis=1)))
    return rest.some(~steep).also(_not_as_meant(rest.some(steep).halves(), allowed)) if steep.any() else rest


def _inside(area: BaseGeometry, motion: Motion, radii: Floats) -> Flags:
    """Whether all within so much of each line lies in an area: it begins there, and comes no nearer to the border."""
    border = area.boundary
    shapely.prepare(border)
    begins = shapely.contains_xy(area, *motion.ends[:, 0, :2].T)
    return np.asarray(begins & ~shapely.dwithin(border, motion.lines, radii))


def _rapid_in_wood(motion: Motion) -> str:
    rapids = np.array([piece.rapid for piece in motion.pieces], bool)
    cuts = motion.some(~rapids & (motion.tools > 0) & (motion.low < 0))
    # What has a head under the wood opens its way up only where it came straight down from above the board.
    headed = -cuts.low > np.array([cuts.cutters[number].opens_above_tip for number in cuts.tools.tolist()])
    cuts = cuts.some(~headed | ((shapely.length(cuts.lines) == 0) & (cuts.high >= 0)))
    slopes = cuts.some(cuts.low < cuts.high)
    cuts = cuts.also(slopes.standing(0)).also(slopes.standing(1))
    tree = shapely.STRtree(cuts.lines)
    widest = max((cutter.radius for cutter in motion.cutters.values()), default=0.0)
    for nth in np.flatnonzero(rapids & (motion.low < 0)):
        rapid = motion.some(np.array([nth]))
        near = tree.query(rapid.lines[0], "dwithin", float(rapid.radii(-rapid.low)[0]) + widest)
        if not _stays_in(rapid, cuts.some(near[cuts.number[near] < nth])):
            return rapid.where(np.array([True]))
    return ""


def _stays_in(rapid: Motion, before: Motion) -> bool:
    """Whether one rapid stays in what these cuts took, from its lowest place up to the face."""
    line, low = rapid.lines[0], float(rapid.low[0])
    alike = (before.tools == rapid.tools[0]) & (before.high <= low) & (shapely.distance(before.lines, line) < 1e-9)
    # Up or down where the same cutter stood as deep, which nowhere gets narrower upwards, there is nothing to look at.
    heights = [] if alike.any() and line.length + rapid.off[0] == 0 else [(low, 0.0)]
    while heights:
        bottom, top = heights.pop()
        wide = float(rapid.radii(np.array([top - low]))[0]) - _TOUCHES
        if wide <= 0 or _cover(before.some(before.high <= bottom), bottom, line, wide):
            continue
        if top - bottom < _FINEST:
            return False
        heights += [(bottom, (bottom + top) / 2), ((bottom + top) / 2, top)]
    return True


def _cover(cuts: Motion, z: float, line: BaseGeometry, wide: float) -> bool:
    """Whether all within so much of a line is taken at a height by these cuts, none of which is above it."""
    above_tips = zip(cuts.tools.tolist(), z - cuts.high)
    radii = np.array([cuts.cutters[tool].profile.radius_at(up) for tool, up in above_tips]) - cuts.off
    # One straight cut is often enough: no place of a line is farther from it than the farther end.
    farthest = shapely.distance(cuts.lines[:, None], shapely.points(shapely.get_coordinates(line))).max(axis=1)
    if ((shapely.get_num_coordinates(cuts.lines) <= 2) & (farthest + wide <= radii)).any():
        return True
    # Discs lie within their circles, so this one has to be wider.
    rest, reach = shapely.buffer(line, wide / _CIRCLE, quad_segs=CHORDS), wide + (radii + cuts.off).max(initial=0.0)
    around = shapely.bounds(line) + reach * np.array([-1, -1, 1, 1])
    near = np.where(shapely.length(cuts.lines) > 0, shapely.clip_by_rect(cuts.lines, *around), cuts.lines)
    # The nearest first; of passes that go the same way at several heights one is enough.
    ways = np.column_stack([shapely.distance(cuts.lines, line), shapely.bounds(cuts.lines), radii]).round(9)
    for nth in np.unique(ways, axis=0, return_index=True)[1]:
        rest = shapely.difference(rest, shapely.buffer(near[nth], max(radii[nth], 0.0), quad_segs=CHORDS))
        if rest.area < 1e-9:
            return True
    return False


def _too_deep(motion: Motion, fixture: Fixture) -> str:
    deep = motion.some(motion.low < fixture.underside_z)
    below = fixture.underside_z - deep.low
    radii = deep.radii(below)
    points = np.array([deep.cutters[number].profile.tip_height if number else 0.0 for number in deep.tools.tolist()])
    limits = fixture.spoilboard_limits(
        lambda x, y: np.asarray(shapely.hausdorff_distance(deep.lines, shapely.Point(x, y)) + radii), points
    )
    return deep.where(below > limits + _FINEST)


def _hold_down_met(motion: Motion, fixture: Fixture, side: SideText) -> str:
    for thing in fixture.standing():
        # It may be there from the first stop on beside which its message stands, else all the time.
        words = _plain(thing.driven_at)
        since = next((before for said, before in side.stops if words.strip() and words in _plain(said)), 0)
        near = motion.some((motion.low < thing.height) & (motion.number >= since) & (thing.kind != "grip"))
        what, radius = (thing.area, 0.0) if thing.area else (shapely.Point(thing.x, thing.y), thing.radius)
        met = shapely.dwithin(what, near.lines, near.radii(thing.height - near.low) + radius)
        if met.any():
            return f"{near.where(met)}, meets {thing.name}"
    return ""


def _plain(words: str) -> str:
    """Whole words, between blanks."""
    return " ".join(["", *"".join(each if each.isalnum() else " " for each in words.casefold()).split(), ""])
