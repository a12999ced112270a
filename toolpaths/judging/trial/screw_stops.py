"""At which stop the screws of a fixture are driven: from which move on they may be in the way, and surely hold.

Screws name the message of their stop (`Screw.driven_at`). A stop is theirs if it says so, whatever its capitals, blanks
and points; one that says something else may be, if there is no other that could. A stop that a switch of the machine
can skip, M1 or any on a line that begins with /, may not happen: heads may stand from there on, but nothing that holds
may count on them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from toolpaths.facts.fixture import Fixture
from toolpaths.facts.head_lines import SCREWS_IN, SCREWS_LATER, HeadLine, whole_lines
from toolpaths.judging.reader.motions import Event, Program
from toolpaths.judging.trial.cutter_in_spindle import STOPS, TOOL_WORD

# Words that agree in so great a share of their letters are likely meant to be the same (by trial).
_ALIKE = 0.6
# Among more stops than this none is looked for that may be meant.
_MOST_STOPS = 50
_OTHER_PROGRAMS: tuple[tuple[HeadLine, Literal["earlier", "later"]], ...] = (
    (SCREWS_IN, "earlier"),
    (SCREWS_LATER, "later"),
)
_NOT_SAID = re.compile(r"[^a-z0-9]+")


class OperatorStop(NamedTuple):
    """A stop of a program, as the operator sees it.

    words : what the display shows then, and the comments beside the stop, each as `spoken`
    changes_cutter : whether it asks for a cutter of the rack, in a program that has its cutters changed by hand
    program : which of the programs of a side has it, as one of them sees it
    since : the first move of that one behind the stop; 0 behind one of an earlier program, beyond all moves for one
        of a later program
    """

    event: Event
    words: tuple[str, ...]
    changes_cutter: bool
    program: Literal["earlier", "here", "later"]
    since: int

    @property
    def sure(self) -> bool:
        """Whether the machine stops there, however its switches stand."""
        return not self.event.may_not_happen


class OtherPrograms(NamedTuple):
    """What is known of the other programs that are run on this side.

    earlier, later : the stops of those that are run before this one and after it
    last : whether none is run after it
    driven_before : whether the side was cut before by programs that are not known: then screws whose stop does not
        come are taken to be in
    judged : whether the others are all known, and what a head says of them is not taken on trust
    """

    earlier: tuple[OperatorStop, ...] = ()
    later: tuple[OperatorStop, ...] = ()
    last: bool = True
    driven_before: bool = False
    judged: bool = False


ALONE = OtherPrograms()
# By message as `spoken`, which program has its stop by the head of another, and on which line that stands.
ByHead = dict[str, tuple[Literal["", "earlier", "later"], int]]


@dataclass(frozen=True, slots=True)
class ScrewStop:
    """When the screws of one message are driven, as one program has it.

    driven : "here", at `stop`; in an "earlier" or a "later" program of this side; "nowhere"
    stop : the first stop that is theirs, whichever program has it; None where there is none
    worded : whether that stop says their message
    stands, holds : the first move at which they may stand in the way, and from which they surely hold; beyond all
        moves where they never do
    others : stops of this program of which any may be theirs, where no single one can be told
    by_head : which program the head says to have it, "" where it says nothing of another; on which line
    """

    message: str
    driven: Literal["here", "earlier", "later", "nowhere"]
    stop: OperatorStop | None
    worded: bool
    stands: int
    holds: int
    others: tuple[OperatorStop, ...] = ()
    by_head: tuple[Literal["", "earlier", "later"], int] = ("", 0)


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
            tuple(spoken(text) for text in (event.text, *_beside(event.line, comments)) if text.strip()),
            by_hand and any(int(number) in rack for number in TOOL_WORD.findall(event.text)),
            "here",
            event.before,
        )
        for event in events
        if event.code in STOPS
    )


def said_in_head(program: Program, messages: Iterable[str]) -> ByHead:
    """What a head says of screws whose stop another program of the side makes.

    messages : of the screws that are given; one whose lines do not follow each other is known by the first of them
    """
    found: ByHead = {}
    known, first_lines = {spoken(message) for message in messages}, dict(program.comments)
    for line, text in whole_lines(program.comments):
        for form, which in _OTHER_PROGRAMS:
            if said := form.read(text):
                message, begun = spoken(said["message"]), form.read(first_lines[line])
                meant = [each for each in known if begun and each.startswith(spoken(begun["message"]))]
                for each in [message] if message in known else meant:
                    found[each] = which, line
    return found


def messages_of(fixture: Fixture) -> tuple[str, ...]:
    """The messages at which screws are driven, each once."""
    return tuple(dict.fromkeys(screw.driven_at for screw in fixture.screws if screw.driven_at))


def screw_stops(
    fixture: Fixture, stops: Sequence[OperatorStop], end: int, programs: OtherPrograms, by_head: ByHead
) -> dict[str, ScrewStop]:
    """By message, when the screws of a fixture are driven.

    stops : of this program
    end : how many moves it has
    by_head : by message as `spoken`, what its own head says of the others
    """
    messages = messages_of(fixture)
    every = [
        *(stop._replace(program="earlier", since=0) for stop in programs.earlier),
        *stops,
        *(stop._replace(program="later", since=end + 1) for stop in programs.later),
    ]
    wanted = {spoken(message) for message in messages}
    free = [stop for stop in every if wanted.isdisjoint(stop.words)]
    said = {message: by_head.get(spoken(message), ("", 0)) for message in messages}
    return {
        message: replace(_stop_of(message, every, free, end + 1, programs, said[message][0]), by_head=said[message])
        for message in messages
    }


def _stop_of(
    message: str,
    stops: Sequence[OperatorStop],
    free: Sequence[OperatorStop],
    never: int,
    programs: OtherPrograms,
    by_head: str,
) -> ScrewStop:
    """When the screws of one message are driven.

    stops : of all programs of the side; free : those that say no message of any screw
    never : the number of a move that does not come
    by_head : "earlier" or "later" where the head says so
    """
    wanted = spoken(message)
    theirs = [stop for stop in stops if wanted in stop.words]
    worded, others = bool(theirs), tuple[OperatorStop, ...]()
    if not worded and (programs.driven_before or (by_head == "earlier" and not programs.judged)):
        return ScrewStop(message, "earlier", None, True, 0, 0)
    if not worded and by_head == "later" and not programs.judged:
        return ScrewStop(message, "later", None, True, never, never)
    if not worded:
        theirs, others = _may_be(wanted, free)
    if theirs:
        first, holds = theirs[0], next((stop.since for stop in theirs if stop.sure), never)
        return ScrewStop(message, first.program, first, worded, first.since, holds)
    # The last program of a side is where it is known that the stop does not come.
    here = tuple(stop for stop in others if stop.program == "here")
    stands = min((stop.since for stop in others), default=never)
    return ScrewStop(message, "nowhere" if programs.last else "later", None, False, stands, never, here)


def _may_be(wanted: str, free: Sequence[OperatorStop]) -> tuple[list[OperatorStop], tuple[OperatorStop, ...]]:
    """The one stop that may be meant by other words, if it can be told, or else all that may."""
    if len(free) > _MOST_STOPS:
        return [], tuple(free)
    alike = [stop for stop in free if any(_alike(words, wanted) for words in stop.words)]
    some = alike or [stop for stop in free if not stop.changes_cutter]
    one = len({stop.words for stop in some}) == 1
    return (some, ()) if one else ([], tuple(some))


def _alike(one: str, other: str) -> bool:
    from difflib import SequenceMatcher

    return SequenceMatcher(None, one, other).ratio() >= _ALIKE


def _beside(line: int, comments: Mapping[int, str]) -> list[str]:
    """The comments on the line of a stop and on the line above it."""
    return [comments[number] for number in (line, line - 1) if number in comments]
