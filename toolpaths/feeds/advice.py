"""Numbers to begin with for a cutter in a wood on a machine, each with where it comes from and what limited it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import floor, pi
from typing import Any

from toolpaths.base.checks import between, instance, optional, positive, whole
from toolpaths.base.errors import InputError
from toolpaths.facts.chip_loads import THICKEST, sound_range
from toolpaths.facts.cutter import MOST_FLUTES, SLOWEST, Cutter, chip_loads
from toolpaths.facts.machine import Machine
from toolpaths.facts.profile import Profile, checked_profile
from toolpaths.facts.woods import WoodKind, is_species, kind_of, species
from toolpaths.feeds.check_cutter import check_cutter
from toolpaths.feeds.figure import NOT_LIMITED, PRACTICE, YOURS, Figure, own_number
from toolpaths.feeds.milling_formulas import chip_load, power_w, removal_cm3_min, surface_speed_m_s, thickness_share
from toolpaths.feeds.printed_advice import table
from toolpaths.feeds.suggested_chip import suggested_chip
from toolpaths.feeds.suggested_depth import suggested_ramp_angle, suggested_step_down
from toolpaths.feeds.suggested_feed import suggested_feed, suggested_plunge_feed, suggested_ramp_feed, suggested_speed

# J/cm3, specific cutting energy at chips of 0.1 mm: planning ranges (common practice, no source, weak).
_ENERGY: dict[WoodKind, tuple[int, int]] = {"softwood": (15, 40), "hardwood": (30, 80), "MDF": (30, 60)}
_ANY_ENERGY = (15, 80)
# The numbers of a cutter that are suggested, and the facts that they are suggested from.
_RUN = ("spindle_rpm", "feed_mm_min", "plunge_mm_min", "ramp_mm_min", "step_down", "ramp_angle_deg")
_FACTS = ("flutes", "widest_cut", "chip_load_mm", "cutting_length")


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Advice:
    """How to run one cutter; made by advise().

    Each number is a Figure: its value, where it comes from, what kept it from being more. chip_mm is the
    thickest chip that a tooth takes; surface_speed_m_s and power_w are for information, nothing is held against them.
    notes : what is odd, and what else would work

    >>> from toolpaths import Machine, advise, flat
    >>> advise(flat(6), wood="birch", machine=Machine()).chip_mm.limit
    'a small machine: 0.4 of the chart (0.3 to 0.5: common practice, no source)'
    """

    profile: Profile
    wood: str
    machine: Machine
    flutes: int
    widest_cut: float
    chip_load_mm: tuple[float, float] | None
    cutting_length: float
    chip_mm: Figure
    spindle_rpm: Figure
    feed_mm_min: Figure
    plunge_mm_min: Figure
    ramp_mm_min: Figure
    ramp_angle_deg: Figure
    step_down: Figure
    surface_speed_m_s: Figure
    power_w: Figure
    notes: tuple[str, ...] = ()

    def cutter(self, number: int, **own: Any) -> Cutter:
        """The cutter, run as advised.

        own : any field of Cutter. A number given here or to advise() is taken as it is, and those that are
        not given follow it; check_cutter() says what is odd about the result.

        Raises InputError for numbers that make no cutter.
        """
        given = {name: own.pop(name) for name in (*_RUN, *_FACTS) if name in own}
        if given:
            known = {name: getattr(self, name) for name in _FACTS}
            known |= {name: figure.value for name, figure in self.figures().items() if figure.source == YOURS}
            again = advise(self.profile, wood=self.wood, machine=self.machine, **known | given)
            return again.cutter(number, **own)
        run = {name: getattr(self, name).value for name in _RUN}
        return Cutter(
            number, self.profile, **run, flutes=self.flutes, cutting_length=self.cutting_length,
            widest_cut=self.widest_cut, chip_load_mm=self.chip_load_mm or self._thinned(), **own,
        )  # fmt: skip

    def _thinned(self) -> tuple[float, float] | None:
        """The range of chip loads for a narrow cut, in which a chip load makes thinner chips; None for the charts'."""
        share = thickness_share(self.widest_cut)
        least, most = sound_range(self.profile.working_diameter, kind_of(self.wood))
        return (least / share, most / share) if share < 1 and self.profile.kind != "drill" else None

    def figures(self) -> dict[str, Figure]:
        """All numbers by name, the unit in the name; lengths and depths in mm."""
        return {name: getattr(self, name) for name in ("chip_mm", *_RUN, "surface_speed_m_s", "power_w")}

    def __repr__(self) -> str:
        speed, feed, deep = self.spindle_rpm.value, self.feed_mm_min.value, self.step_down.value
        wood = self.wood or "wood that is not named"
        return f"<Advice: {self.profile} in {wood}, {speed:g} rpm, {feed:g} mm/min, {deep:.3g} mm a pass>"

    def __str__(self) -> str:
        title = (
            f"{self.profile}, {self.flutes} flute{'s' if self.flutes > 1 else ''}, in "
            f"{self.wood or 'wood that is not named'}, on the {self.machine.name} "
            f"({'rigid' if self.machine.rigid else 'not rigid'})"
        )
        return "\n".join(table(title, self.figures(), self.notes))


