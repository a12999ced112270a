"""The programs of a job, read, and judged one after the other on one board that is turned over between them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from toolpaths.base.checks import label, sequence, values
from toolpaths.base.errors import InputError
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.turning import Turned
from toolpaths.judging.reader.motions import Program
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import judge, read_for, run_on, uncut
from toolpaths.judging.trial.case import Case, Trial, make_case
from toolpaths.judging.trial.cutter_in_spindle import STOPS, cutters_named
from toolpaths.judging.trial.screw_stops import ALONE, OperatorStop, OtherPrograms, messages_of, operator_stops
from toolpaths.judging.wood.field import Wood

# A text, several that are run one after the other on that side, or the same by name.
Texts = str | Sequence[str] | Mapping[str, str]
Side = tuple[Texts, Fixture]

# Findings about wood that stands: a later program of the same side may still take it away.
_UNFINISHED = ("leftover", "not-undercut", "not-parted", "tab-count", "tab-size")
# Findings of how the board lies, which is found once for all programs of a side.
_OF_THE_SIDE = ("levelled-face",)


class Setting(NamedTuple):
    """One program, and how the board lies under it.

    entry : which of the sides that were given it belongs to, from 0
    name : "front" or "back", with the program's own name or number where the side has several
    given : the fixture as the user gave it
    fixture : the same on the board that the whole job is judged on
    cutters : those that may be in the spindle
    last : whether no other program of this side follows, at once or once the board was turned over and back
    """

    entry: int
    name: str
    given: Fixture
    fixture: Fixture
    program: Program
    cutters: tuple[Cutter, ...]
    last: bool


class Judged(NamedTuple):
    """What one program did: on which wood, what is left, and what is wrong with it."""

    setting: Setting
    trial: Trial
    report: Report

    @property
    def case(self) -> Case:
        return self.trial.case

    @property
    def laid_wrong(self) -> bool:
        """Whether it fits the part as it lies another way, so that nothing it cuts is where it is meant to be."""
        return any(finding.code == "laid-wrong" for finding in self.report.findings)


def read_sides(sides: Sequence[Side], cutters: Iterable[Cutter]) -> tuple[Setting, ...]:
    """Every program of the job in order, read."""
    known = values("cutters", cutters, Cutter)
    entries = sequence("sides", sides, "a list of (text, fixture) for each side, the one that is cut first at the head")
    if not known:
        raise InputError("cutters is empty; give at least one cutter.")
    if not entries:
        raise InputError("sides must be a list of (text, fixture) for each side, the one cut first at the head.")
    for entry in entries:
        if not isinstance(entry, (list, tuple)) or len(entry) != 2 or not isinstance(entry[1], Fixture):
            raise InputError("each of sides must be (text, fixture), or (list of texts, fixture).")
    every = [(n, name, text, given) for n, (texts, given) in enumerate(entries) for name, text in _programs(texts)]
    names = _names([(given.side, name) for _, name, _, given in every])
    last = {given.side: at for at, (*_, given) in enumerate(every)}
    settings = []
    for at, (entry, _, text, given) in enumerate(every):
        program = read_for(text, given)
        fixture = on_the_board_of(entries[0][1], given)
        cutters_there = fitted(program, known)
        settings.append(Setting(entry, names[at], given, fixture, program, cutters_there, last[given.side] == at))
    return tuple(settings)


def _names(programs: list[tuple[str, str]]) -> list[str]:
    """A name for each program, by its side and its own name: "front", or where a side has several "front, program 2".

    No two are alike: of programs of one side that have one name the later ones are called "again", and so on.
    """
    names: list[str] = []
    for at, (side, own) in enumerate(programs):
        of_side = [n for n, (other, _) in enumerate(programs) if other == side]
        name = f"{side}, program {own or of_side.index(at) + 1}" if len(of_side) > 1 else side
        while name in names:
            name += " again"
        names.append(name)
    return names


def _programs(texts: Texts) -> Iterator[tuple[str, str]]:
    if isinstance(texts, str):
        texts = [texts]
    if isinstance(texts, Mapping) and texts:
        yield from ((label("the name of a program", name), text) for name, text in texts.items())
    elif isinstance(texts, (list, tuple)) and texts:
        yield from (("", text) for text in texts)
    else:
        raise InputError("A side's program is text (str), or a list of them in the order in which they are run.")


def on_the_board_of(first: Fixture, fixture: Fixture) -> Fixture:
    """The fixture with the board of the first side: there is only one board, whatever the second says."""
    if fixture.board == first.board:
        return fixture
    try:
        return replace(fixture, board=first.board)
    except InputError:
        # Its dowels lie where they do not mirror each other on the real board; that is a finding of its own.
        return replace(fixture, board=first.board, dowels=())


def fitted(program: Program, cutters: tuple[Cutter, ...]) -> tuple[Cutter, ...]:
    """The cutters that may be in the spindle: only one if the program changes none and its comments name one.

    This is how one file per cutter says which; a program that changes its cutters says so itself.
    """
    numbers = rack(cutters).keys()
    stops = [event.text for event in program.events if event.code in STOPS]
    if any(event.code == "M6" for event in program.events) or cutters_named(stops, numbers):
        return cutters
    named = cutters_named((text for _, text in program.comments), numbers)
    if len(named) != 1:
        return cutters
    return tuple(cutter for cutter in cutters if cutter.number in named)


def judge_programs(
    settings: Sequence[Setting],
    *,
    cell: float,
    part: Part | None = None,
    thinnest_web: float = 0.0,
    done: tuple[Judged, ...] = (),
) -> tuple[Judged, ...]:
    """Each program on what the one before left, the board turned over where the fixture is.

    done : what the first of them did, if that is known
    """
    judged = list(done)
    for at in range(len(done), len(settings)):
        trial = trial_of(settings, at, judged[-1].report.stock if judged else None, cell, part, thinnest_web)
        judged.append(Judged(settings[at], trial, report_of(settings[at], trial)))
    return tuple(judged)


def trial_of(
    settings: Sequence[Setting], at: int, left: Wood | None, cell: float, part: Part | None, thinnest_web: float
) -> Trial:
    """What one of the programs does.

    left : the wood that the program before it left; None for the first one
    """
    setting = settings[at]
    fixture = setting.fixture
    before = uncut(fixture, cell) if left is None else turned_to(left, fixture.turned)
    case = make_case(setting.program, fixture, setting.cutters, _others(settings, at))
    return run_on(before, case, part, thinnest_web)


def wood_before(
    settings: Sequence[Setting], at: int, cell: float, part: Part | None, thinnest_web: float
) -> Wood | None:
    """The wood that the programs before one of them leave, as the last of them has it; None before the first."""
    left = None
    for earlier in range(at):
        left = trial_of(settings, earlier, left, cell, part, thinnest_web).after
    return left


def report_of(setting: Setting, trial: Trial) -> Report:
    """The judgement of one of the programs, but for what a later one may still do."""
    report = judge(trial)
    left_out = _OF_THE_SIDE if setting.last else (*_OF_THE_SIDE, *_UNFINISHED)
    return replace(report, findings=tuple(f for f in report.findings if f.code not in left_out))


def _others(settings: Sequence[Setting], at: int) -> OtherPrograms:
    """The programs of the side of one of them but for that one."""
    mine = settings[at]
    if not messages_of(mine.fixture):
        return ALONE
    earlier, later = (
        tuple(stop for setting in some if setting.entry == mine.entry for stop in _stops(setting))
        for some in (settings[:at], settings[at + 1 :])
    )
    last = all(setting.entry != mine.entry for setting in settings[at + 1 :])
    return OtherPrograms(earlier, later, last, judged=True)


def _stops(setting: Setting) -> tuple[OperatorStop, ...]:
    return operator_stops(setting.program, setting.program.events, rack(setting.cutters))


def turned_to(stock: Wood, turned: Turned) -> Wood:
    """The wood as it lies for the next side: from back to back by way of the front."""
    if stock.turned and stock.turned != turned:
        stock = stock.turned_over(stock.turned)
    return stock.turned_over(turned) if turned != stock.turned else stock
