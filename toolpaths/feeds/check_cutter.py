"""What is odd about the numbers that a cutter is run at, said before any program is written."""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.base.checks import instance
from toolpaths.facts.chip_loads import RUBS, TOO_THICK, TOO_THIN, chip_and_limit, sound_range, thin_share
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.machine import Machine
from toolpaths.facts.woods import WoodKind, kind_of
from toolpaths.feeds.figure import PRACTICE
from toolpaths.feeds.milling_formulas import chip_load, thickness_share
from toolpaths.feeds.suggested_chip import SMALL_SHARE, depth_share
from toolpaths.feeds.suggested_depth import steepest_ramp

# What rounding may add to a limit, as in the simulator's checks; and what it may take off a chip that is aimed at,
# where feeds and speeds are rounded to two or three digits.
_SLACK, _ROUNDED = 0.01, 0.02


def check_cutter(cutter: Cutter, *, wood: str, machine: Machine) -> tuple[str, ...]:
    """What a woodworker would look at twice in how this cutter is run; nothing is changed or refused.

    wood : as for Board
    The limits are those of the machine, those by which the simulator judges a program, and the rules
    that suggestions follow, each named in the text.

    >>> import toolpaths as tp
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=16000, step_down=2, plunge_mm_min=900)
    >>> tp.check_cutter(cutter, wood="oak", machine=tp.Machine())
    ('plunge_mm_min=900 is more than half the feed, 750 mm/min (common practice, no source).',)

    Raises InputError for a wood that is not listed.
    """
    kind = kind_of(wood)
    instance("cutter", cutter, Cutter)
    instance("machine", machine, Machine)
    return (
        *_speeds(cutter, machine),
        *_chips(cutter, kind, machine),
        *(() if cutter.profile.kind in ("drill", "undercut") else _passes(cutter, kind, machine)),
    )


def _over(value: float, limit: float) -> bool:
    return value > limit * (1 + _SLACK)


def _speeds(cutter: Cutter, machine: Machine) -> Iterator[str]:
    slowest, fastest = machine.spindle_rpm
    if not slowest <= cutter.spindle_rpm <= fastest:
        yield (
            f"spindle_rpm={cutter.spindle_rpm:g}: the spindle of the {machine.name} turns at {slowest:g} to "
            f"{fastest:g} rpm."
        )
    if cutter.feed_mm_min > machine.rapid_mm_min:
        yield f"feed_mm_min={cutter.feed_mm_min:g}: the {machine.name} does {machine.rapid_mm_min:g} at most."
    for name in ("plunge_mm_min", "ramp_mm_min"):
        feed = getattr(cutter.running, name)
        if feed > cutter.feed_mm_min:
            yield f"{name}={feed:g} is faster than the feed, {cutter.feed_mm_min:g}; the way down is the harder one."
    half = cutter.feed_mm_min / 2
    if cutter.profile.kind != "drill" and half < cutter.running.plunge_mm_min <= cutter.feed_mm_min:
        plunge = cutter.running.plunge_mm_min
        yield f"plunge_mm_min={plunge:g} is more than half the feed, {half:g} mm/min ({PRACTICE})."


def _chips(cutter: Cutter, wood: WoodKind, machine: Machine) -> Iterator[str]:
    """In the words of the simulator's own check, where it would find the same."""
    chip = chip_load(cutter.feed_mm_min, cutter.spindle_rpm, cutter.flutes)
    given, diameter = cutter.chip_load_mm, cutter.profile.working_diameter
    if given is None and cutter.profile.kind in ("drill", "undercut"):
        kind = "drills" if cutter.profile.kind == "drill" else "undercut cutters"
        yield f"{cutter.profile} takes chips of {chip:.3f} mm; no chart here is for {kind}, so it is not judged."
        return
    least, most = given or sound_range(diameter, wood)
    shown, limit = chip_and_limit(chip, least if chip < least else most)
    says = f"{cutter.profile} with {cutter.flutes} flutes takes chips of {shown} mm, " + (
        "as given for it " if given else f"for {wood or 'any wood'} "
    )
    # A range that was widened for a narrow cut is still of chips as thick as in a full one.
    by_chart = given is None or cutter.widest_cut < 0.5
    deep = 1.0 if given else depth_share(cutter.running.step_down, diameter)
    thick = chip * thickness_share(cutter.widest_cut)
    at_most = "" if thick == chip else f"{thick:.3f} at their thickest, "
    small = sound_range(diameter, wood)[1] * SMALL_SHARE[1]
    rubs = RUBS[1] * thin_share(diameter)
    if chip < least * (1 - _SLACK):
        yield says + TOO_THIN.format(limit=limit) + "."
    elif by_chart and thick < rubs * (1 - _ROUNDED):
        yield (f"{says}{at_most}less than {rubs:.3f}: it may rub ({PRACTICE}); feed faster or turn slower.")
    if _over(chip, most):
        yield says + TOO_THICK.format(limit=limit) + "."
    elif _over(chip, most * deep):
        yield (
            f"{says}more than {most * deep:.3f} at {cutter.running.step_down / diameter:.2g} diameters "
            "deep (charts: 25 % less at 2, 50 % at 3); feed slower, turn faster or go down in more passes."
        )
    elif by_chart and not machine.rigid and _over(thick, small):
        yield (
            f"{says}{at_most}more than {small:.3f}, half of what charts print for rigid machines, and the "
            f"{machine.name} is not said to be rigid ({PRACTICE})."
        )


def _passes(cutter: Cutter, wood: WoodKind, machine: Machine) -> Iterator[str]:
    deep, diameter = cutter.running.step_down, cutter.profile.working_diameter
    if _over(deep, cutter.body.cutting_length):
        yield f"step_down={deep:g} is more than the cutting length, {cutter.body.cutting_length:g} mm."
    if _over(deep, 3 * diameter):
        yield f"step_down={deep:g} is {deep / diameter:.2g} diameters; the charts end at 3."
    elif not machine.rigid and _over(deep, diameter / 2):
        yield (
            f"step_down={deep:g} is {deep / diameter:.2g} of the diameter; small machines take 0.3 to 0.5 at once "
            f"({PRACTICE})."
        )
    elif _over(deep, diameter):
        yield f"step_down={deep:g} is more than one diameter, the depth that the charts are for."
    if _over(cutter.running.ramp_angle_deg, steepest_ramp(wood)):
        yield (
            f"ramp_angle_deg={cutter.running.ramp_angle_deg:g} is steeper than {steepest_ramp(wood):g} degrees, the "
            f"most in {wood or 'a wood not named'} ({PRACTICE})."
        )