def advise(
    profile: Profile,
    *,
    wood: str,
    machine: Machine,
    flutes: int = 2,
    widest_cut: float = 1.0,
    chip_load_mm: tuple[float, float] | None = None,
    cutting_length: float | None = None,
    spindle_rpm: float | None = None,
    feed_mm_min: float | None = None,
    plunge_mm_min: float | None = None,
    ramp_mm_min: float | None = None,
    step_down: float | None = None,
    ramp_angle_deg: float | None = None,
) -> Advice:
    """How to run a cutter in a wood on a machine, to begin with.

    Start low and listen: what the makers of cutter and machine say comes first.

    wood : as for Board: "MDF", "red oak", "oak"; "" if it is not said, which takes the thinnest chip of all
    widest_cut : the widest pass as a share of the diameter. Below half of it the feed is raised, since chips
        come out thinner than they are fed. Only for work without a slot: the first way through full wood is
        one. The simulator finds what is wider; ramps are fed as in full wood
    chip_load_mm : (least, most) a tooth from the cutter's maker, which then stands for the chart: fed as it
        is, nothing taken off for a small machine or a deep pass, nothing added for a narrow cut
    cutting_length : mm, measured; no pass is deeper
    spindle_rpm and all after it : your own numbers, taken as they are; those that you leave out follow them

    The speed is the chart's 18000 rpm, within the spindle's range, lower where the machine is too slow for
    the chip.

    >>> import toolpaths as tp
    >>> advice = tp.advise(tp.flat(6), wood="oak", machine=tp.Machine())
    >>> advice
    <Advice: flat 6 in oak, 18000 rpm, 2070 mm/min, 1.8 mm a pass>
    >>> advice.feed_mm_min.source
    'chip x flutes x speed'
    >>> advice.cutter(1, stick_out=30).feed_mm_min
    2070.0

    Raises InputError for a wood that is not listed, for numbers that make no cutter, for a feed so slow that it is
    taken for inches, and for a drill without chip_load_mm: no chart here is for drills.
    """
    checked_profile("profile", profile)
    instance("machine", machine, Machine)
    kind, drill = kind_of(wood), profile.kind == "drill"
    flutes, widest_cut = whole("flutes", flutes, 1, MOST_FLUTES), between("widest_cut", widest_cut, 0.01, 1.0)
    own = (spindle_rpm, feed_mm_min, plunge_mm_min, ramp_mm_min, step_down, ramp_angle_deg)
    spindle_rpm, feed_mm_min, plunge_mm_min, ramp_mm_min, step_down, ramp_angle_deg = (
        optional(name, number, positive) for name, number in zip(_RUN, own, strict=True)
    )
    chip_load_mm = optional("chip_load_mm", chip_load_mm, chip_loads)
    length = profile.usual_length if cutting_length is None else positive("cutting_length", cutting_length)

    deep = own_number(step_down) or suggested_step_down(profile, kind, machine.rigid, length)
    aim = suggested_chip(profile, kind, machine.rigid, deep.value, chip_load_mm)
    # What a chip load comes to at the chip's thickest.
    share = 1.0 if drill or chip_load_mm else thickness_share(widest_cut)
    per_turn = flutes * aim.value / share
    speed = own_number(spindle_rpm) or suggested_speed(machine, per_turn, feed_mm_min, drill)
    feed = own_number(feed_mm_min) or suggested_feed(machine, per_turn, speed, aim)
    if share < 1 and feed_mm_min is None:
        feed = replace(feed, source=f"{feed.source} x {1 / share:.2f}, since chips of a narrow cut come out thinner")
    if feed_mm_min is None and feed.value < SLOWEST:
        raise InputError(
            f"{profile} with {flutes} flutes at {speed.value:g} rpm comes to {feed.value:.0f} mm/min; slower than "
            f"{SLOWEST:g} is taken for inches. Give feed_mm_min={SLOWEST:g} or more, or take more flutes."
        )
    # The way down is as wide as the cutter, whatever the passes are.
    ramp = own_number(ramp_mm_min) or suggested_ramp_feed(feed.value * share, flutes, drill)
    section = pi / 4 * profile.diameter**2 if drill else deep.value * widest_cut * profile.diameter
    edge = surface_speed_m_s(profile.diameter, speed.value)
    made = Advice(
        profile=profile, wood=wood, machine=machine, flutes=flutes, widest_cut=widest_cut,
        chip_load_mm=chip_load_mm, cutting_length=length,
        chip_mm=_chip(aim, chip_load(feed.value, speed.value, flutes) * share, feed),
        spindle_rpm=speed, feed_mm_min=feed, ramp_mm_min=ramp,
        plunge_mm_min=own_number(plunge_mm_min) or suggested_plunge_feed(feed.value * share, ramp.value, drill),
        ramp_angle_deg=own_number(ramp_angle_deg) or suggested_ramp_angle(profile, kind),
        step_down=deep,
        surface_speed_m_s=Figure(edge, "pi x diameter x speed", NOT_LIMITED),
        power_w=_power(removal_cm3_min(section, feed.value), kind),
    )  # fmt: skip
    return replace(made, notes=(*_notes(made, aim, share), *check_cutter(made.cutter(1), wood=wood, machine=machine)))


