"""Does the board lie as low on the spoilboard as its fixture says?

It rests on what stands out farthest of the face that now lies down. So it only sinks where the whole of that face was
cut away: a rim or an island that was left standing keeps it up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import NOWHERE, Finding
from toolpaths.judging.trial.outermost import Outermost, of_lower_face

# mm by which a face may be off where no part says more, as Part.within.
_WITHIN = 0.03
# mm; what a cut leaves that is no thicker may be a skin, as thick as was asked for.
_SKIN = 2.0
# The code, and how grave it is unless nothing goes so deep, or rapids go too low.
_FOUND = ("levelled-face", "damage")


def levelled_face(trial: Trial) -> Iterator[Finding]:
    """The board rests lower, or higher, than by what its fixture says of the face below."""
    return how_it_rests([trial])


def how_it_rests(trials: Sequence[Trial]) -> Iterator[Finding]:
    """Likewise of all programs that are run one after the other in one fixture."""
    first = trials[0]
    rests, said = of_lower_face(first.before), first.case.fixture.levelled
    within = first.part.within if first.part else _WITHIN
    if rests is not None and abs(rests.by - said) > within:
        yield _sunk(trials, rests.by, said) if rests.by > said else _stands(trials, rests, said)


def _sunk(trials: Sequence[Trial], by: float, said: float) -> Finding:
    over, (code, severity) = f"{by - said:.2f} mm", _FOUND
    if trials[0].case.fixture.zero_on == "spoilboard":
        does = f"every cut from Z0 on the spoilboard is {over} less deep than meant"
    elif _reach(trials, by):
        does = f"cuts through it go {over} deeper into the spoilboard than meant, and its tabs are {over} thinner"
    else:
        severity, does = "doubt", "though no cut goes so deep"
    text = (
        f"all of the face that now lies down was levelled, by {by:.2f} mm, and the fixture says {_amount(said)}: the "
        f"board lies {over} lower, {does}. Give the fixture {_amount(by)}, as in turned_over(..., {_amount(by)})."
    )
    return Finding(code, severity, 0, NOWHERE, by, said, text)


def _stands(trials: Sequence[Trial], rests: Outermost, said: float) -> Finding:
    case, short, (code, severity) = trials[0].case, f"{said - rests.by:.2f} mm", _FOUND
    if case.fixture.zero_on == "spoilboard":
        does = f"every cut from Z0 on the spoilboard is {short} deeper than meant"
        if said - rests.by > case.fixture.link_z:
            severity, does = "danger", f"{does}, and rapids across pass through the wood"
    elif _reach(trials, said):
        does = f"cuts through it fall {short} short"
    else:
        severity, does = "doubt", "though no cut goes so deep"
    text = (
        f"the fixture says {_amount(said)}, but of the face that now lies down wood stands that is levelled by "
        f"{rests.by:.2f} mm only: the board lies {short} higher, {does}. Level all of that face by {said:g}, or give "
        f"the fixture {_amount(rests.by)}."
    )
    place = case.point(rests.x, rests.y, rests.by - case.fixture.board.thickness)
    return Finding(code, severity, 0, place, rests.by, said, text)


def _reach(trials: Sequence[Trial], levelled: float) -> bool:
    """Whether a cut goes as deep as the lower face of a board levelled so, or leaves a skin over it."""
    underside = levelled - trials[0].case.fixture.board.thickness
    return any((each.case.cutting & (each.case.moves.low < underside + _SKIN)).any() for each in trials)


def _amount(by: float) -> str:
    return f"levelled={round(by, 3) + 0.0:g}"
