"""Does the stop come at which screws are driven?"""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import NOWHERE, Finding
from toolpaths.judging.trial.screw_stops import OperatorStop, ScrewStop, spoken


def screw_stop(case: Case) -> Iterator[Finding]:
    """A stop at which screws are driven does not come, may be skipped, or says something else than they do."""
    for stop in case.screw_stops.values():
        count = sum(screw.driven_at == stop.message for screw in case.fixture.screws)
        who = "a screw is" if count == 1 else f"{count} screws are"
        if stop.driven == "nowhere" and not case.program.incomplete:
            yield _never(case, stop, f"{who} to be driven at the stop '{stop.message}'", count)
        elif stop.by_head[0] and stop.stop is not None and stop.driven != stop.by_head[0]:
            yield _other_than_by_head(stop, who)
        elif stop.stop is None or stop.driven != "here":
            continue
        elif stop.holds > len(case.moves):
            yield _found(
                case, "danger", stop.stop, count,
                f"{who} driven at a stop that may not happen: {stop.stop.event.why_it_may_not}. Nothing may count on "
                "them; write M0, without a switch to skip it.",
            )  # fmt: skip
        elif not stop.worded:
            yield _found(
                case, "doubt", stop.stop, count,
                f"{_says(stop.stop)}; is this the one at which {who} driven, '{stop.message}'? It is judged as if it "
                "were; give both the same words.",
            )  # fmt: skip


def _other_than_by_head(stop: ScrewStop, who: str) -> Finding:
    said, line = stop.by_head
    by_head = "an earlier program" if said == "earlier" else "a later program"
    here = {"here": "this program itself", "earlier": "an earlier program", "later": "a later program"}[stop.driven]
    text = (
        f"by its head {who} driven in {by_head} of this side, at '{stop.message}', but {here} makes that stop; run the "
        "programs of a side in the order in which they were written, and none of another set."
    )
    return Finding("screw-stop", "danger", line, NOWHERE, 0.0, 0.0, text, 1, (line,))


def _never(case: Case, stop: ScrewStop, driven: str, count: int) -> Finding:
    shown = [event for event in case.events if event.code == "MSG" and spoken(event.text) == spoken(stop.message)]
    if stop.others:
        lines = tuple(other.event.line for other in stop.others[:6])
        why = f"none says that, and which of those on lines {', '.join(map(str, lines))} is meant cannot be told"
    elif shown:
        lines = (shown[0].line,)
        why = f"which is shown on line {lines[0]}, but no M0 follows: the program goes on without them"
    else:
        lines = ()
        why = "and no such stop comes: they are never driven"
    text = f"{driven}, {why}. They hold nothing; put (MSG, {stop.message}) and M0 where they are driven."
    return Finding("screw-stop", "danger", lines[0] if lines else 0, NOWHERE, 0.0, float(count), text, 1, lines)


def _says(stop: OperatorStop) -> str:
    said = f"says '{stop.event.text}'" if stop.event.text else "says nothing"
    return f"the stop on line {stop.event.line} {said}"


def _found(case: Case, severity: str, stop: OperatorStop, count: int, text: str) -> Finding:
    line, place = stop.event.line, case.place_before(stop.event.before)
    return Finding("screw-stop", severity, line, place, 0.0, float(count), text, 1, (line,))
