"""Speed and feeds that a machine can go at, for the chip that is meant."""

from __future__ import annotations

from math import ceil, floor

from toolpaths.facts.chip_loads import AMANA
from toolpaths.facts.machine import Machine
from toolpaths.feeds.figure import NOT_LIMITED, PRACTICE, Figure

# rpm; what the makers' feeds are printed for.
_CHART_RPM = 18000.0

# Of the machine's fastest, so that no rounding goes beyond it: a feed in inches is written as whole ones a minute.
_WITHIN = 0.995


def whole_down(value: float) -> float:
    """A feed as one would type it: whole mm/min, from 1000 up whole tens, never more than it was."""
    step = 10 if value >= 1000 else 1
    return floor(value / step) * step if value >= 10 else value


def suggested_speed(machine: Machine, per_turn: float, own_feed: float | None, drill: bool) -> Figure:
    """rpm at which the spindle makes the chip that is meant; per_turn : feed per turn for that chip, mm.

    At a feed of the user's the speed that makes the chip at it; else that of the charts, lowered where
    the machine is too slow for it. A drill turns as slowly as the spindle can.
    """
    slowest, fastest = machine.spindle_rpm
    if own_feed is not None:
        wanted = ceil(own_feed / per_turn / 100) * 100.0
        found = Figure(wanted, "your feed / (chip x flutes)", "your feed")
    elif drill:
        return Figure(
            slowest, f"as slowly as the spindle turns, for a drill ({PRACTICE})", "heat: a drill need not be fast"
        )
    else:
        found = Figure(_CHART_RPM, f"{AMANA}: its feeds are for {_CHART_RPM:g}", "the chart")
        first = min(max(_CHART_RPM, slowest), fastest)
        if first * per_turn > _WITHIN * machine.rapid_mm_min:
            wanted = floor(_WITHIN * machine.rapid_mm_min / per_turn / 100) * 100.0
            why = f"the machine's fastest: at {first:g} the chip asks for {first * per_turn:.0f} mm/min"
            found = Figure(wanted, "the machine's fastest / (chip x flutes)", why)
    if found.value > fastest:
        return Figure(fastest, "the spindle's fastest", f"the spindle's fastest; {found.value:g} was wanted")
    if found.value < slowest:
        return Figure(slowest, "the spindle's slowest", f"the spindle's slowest; {found.value:g} was wanted")
    return found


def suggested_feed(machine: Machine, per_turn: float, rpm: Figure, aim: Figure) -> Figure:
    """mm/min; aim : the chip, which limits the feed where neither spindle nor machine does."""
    wanted, fastest = per_turn * rpm.value, machine.rapid_mm_min
    source = "chip x flutes x speed"
    # Lowered to suit the machine, a speed is still what the machine allows.
    if wanted > _WITHIN * fastest or rpm.limit.startswith("the machine's"):
        return Figure(whole_down(min(wanted, _WITHIN * fastest)), source, f"the machine's fastest, {fastest:g} mm/min")
    if rpm.limit.startswith("the spindle's"):
        return Figure(whole_down(wanted), source, f"{rpm.source}, {rpm.value:g} rpm, and {aim.limit}")
    return Figure(whole_down(wanted), source, aim.limit)


def suggested_ramp_feed(feed_mm_min: float, flutes: int, drill: bool) -> Figure:
    """mm/min, down a ramp."""
    if drill:
        return Figure(feed_mm_min, "not used: a drill goes straight down", NOT_LIMITED)
    return Figure(whole_down(feed_mm_min / flutes), f"full-width feed / flutes ({AMANA})", "the feed")


def suggested_plunge_feed(feed_mm_min: float, ramp_mm_min: float, drill: bool) -> Figure:
    """mm/min, straight down: no faster than down a ramp."""
    if drill:
        return Figure(feed_mm_min, "the feed, which for a drill is along its axis", "the feed")
    third = whole_down(feed_mm_min / 3)
    if ramp_mm_min < third:
        return Figure(ramp_mm_min, "the feed down a ramp", "the feed down a ramp")
    return Figure(
        third, f"full-width feed / 3 (LockDowel, E1000-H router bit data; 1/4 to 1/2: {PRACTICE})", "the feed"
    )
