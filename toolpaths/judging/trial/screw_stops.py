"""At which stop the screws of a fixture are driven: from which move on they may be in the way, and surely hold.

Screws name the message of their stop (`Screw.driven_at`). A stop is theirs if it says so, whatever its capitals, blanks
and points; one that says something else may be, if there is no other that could. A stop that a switch of the machine
can skip, M1 or any on a line that begins with /, may not happen: heads may stand from there on, but nothing that holds
may count on them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Literal, NamedTuple

from toolpaths.facts.fixture import Fixture
from toolpaths.judging.reader.motions import Event, Program
from toolpaths.judging.trial.cutter_in_spindle import STOPS, TOOL_WORD

# Words that agree in so great a share of their letters are likely meant to be the same (by trial).
_ALIKE = 0.6
# Among more stops than this none is looked for that may be meant.
_MOST_STOPS = 50
_NOT_SAID = re.compile(r"[^a-z0-9]+")


class OperatorStop(NamedTuple):
    """A stop of a program, as the operator sees it.

    says : what the display shows then
    words : the same and the comments beside the stop, each as `spoken`
    changes_cutter : whether it asks for a cutter of the rack, in a program that has its cutters changed by hand
    """

    event: Event
    says: str
    words: tuple[str, ...]
    changes_cutter: bool

    @property
    def sure(self) -> bool:
        """Whether the machine stops there, however its switches stand."""
        return self.event.code != "M1" and not self.event.skippable


@dataclass(frozen=True, slots=True)
class ScrewStop:
    """When the screws of one message are driven, as one program has it.

    driven : "here", at `stop`; in an "earlier" or a "later" program of this side; "nowhere"
    stop : the first stop that is theirs; None where the program has none
    worded : whether that stop says their message
    stands, holds : the first move at which they may stand in the way, and from which they surely hold; beyond all
        moves where they never do
    others : stops of which any may be theirs, where no single one can be told
    """

    message: str
    driven: Literal["here", "earlier", "later", "nowhere"]
    stop: OperatorStop | None
    worded: bool
    stands: int
    holds: int
    others: tuple[OperatorStop, ...] = ()


class OtherPrograms(NamedTuple):
    """What is known of the other programs that are run on this side, while the board lies in the same fixture.

    earlier : by message, what each of them made of the stops, in the order in which they are run
    later : those that are run afterwards
    driven_before : whether the side was cut before by programs that are not known: then screws whose stop does not
        come are taken to be in
    """

    earlier: tuple[Mapping[str, ScrewStop], ...] = ()
    later: tuple[Program, ...] = ()
    driven_before: bool = False


ALONE = OtherPrograms()


def spoken(text: str) -> str:
    """A message without what nobody hears: capitals, blanks, points, and a MSG before it."""
    words = _NOT_SAID.sub(" ", text.casefold()).split()
    return "".join(words[1:] if words[:1] == ["msg"] else words) or text.strip()


def operator_stops(program: Program, events: Iterable[Event], numbers: Iterable[int]) -> tuple[OperatorStop, ...]:
    """All stops of a program in order.

    events : of the program, as they lie among the moves
    numbers : of the cutters of the rack
    """
    events, rack = tuple(events), set(numbers)
    by_hand = not any(event.code == "M6" for event in events)
    comments = dict(program.comments)
    return tuple(
        OperatorStop(
            event,
            event.text,
            tuple(spoken(text) for text in (event.text, *_beside(event.line, comments)) if text.strip()),
            by_hand and any(int(number) in rack for number in TOOL_WORD.findall(event.text)),
        )
        for event in events
        if event.code in STOPS
    )


def screw_stops(
    fixture: Fixture, stops: Sequence[OperatorStop], end: int, programs: OtherPrograms
) -> dict[str, ScrewStop]:
    """By message, when the screws of a fixture are driven.

    stops : of the program
    end : how many moves it has
    """
    messages = list(dict.fromkeys(screw.driven_at for screw in fixture.screws if screw.driven_at))
    wanted = {spoken(message) for message in messages}
    free = [stop for stop in stops if wanted.isdisjoint(stop.words)] if messages else []
    return {message: _stop_of(message, stops, free, end + 1, programs) for message in messages}


def _stop_of(
    message: str, stops: Sequence[OperatorStop], free: Sequence[OperatorStop], never: int, programs: OtherPrograms
) -> ScrewStop:
    """When the screws of one message are driven.

    free : stops that say no message of any screw
    never : the number of a move that does not come
    """
    wanted = spoken(message)
    own = [stop for stop in stops if wanted in stop.words]
    holds = next((stop.event.before for stop in own if stop.sure), never)
    before = [stop for each in programs.earlier if (stop := each.get(message)) and stop.driven == "here"]
    if before or (programs.driven_before and not own):
        sure = not before or any(stop.stop is not None and stop.stop.sure for stop in before)
        return ScrewStop(message, "earlier", None, True, 0, 0 if sure else holds)
    if own:
        return ScrewStop(message, "here", own[0], True, own[0].event.before, holds)
    if any(_says(program, wanted) for program in programs.later):
        return ScrewStop(message, "later", None, True, never, never)
    meant, others = _may_be(wanted, free)
    if meant is not None:
        since = meant.event.before
        return ScrewStop(message, "here", meant, False, since, since if meant.sure else never)
    # The last program of a side is where it is known that the stop does not come.
    driven: Literal["later", "nowhere"] = "later" if programs.later else "nowhere"
    return ScrewStop(message, driven, None, False, others[0].event.before if others else never, never, others)


def _may_be(wanted: str, free: Sequence[OperatorStop]) -> tuple[OperatorStop | None, tuple[OperatorStop, ...]]:
    """The one stop that may be meant by other words, or else all that may."""
    if len(free) > _MOST_STOPS:
        return None, tuple(free)
    alike = [stop for stop in free if any(_alike(words, wanted) for words in stop.words)]
    some = alike or [stop for stop in free if not stop.changes_cutter]
    one = len({stop.words for stop in some}) == 1
    return (some[0], ()) if one else (None, tuple(some))


def _alike(one: str, other: str) -> bool:
    return SequenceMatcher(None, one, other).ratio() >= _ALIKE


def _says(program: Program, wanted: str) -> bool:
    return any(wanted in stop.words for stop in operator_stops(program, program.events, ()))


def _beside(line: int, comments: Mapping[int, str]) -> list[str]:
    """The comments on the line of a stop and on the line above it."""
    return [comments[number] for number in (line, line - 1) if number in comments]
