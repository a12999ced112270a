"""Checks of the load on the cutter: depth and width of a pass, chip load.

All measure the wood that stands at that moment, in places along the way (see front.py).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.chip_loads import TOO_THICK, TOO_THIN, sound_range
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.woods import kind_of
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.wood_ahead import (
    MOST_SPOTS,
    SLACK,
    STRIPS,
    TAKES,
    Spots,
    Way,
    across,
    ahead,
    beside,
    by_move,
    highest,
    loaded,
    place_spots,
    sideways,
    spots,
    way_of,
)
from toolpaths.judging.wood.moves import Z0, Z1, follows_at
from toolpaths.judging.wood.sweep import Flags, Ints

# As shares of the diameter: how far apart a way is looked at, and over what length a load must last:
# more than the corner in which one row goes over into the next.
_SPACING, _LASTS = 0.5, 0.3
_FIVE = np.array([-0.97, -0.6, 0.0, 0.6, 0.97])
# mm; a depth may exceed its limit by what rounding two heights to three decimals can add.
_ALLOWED = 0.01


def deep_pass(trial: Trial) -> Iterator[Finding | str]:
    """A sideways move takes more depth at once than the cutter bears; and where that is looked at far apart.

    The limit is the user's step_down, else one diameter, the base of makers' charts (Amana Tool, AST
    Tooling).
    """
    case = trial.case
    for tool, cutter in case.cutters.items():
        limit = cutter.bears.deepest_pass + _ALLOWED
        deep = _deep(trial, tool)
        if not len(deep):
            continue
        way, lasts = way_of(case, deep), _LASTS * cutter.diameter
        far = float(way.begin[-1])
        if far > MOST_SPOTS * _SPACING * cutter.diameter:
            yield (
                f"{cutter} goes {far / 1000:.0f} m deep in the wood; its load is looked at every "
                f"{far / MOST_SPOTS:.0f} mm of that, so a short overload may go unseen."
            )
        at, _ = spots(way, _SPACING * cutter.diameter, lasts, MOST_SPOTS)
        spot, depth, width = loaded(trial, cutter, way, at, limit, lasts)
        if len(depth):
            full = " over its full width" if width.max() > 1 - 1.5 / STRIPS else ""
            yield folded(
                "deep-pass", "damage", *by_move(case, spot.move, spot.tip, depth), cutter.bears.deepest_pass,
                f"{cutter} takes {{amount}} mm of depth at once{full}; it bears {cutter.bears.deepest_pass:g} mm. "
                "Go down in more passes.",
            )  # fmt: skip


def _deep(trial: Trial, tool: int) -> Ints:
    """The sideways moves of a cutter that may be too deep a pass, in the order of the program."""
    case, top, bears = trial.case, highest(trial), trial.case.cutters[tool].bears.deepest_pass
    mine = np.flatnonzero(sideways(case) & (case.tool == tool) & (case.low < top))
    deep = case.low[mine] < top - bears - _ALLOWED
    if not deep.any():
        return mine[deep]
    # The passes of a contour, one below the other, need no look, but for the first after another.
    alone = ~follows_at(case.table[:, mine], bears)
    alone[1:] |= alone[:-1].copy()
    return mine[deep & alone]


def drill_sideways(trial: Trial) -> Iterator[Finding]:
    """A drill is fed sideways in wood: it cuts with its point only, bends and breaks (common practice, no source)."""
    case, top = trial.case, highest(trial)
    for tool, cutter in case.cutters.items():
        if cutter.profile.kind != "drill":
            continue
        way = way_of(case, np.flatnonzero(sideways(case) & (case.tool == tool) & (case.low < top - TAKES)))
        at, _ = spots(way, _SPACING * cutter.diameter, 0.0, MOST_SPOTS // 2)
        if not len(at):
            continue
        spot = place_spots(case, way, at)
        # Half way out on its point.
        depth = ahead(case, trial.before, way, spot, cutter.radius / 2, _FIVE).max(axis=1)
        hit = np.flatnonzero(depth > cutter.profile.tip_height / 2 + TAKES)
        if len(hit):
            spot = place_spots(case, way, at[hit])
            yield folded(
                "drill-sideways", "danger", *by_move(case, spot.move, spot.tip, depth[hit]), 0.0,
                f"{cutter} is fed sideways in wood {{amount}} mm above its tip; a drill only goes straight down. Is it "
                "the cutter meant?",
            )  # fmt: skip


def wide_pass(trial: Trial) -> Iterator[Finding]:
    """A level move takes more of the cutter's width than the user's widest_cut."""
    case, top = trial.case, highest(trial)
    for tool, cutter in case.cutters.items():
        if cutter.widest_cut >= 1:
            continue
        level = sideways(case) & (case.table[Z0] == case.table[Z1])
        way = way_of(case, np.flatnonzero(level & (case.tool == tool) & (case.low < top - TAKES)))
        lasts = _LASTS * cutter.diameter
        at, _ = spots(way, _SPACING * cutter.diameter, lasts, MOST_SPOTS // 2)
        # Counted in strips a width may come out one strip wrong: first roughly, then what is close.
        for strips, sign in ((STRIPS, -1), (4 * STRIPS, 1)):
            width = np.minimum(*(_width(trial, cutter, way, at + more, strips) for more in (0.0, lasts)))
            wide = width > cutter.widest_cut + sign / strips
            at, width = at[wide], width[wide]
        if len(at):
            limit = cutter.widest_cut * cutter.diameter
            spot = place_spots(case, way, at)
            yield folded(
                "wide-pass", "damage", *by_move(case, spot.move, spot.tip, width * cutter.diameter), limit,
                f"{cutter} cuts {{amount}} mm wide; its widest_cut is {cutter.widest_cut:g} of its diameter, "
                f"{limit:g} mm. Move over by less from pass to pass.",
            )  # fmt: skip


def _width(trial: Trial, cutter: Cutter, way: Way, at: Floats, strips: int) -> Floats:
    """(s,) width of the cut as a share of the diameter."""
    if not len(at):
        return at
    spot = place_spots(trial.case, way, at)
    half = _half_up(trial, cutter, spot)
    radius = cutter.profile.radii(half)
    heights = beside(trial.case, trial.before, way, spot, radius, across(strips))
    return np.asarray((heights > half[:, None] + TAKES).mean(axis=1) * radius / cutter.radius)


def _half_up(trial: Trial, cutter: Cutter, spot: Spots) -> Floats:
    """(s,) where above the tip its width is looked at: at once for a flat cutter, which is as wide
    everywhere, else half way up to the wood's top."""
    depth = highest(trial) - spot.tip[:, 2]
    return np.asarray(depth / 2 if cutter.profile.tip_height > 0 else np.zeros(len(depth)))