def _chip(aim: Figure, came: float, feed: Figure) -> Figure:
    """The chip as it comes out, which may be less than was aimed at."""
    return Figure(came, aim.source, feed.limit if feed.source == YOURS or came < 0.98 * aim.value else aim.limit)


def _power(removal: float, kind: WoodKind) -> Figure:
    low, high = _ENERGY.get(kind, _ANY_ENERGY)
    least, most = power_w(removal, low), power_w(removal, high)
    source = f"{low} to {high} J/cm3 at full section, {least:.0f} to {most:.0f} W at the edge ({PRACTICE}, and weak)"
    return Figure(most, source, NOT_LIMITED)


def _notes(advice: Advice, aim: Figure, share: float) -> Iterator[str]:
    """What is no oddity of the cutter's numbers, but worth knowing, or would work better."""
    chip, speed, feed = advice.chip_mm.value, advice.spindle_rpm, advice.feed_mm_min
    # Where both are the user's, the chip is what they meant.
    if chip < 0.98 * aim.value and not speed.source == feed.source == YOURS:
        needed = aim.value / share * speed.value
        better = ["turn slower"] if speed.value > advice.machine.spindle_rpm[0] else []
        better += [f"a cutter of {floor(feed.value / needed)} would cut well"] if feed.value >= needed else []
        better += ["wider cuts make thicker chips"] if share < 1 else []
        rather = "fewer flutes or a slower spindle make" if advice.flutes > 1 else "only a slower spindle makes"
        yield (
            f"Chips of {chip:.3f} mm instead of {aim.value:.3f}: at {speed.value:g} rpm {advice.flutes} flutes ask for "
            f"{needed * advice.flutes:.0f} mm/min, and the feed is {feed.value:g}; "
            f"{', or '.join(better) or f'{rather} them thicker'}."
        )
    if advice.wood and is_species(advice.wood):
        yield f"{species(advice.wood)}, run as {kind_of(advice.wood)}."
    if share < 1:
        yield (
            f"The feed is for cuts no wider than {advice.widest_cut * advice.profile.diameter:g} mm; the first way "
            "through full wood is a slot and wider. The simulator finds what is."
        )
    if advice.profile.diameter > THICKEST:
        yield f"{advice.profile} is thicker than any chart's: look up the fastest speed that is marked on it."
