"""What a user lists as work: operations, stops, and groups of them that may be done in any order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from toolpaths.base.checks import label, shown
from toolpaths.base.errors import InputError
from toolpaths.base.values import fields_in_a_line
from toolpaths.making.operations.operation import Operation


@dataclass(frozen=True, slots=True)
class Stop:
    """The machine waits, spindle off and cutter up, until the operator goes on."""

    message: str

    __repr__ = fields_in_a_line


def stop(message: str) -> Stop:
    """An operator stop with a message: the cutter is lifted, the spindle stops, and the machine waits.

    >>> from toolpaths import stop
    >>> stop("Drive the seven screws")
    Stop(message='Drive the seven screws')

    Raises InputError for a text that no comment of a program can hold.
    """
    return Stop(label("message", message))


Item = Operation | Stop


@dataclass(frozen=True, slots=True)
class AnyOrder:
    """Work whose order the setup chooses. Made by any_order().

    keeping : pairs of numbers into `work`, the first of which is to be done before the second
    """

    work: tuple[Item, ...]
    keeping: tuple[tuple[int, int], ...] = ()

    __repr__ = fields_in_a_line


Work = Operation | Stop | AnyOrder


def any_order(*work: Item, keeping: Sequence[Sequence[Item]] = ()) -> AnyOrder:
    """Work that may be done in any sound order: the setup finds the one that changes cutters least.

    keeping : rows of this work that keep their order: [(a, b), (c, d, e)] has a before b, and c before d before e

    What the setup keeps of itself, the strongest first, each giving way where it would close a ring with stronger ones:
    what cuts close to a screw driven at a stop, its pilot too, before that stop, and what parts the wood around it
    after; what lies on a piece before the cut that frees it, inner pieces before outer, a rough cut before the fine
    one; what lays a surface bare before what begins there (`from_depth`); drilled holes before what cuts
    around them; holes for dowels first; what frees a part, or waste that nothing holds, last; coarse before fine, and
    clearing before following a wall, where they meet. Then as few changes of the cutter as that allows, over the whole
    list of the setup; then a short way; then the order given here.

    Work is known by what it says: made alike it is the same work, which is listed once and may be named in `keeping` by
    another one like it. That `keeping` leaves a piece lying loose is a note of the setup, and that it has work begin
    below standing wood an error of it. A stop belongs here if screws are driven at it, or if `keeping` says where.

    >>> from toolpaths import Cutter, any_order, drill, drill_point, flat, pocket, rectangle
    >>> T1 = Cutter(1, flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> T4 = Cutter(4, drill_point(3), feed_mm_min=600, spindle_rpm=8000)
    >>> tray = pocket(rectangle(60, 40, (100, 70)), T1, depth=5)
    >>> group = any_order(tray, drill([(20, 20)], T4, depth=9))
    >>> len(group.work)
    2

    Raises InputError for what is no work, for work listed twice, and where `keeping` asks for a ring.
    """
    for item in work:
        if isinstance(item, AnyOrder):
            raise InputError("any_order() inside any_order(): put the work of the inner one into the outer one.")
        if not isinstance(item, (Operation, Stop)):
            how = "a list: write any_order(*work)" if isinstance(item, (list, tuple)) else f"a {type(item).__name__}"
            raise InputError(f"any_order() takes operations such as contour(...), and stop(...), not {how}.")
    if not work:
        raise InputError("any_order() holds no work.")
    numbers = _Numbers(work)
    # Work made alike is the same work, and nothing is left to do the second time.
    if twice := [item for number, item in enumerate(work) if numbers.of(item) != number]:
        raise InputError(f"{called(twice[0])} is listed twice in any_order(); list it once.")
    pairs: dict[tuple[int, int], None] = {}
    for row in keeping if isinstance(keeping, (list, tuple)) else [keeping]:
        # A row of a set would have no order.
        if not isinstance(row, (list, tuple)) or len(row) < 2:
            raise InputError("keeping takes rows of work, such as keeping=[(pockets, outline)].")
        for item in row:
            if not isinstance(item, (Operation, Stop)) or numbers.of(item) is None:
                raise InputError(f"keeping names {called(item)}, which any_order() does not list; add it there.")
        in_row = [number for item in row if (number := numbers.of(item)) is not None]
        pairs |= dict.fromkeys(zip(in_row, in_row[1:]))
    if ring := _ring(len(work), list(pairs)):
        names = ", then ".join(f"{called(work[number])} (number {number + 1})" for number in [*ring, ring[0]])
        raise InputError(f"keeping asks for a ring: {names}. Leave one of these pairs out.")
    return AnyOrder(tuple(work), tuple(pairs))


def listed(work: Iterable[Work]) -> tuple[Item, ...]:
    """All pieces of work as listed, those of groups among them."""
    return tuple(item for entry in work for item in (entry.work if isinstance(entry, AnyOrder) else (entry,)))


def called(item: Item) -> str:
    """What a piece of work is called in messages."""
    if isinstance(item, Stop):
        return f"stop {item.message!r}"
    return item.title if isinstance(item, Operation) else shown(item)


class _Numbers:
    """The number of each piece of work among some, where work made alike is the same work."""

    def __init__(self, work: Sequence[Item]) -> None:
        # What is alike lies in the same place: only few need be compared.
        self._at: dict[object, list[tuple[int, Item]]] = {}
        for number, item in enumerate(work):
            self._at.setdefault(self._place(item), []).append((number, item))

    def of(self, item: Item) -> int | None:
        """The first that is like it; None where none is."""
        return next((number for number, other in self._at.get(self._place(item), ()) if other == item), None)

    @staticmethod
    def _place(item: Item) -> object:
        return (type(item), item.name, item.drawn.bounds) if isinstance(item, Operation) else item


def _ring(count: int, pairs: Sequence[tuple[int, int]]) -> list[int]:
    """Numbers that each come before the next, and the last before the first; none if there is no ring."""
    after: dict[int, list[int]] = {number: [] for number in range(count)}
    for a, b in pairs:
        after[a].append(b)
    sound: set[int] = set()
    for first in after:
        # The way followed, as far as it goes, and of each number on it those that are still to be followed.
        followed, open_from = {first: 0}, [iter(after[first])]
        while open_from:
            number = next((later for later in open_from[-1] if later not in sound), None)
            if number in followed:
                return list(followed)[followed[number] :]
            if number is None:
                open_from.pop()
                sound.add(followed.popitem()[0])
            else:
                followed[number] = len(followed)
                open_from.append(iter(after[number]))
    return []