def chip_load(trial: Trial) -> Iterator[Finding]:
    """A level move in wood whose feed and speed make chips too thin or too thick for the cutter.

    Between rubbing (common practice, no source) and the most that makers' charts print for the wood
    (see facts/chip_loads.py), or within the user's own range. Drills are fed by their own rule.
    """
    case, top = trial.case, highest(trial)
    speed = np.where(case.motions.spindle != 0, case.motions.spindle_rpm, 0.0)[case.motion]
    feed = case.motions.feed_mm_min[case.motion]
    level = sideways(case) & (case.table[Z0] == case.table[Z1]) & (case.low < top - TAKES)
    level &= (speed > 0) & (feed > 0)
    wood = kind_of(case.fixture.board.wood)
    for tool, cutter in case.cutters.items():
        if cutter.profile.kind == "drill":
            continue
        mine = np.flatnonzero(level & (case.tool == tool))
        chip = feed[mine] / (speed[mine] * cutter.flutes)
        least, most = cutter.chip_load_mm or sound_range(cutter.diameter, wood)
        where = "as given for it" if cutter.chip_load_mm else f"for {wood or 'any wood'}"
        for out, limit, word in (
            (chip < least * (1 - SLACK), least, TOO_THIN),
            (chip > most * (1 + SLACK), most, TOO_THICK),
        ):
            who = mine[out]
            if not len(who):
                continue
            way = way_of(case, who)
            at, _ = spots(way, _SPACING * cutter.diameter, 0.0, MOST_SPOTS // 2)
            spot = place_spots(case, way, at)
            cuts = _touches(trial, cutter, way, spot)
            if cuts.any():
                spot = place_spots(case, way, at[cuts])
                amounts = chip[np.searchsorted(mine, spot.move)]
                worst = float(amounts.min() if limit == least else amounts.max())
                yield folded(
                    "chip-load", "doubt", *by_move(case, spot.move, spot.tip, amounts), limit,
                    f"{cutter} with {cutter.flutes} flutes takes chips of {worst:.3f} mm, {where} "
                    + word.format(limit=f"{limit:.3f}") + ".",
                )  # fmt: skip


def _touches(trial: Trial, cutter: Cutter, way: Way, spot: Spots) -> Flags:
    """(s,) whether the cutter takes any wood there, at its tip or beside it: a chamfer's tip may run in air."""
    found = np.zeros(len(spot.at), bool)
    for up in (np.zeros(len(spot.at)), _half_up(trial, cutter, spot)):
        radius = cutter.profile.radii(up + TAKES)
        found |= (ahead(trial.case, trial.before, way, spot, radius, _FIVE) > up[:, None] + TAKES).any(axis=1)
    return found
