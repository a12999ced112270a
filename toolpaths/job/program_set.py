"""The programs of a job as one set: what each is called, and the identity that all of their heads carry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from hashlib import sha256
from itertools import chain, count
from typing import Literal, NamedTuple

from toolpaths.facts.head_lines import place_in_set
from toolpaths.job.folder import same_file
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.number_format import Units
from toolpaths.making.writer.program import ProgramText, program, programs_by_cutter
from toolpaths.making.writer.style import CycleStyle, ToolChange

# Hexadecimal digits of the hash that are printed: enough that two sets of one workshop are never taken for one.
_DIGITS = 12


class ProgramSet(NamedTuple):
    """by_setup : of each setup its programs by name, in running order; their heads say to which set they belong
    identity : what tells this set from every other
    """

    by_setup: tuple[Mapping[str, ProgramText], ...]
    identity: str

    @property
    def by_name(self) -> dict[str, ProgramText]:
        """Every program, in running order."""
        return _in_a_row(self.by_setup)


def program_set(
    title: str,
    setups: Iterable[Setup],
    names: Iterable[str],
    *,
    units: Units,
    cycles: CycleStyle,
    tool_change: ToolChange | Literal["files"],
) -> ProgramSet:
    """The programs of setups. Raises InputError for what a controller cannot do."""
    written = []
    for setup, name in zip(setups, names, strict=True):
        if tool_change == "files":
            made = programs_by_cutter(setup, title=title, units=units, cycles=cycles)
            written.append({f"{name} {short}": one for short, one in made.items()})
        else:
            written.append({name: program(setup, title=title, units=units, cycles=cycles, tool_change=tool_change)})
    every = _in_a_row(written)
    identity, all_names = _identity(every), list(every)
    marked = {
        name: one.marked(place_in_set(identity, all_names, number)) for number, (name, one) in enumerate(every.items())
    }
    return ProgramSet(tuple({name: marked[name] for name in programs} for programs in written), identity)


def setup_names(setups: Sequence[Setup]) -> tuple[str, ...]:
    """What each setup is called, and its program: its own name, or its side, with the board's where there are several
    and a number where that is taken. No two would be one file."""
    several = len({setup.fixture.board for setup in setups}) > 1
    found: list[str] = []
    for setup in setups:
        board = f"{setup.fixture.board.name} " if several else ""
        plain = setup.name or f"{board}{setup.fixture.side}"
        numbered = chain([plain], (f"{plain} {number}" for number in count(2)))
        taken = {same_file(name) for name in found}
        found.append(next(name for name in numbered if same_file(name) not in taken))
    return tuple(found)


def _identity(programs: Mapping[str, ProgramText]) -> str:
    """The beginning of the SHA-256 hash of the texts, as they are before they carry it."""
    every = sha256()
    for name, made in programs.items():
        every.update(f"{name}\n{made.text}".encode("ascii"))
    return every.hexdigest()[:_DIGITS]


def _in_a_row(by_setup: Iterable[Mapping[str, ProgramText]]) -> dict[str, ProgramText]:
    return {name: made for programs in by_setup for name, made in programs.items()}
