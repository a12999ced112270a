"""Does the board lie as low on the spoilboard as its fixture says?

It rests on what stands out farthest of the face that now lies down. So it only sinks where the whole of that face was
cut away: a rim or an island that was left standing keeps it up.
"""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import NOWHERE, Finding
from toolpaths.judging.trial.outermost import Outermost, of_lower_face

# mm by which a face may be off where no part says more, as Part.within.
_WITHIN = 0.03
# Found as well where the board lies higher than its fixture says, since cuts through it then fall short.
FOLLOWS = ("not-parted", "leftover", "tab-count", "tab-size")


def levelled_face(trial: Trial) -> Iterator[Finding]:
    """The board rests lower, or higher, than by what its fixture says of the face below."""
    rests, said = of_lower_face(trial.before), trial.case.fixture.levelled
    within = trial.part.within if trial.part else _WITHIN
    if rests is None or abs(rests.by - said) <= within:
        return
    yield _sunk(trial, rests.by, said) if rests.by > said else _stands(trial, rests, said)


def _sunk(trial: Trial, by: float, said: float) -> Finding:
    over = f"{by - said:.2f} mm"
    if trial.case.fixture.zero_on == "top":
        does = f"cuts through it go {over} deeper into the spoilboard than meant, and its tabs are {over} thinner"
    else:
        does = f"every cut from Z0 on the spoilboard is {over} less deep than meant"
    text = (
        f"all of the face that now lies down was levelled, by {by:.2f} mm, and the fixture says {_amount(said)}: the "
        f"board lies {over} lower, {does}. Give the fixture {_amount(by)}, as in turned_over(..., {_amount(by)})."
    )
    return Finding("levelled-face", "damage", 0, NOWHERE, by, said, text)


def _stands(trial: Trial, rests: Outermost, said: float) -> Finding:
    fixture, short = trial.case.fixture, f"{said - rests.by:.2f} mm"
    severity = "damage"
    does = f"cuts through it fall {short} short"
    if fixture.zero_on == "spoilboard":
        does = f"every cut from Z0 on the spoilboard is {short} deeper than meant"
        if said - rests.by > fixture.link_z:
            severity, does = "danger", f"{does}, and rapids across pass through the wood"
    text = (
        f"the fixture says {_amount(said)}, but of the face that now lies down wood stands that is levelled by "
        f"{rests.by:.2f} mm only: the board lies {short} higher, {does}. Level all of that face by {said:g}, or give "
        f"the fixture {_amount(rests.by)}."
    )
    place = trial.case.point(rests.x, rests.y, rests.by - fixture.board.thickness)
    return Finding("levelled-face", severity, 0, place, rests.by, said, text)


def _amount(by: float) -> str:
    return f"levelled={round(by, 3) + 0.0:g}"
