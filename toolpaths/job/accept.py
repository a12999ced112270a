"""Findings that the user accepts, each with its reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from toolpaths.base.checks import label, label_or_empty, let_in, one_of
from toolpaths.base.errors import InputError
from toolpaths.base.values import fields_in_a_line
from toolpaths.judging.job_report import AcceptedFinding, SideFinding
from toolpaths.judging.trial.codes import CODES


@dataclass(frozen=True, slots=True)
class Accept:
    """A finding that is known and accepted, where no fact of fixture, cutter or part could say so.

    code : of the finding, one of CODES
    operation : the name of the operation at whose lines it is found; "" for one that belongs to none
    reason : why, for the report and for whoever stands at the machine

    >>> Accept("loose-piece", "opening", "The slug is small, and the extraction holds it.")
    Accept(code='loose-piece', operation='opening', reason='The slug is small, and the extraction holds it.')
    >>> print(Accept("nothing-holds", reason="The board lies in a tight frame."))
    nothing-holds, no operation: The board lies in a tight frame.

    Raises InputError for a code that there is none of, and where no reason is given.
    """

    code: str
    operation: str = ""
    reason: str = ""

    __repr__ = fields_in_a_line

    def __post_init__(self) -> None:
        let_in(self, code=partial(one_of, choices=CODES), operation=label_or_empty, reason=label)

    def __str__(self) -> str:
        return f"{self.code}, {self.operation or 'no operation'}: {self.reason}"


def split(
    found: Sequence[SideFinding], accept: Sequence[Accept]
) -> tuple[tuple[SideFinding, ...], tuple[AcceptedFinding, ...]]:
    """Findings that stand, and those that are accepted: where it is so for each operation that they belong to, and
    for what follows from them.

    Raises InputError where something is accepted that was not found.
    """
    reasons = {(each.code, each.operation): each.reason for each in accept}
    stands: list[SideFinding] = []
    accepted: list[AcceptedFinding] = []
    for one in found:
        keys = _keys(one)
        if reasons.keys() >= set(keys):
            accepted.append(AcceptedFinding(one, " ".join(reasons[key] for key in keys)))
        else:
            stands.append(one)
    concerned = concerning(found, accept)
    for each in accept:
        if each not in concerned:
            there = ", ".join(dict.fromkeys(f"{one.finding.code} at {_names(one)}" for one in found)) or "nothing"
            raise InputError(
                f"accept= names {each.code!r} at {each.operation!r}, which is not found; take it out. Found: {there}."
            )
    return tuple(stands), tuple(accepted)


def concerning(found: Sequence[SideFinding], accept: Sequence[Accept]) -> tuple[Accept, ...]:
    """What of the findings that are accepted is found."""
    met = {key for one in found for key in _keys(one)}
    return tuple(each for each in accept if (each.code, each.operation) in met)


def _keys(one: SideFinding) -> list[tuple[str, str]]:
    """Each code that a finding stands for, at each of its operations."""
    codes = dict.fromkeys((one.finding.code, *one.finding.consequences))
    return [(code, operation) for code in codes for operation in one.operations or ("",)]


def _names(one: SideFinding) -> str:
    return " and ".join(map(repr, one.operations or ("",)))
