"""A setup: one side of the board in the fixture, and the work on it in order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from typing import Any

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import label_or_empty, let_in, optional, sequence, shown, tolerance
from toolpaths.base.errors import InputError, UnitsError
from toolpaths.base.values import PickledByFields, ShownInNotebooks, in_a_line
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.removed import Removed
from toolpaths.making.operations.operation import Operation, Site
from toolpaths.making.plan.steps import Plan, Step, planned
from toolpaths.making.plan.work import AnyOrder, Stop, Work, listed
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE

# A board less than this many cutter diameters across is more likely one in inches.
_NARROWEST = 3.0
# mm by which what a fixture says of the face below may be rounded.
_ONE_LEVEL = 0.01


@dataclass(frozen=True, repr=False)
class Setup(PickledByFields, ShownInNotebooks):
    """One side of the board as it lies in a fixture, and the work on it, turned into motion and checked.

    What stands in the way and what a cutter bears is judged in the text: see `verify`.

    fixture : how the board lies
    work : operations and stops in the order in which they are to be done; groups made by any_order() among them,
        whose order is found so that cutters change as seldom as can be
    name : what this setup is called; its side unless given
    after : the setup of the same board before this one, on either side, itself after those before it. What they took
        from this side is known, and where they cut right through from the other, waste among it that was cut free
        without tabs and falls out when the board is turned over
    tolerance : mm, greatest distance between the shapes drawn and the paths written

    >>> import toolpaths as tp
    >>> board = tp.Board(width=200, height=140, thickness=18, name="oak")
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> tp.Setup(tp.Fixture(board=board), [tp.pocket(tp.rectangle(80, 60, (100, 70)), T1, depth=7)])
    <Setup: front of oak, 1 operation with T1>

    Raises InputError for facts that do not go together, and an error that names the piece of work where that cannot be
    done, before anything is written.
    """

    _sent = ("_plan",)

    fixture: Fixture
    work: Sequence[Work]
    name: str = field(default="", kw_only=True)
    after: Setup | None = field(default=None, kw_only=True)
    tolerance: float = field(default=DEFAULT_TOLERANCE, kw_only=True)

    def __post_init__(self) -> None:
        if not isinstance(self.fixture, Fixture):
            raise InputError(f"A setup starts from a Fixture(board=...), not from a {type(self.fixture).__name__}.")
        let_in(
            self, work=_work, name=label_or_empty, after=partial(optional, door=_before),
            tolerance=tolerance,
        )  # fmt: skip
        self._check_after()
        if not self.operations:
            raise InputError("work holds no operation.")
        # One number is one cutter; how it is run may differ from use to use.
        rack(tuple(cutter for item in self.operations for cutter in item.cutters_in_turn))
        self._check_cutters()
        self._check_stops()
        # What cannot be made is an error here, on the user's line.
        _ = self._plan

    def __repr__(self) -> str:
        count = f"{len(self.operations)} operation{'s' if len(self.operations) > 1 else ''}"
        cutters = ", ".join(f"T{cutter.number}" for cutter in self.cutters)
        name = f" {self.name}" if self.name else ""
        return in_a_line(f"<Setup{name}: {self.fixture.side} of {self.fixture.board.name}, {count} with {cutters}>")

    @property
    def operations(self) -> tuple[Operation, ...]:
        """All operations as listed, those of groups among them."""
        return tuple(item for item in listed(self.work) if isinstance(item, Operation))

    @cached_property
    def features(self) -> tuple[tuple[Operation, tuple[Feature, ...]], ...]:
        """Each operation as listed, and what of the part it is to make, seen from the front."""
        return tuple((operation, operation.features(self.tolerance)) for operation in self.operations)

    @property
    def steps(self) -> tuple[Step | Stop, ...]:
        """The result, in order: a Step for each cutter of each operation, and the stops between them."""
        return self._plan.steps

    @property
    def notes(self) -> tuple[str, ...]:
        """What the user should know of the paths, for instance wood that a cutter cannot reach."""
        return self._plan.notes

    @property
    def cutters(self) -> tuple[Cutter, ...]:
        """One cutter of each number, in order of first use."""
        return self._plan.cutters

    @property
    def removed(self) -> Removed:
        """The wood that is removed at the end, by this setup and by those before it."""
        return self._plan.removed

    def highest_wood(self, number: int) -> float:
        """Z of the highest wood of this side when step `number` begins, from 0; 0 while some of its face stands."""
        if self._highest_at_end == 0:
            return 0.0
        before = self._removed_before()
        for step in self.steps[:number]:
            before = before.after(step.path) if isinstance(step, Step) else before
        return before.highest_wood(self.fixture.board.outline)

    def touch_off_z(self, number: int) -> float:
        """Z to be set on the face that is touched off for the cutter of step `number`, from 0.

        0 on the spoilboard and on a top of which some still stands, else that of the highest wood that is left.
        """
        return self.highest_wood(number) if self.fixture.zero_on == "top" else 0.0

    @cached_property
    def _highest_at_end(self) -> float:
        return self.removed.highest_wood(self.fixture.board.outline)

    @property
    def earlier(self) -> tuple[Setup, ...]:
        """The setups before this one, the last of them first."""
        return () if self.after is None else (self.after, *self.after.earlier)

    @cached_property
    def _plan(self) -> Plan:
        return planned(self.work, Site(self.fixture, self.tolerance, self._removed_before()))

    def _removed_before(self) -> Removed:
        """What earlier setups took from this side, and where none of the wood is left."""
        this_side = [setup for setup in self.earlier if setup.fixture.side == self.fixture.side]
        other_side = self._of_other_side()
        # Each knows of those before it, so the last one of a side knows all of that side.
        before = this_side[0].removed if this_side else Removed()
        through = _through(other_side[0], other_side) if other_side else Polygon()
        return replace(before, through=self.fixture.place(through))

    def _of_other_side(self) -> list[Setup]:
        """The setups before this one in which the other side lay up, the last of them first."""
        return [setup for setup in self.earlier if setup.fixture.side != self.fixture.side]

    def _check_after(self) -> None:
        if self.after is None:
            return
        fixture, board = self.fixture, self.after.fixture.board
        if board != fixture.board:
            raise InputError(f"after= is a setup of another board, {board}; this one is {fixture.board}.")
        for turned in {setup.fixture.turned for setup in self.earlier} - {fixture.turned, ""}:
            if fixture.turned:
                raise InputError(
                    f"The board lies turned {turned} in a setup before this one, and {fixture.turned} in this one; "
                    "turn it the same way both times."
                )
        self._check_levelled()

    def _check_levelled(self) -> None:
        """The fixture says by how much the face on which the board lies was levelled, as the setups before this one
        did."""
        said, other_side = self.fixture.levelled, self._of_other_side()
        by = -other_side[0]._highest_at_end if other_side else said
        if abs(by - said) > _ONE_LEVEL:
            done = f"levels all of it by {by:g} mm" if by else "does not level all of it"
            raise InputError(
                f"The board lies on its {other_side[0].fixture.side}, and the setup before this one {done}, while this "
                f"fixture says levelled={said:g}: give it levelled={by:g}, as in turned_over(..., levelled={by:g})."
            )

    def _check_cutters(self) -> None:
        board, (slowest, fastest) = self.fixture.board, self.fixture.machine.spindle_rpm
        for cutter in dict.fromkeys(cutter for item in self.operations for cutter in item.cutters_in_turn):
            if min(board.width, board.height) < _NARROWEST * cutter.diameter:
                raise UnitsError(
                    f"Is the board really {board.width:g} x {board.height:g} mm, with {cutter}? If it is in inches, "
                    "write inch(...) around its sizes. So small a piece is held on a larger carrier: enter the carrier."
                )
            if not slowest <= cutter.spindle_rpm <= fastest:
                raise InputError(
                    f"{cutter} asks for {cutter.spindle_rpm:g} rpm; the spindle of the {self.fixture.machine.name} "
                    f"turns {slowest:g} to {fastest:g}."
                )

    def _check_stops(self) -> None:
        messages = [item.message for item in listed(self.work) if isinstance(item, Stop)]
        for screw in self.fixture.screws:
            if screw.driven_at and screw.driven_at not in messages:
                raise InputError(
                    f"The screw at ({screw.x:g}, {screw.y:g}) is driven_at={screw.driven_at!r}, but no stop has that "
                    "message; give both the same text."
                )


def _before(name: str, given: Any) -> Setup:
    """A setup that another one comes after."""
    if not isinstance(given, Setup):
        raise InputError(f"{name}={shown(given)} must be the Setup that comes before this one.")
    return given


def _work(name: str, given: Any) -> tuple[Work, ...]:
    """The entries of a list of work."""
    if isinstance(given, (Operation, Stop, AnyOrder)):
        raise InputError(f"{name} must be a list of operations, even of one.")
    entries = sequence(name, given, "a list of operations")
    for entry in entries:
        if not isinstance(entry, (Operation, Stop, AnyOrder)):
            raise InputError(f"{name} holds {shown(entry)}; list operations such as contour(...), and stop(...).")
    return tuple(entries)


def _through(last: Setup, setups: Iterable[Setup]) -> BaseGeometry:
    """Where the setups of a side leave no wood at all, seen from the front: what they cut through, and waste that
    nothing holds."""
    fixture = last.fixture
    kerf = fixture.place(last.removed.down_to(fixture.underside_z, fixture.board.outline))
    loose = [
        feature.shape
        for setup in setups
        for operation, features in setup.features
        if not operation.has_tabs
        for feature in features
        if feature.waste_side == "inside"
    ]
    enclosed = [
        Polygon(ring) for part in shapely.get_parts(kerf) if isinstance(part, Polygon) for ring in part.interiors
    ]
    dropped = [piece for piece in enclosed if any(shapely.covers(area, piece) for area in loose)]
    return shapely.union_all([kerf, *dropped])
