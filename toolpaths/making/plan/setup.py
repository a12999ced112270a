"""A setup: one side of the board in the fixture, and the work on it in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

import shapely
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import label, positive
from toolpaths.base.errors import InputError, PlacedError, UnitsError
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.crossing import lowered
from toolpaths.making.motion.removed import Removed
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.making.operations.operation import Operation, Site, check_some_work
from toolpaths.making.plan.limits import check_limits
from toolpaths.making.plan.order import listed, ordered
from toolpaths.making.plan.precedence import Facts, facts
from toolpaths.making.plan.standing_wood import check_begins_in_air
from toolpaths.making.plan.work import AnyOrder, Stop, Work
from toolpaths.shapes import tolerance as share

# A board less than this many cutter diameters across is more likely one in inches.
_NARROWEST = 3.0


@dataclass(frozen=True, slots=True)
class Step:
    """What one cutter does of an operation, as motion."""

    operation: Operation
    path: Toolpath

    @property
    def name(self) -> str:
        return self.operation.title


@dataclass(frozen=True, slots=True, eq=False)
class Setup:
    """One side of the board, its work turned into motion, checked against edges, spoilboard and spindle. What stands
    in the way and what a cutter bears is judged in the text: see `verify`.

    fixture : how the board lies
    work : operations and stops in the order in which they are to be done; groups made by any_order() among them,
        whose order is found so that cutters change as seldom as can be
    title : what is being made; the board's name unless given
    after : the setup of the other side, if that was done before: what it cut right through is known to be gone,
        and so is waste that it cut free without tabs, which falls out when the board is turned over
    tolerance : mm, greatest distance between the shapes drawn and the paths written
    steps : the result, in order: a Step for each cutter of each operation, and the stops between them
    notes : what the user should know of the paths, for instance wood that a cutter cannot reach
    cutters : one cutter of each number, in order of first use
    removed : the wood that is removed at the end

    Raises an error that names the piece of work, before anything is written.
    """

    fixture: Fixture
    work: Sequence[Work]
    title: str = ""
    tolerance: float = share.DEFAULT
    after: Setup | None = None
    cutters: tuple[Cutter, ...] = field(init=False)
    steps: tuple[Step | Stop, ...] = field(init=False)
    notes: tuple[str, ...] = field(init=False)
    removed: Removed = field(init=False, repr=False)

    def __post_init__(self) -> None:
        if not isinstance(self.fixture, Fixture):
            raise InputError(f"A setup starts from a Fixture(board=...), not from a {type(self.fixture).__name__}.")
        if isinstance(self.work, (Operation, Stop, AnyOrder)):
            raise InputError("work must be a list of operations, even of one.")
        object.__setattr__(self, "work", tuple(self.work))
        object.__setattr__(self, "title", label("title", self.title or self.fixture.board.name))
        positive("tolerance", self.tolerance)
        self._check_after()
        for entry in self.work:
            if not isinstance(entry, (Operation, Stop, AnyOrder)):
                raise InputError(f"work holds {entry!r}; list operations such as contour(...), and stop(...).")
        if not self.operations:
            raise InputError("work holds no operation.")
        # One number is one cutter; how it is run may differ from use to use.
        rack(tuple(cutter for item in self.operations for cutter in item.cutters_in_turn))
        self._check_cutters()
        self._check_stops()
        self._run()

    @property
    def operations(self) -> tuple[Operation, ...]:
        """All operations as listed, those of groups among them."""
        return tuple(item for item in listed(self.work) if isinstance(item, Operation))

    def _run(self) -> None:
        """The work in order, each stage on what the ones before it left."""
        order, said = ordered(self.work, self.fixture, self._facts)
        site = Site(self.fixture, self.tolerance)
        if self.after is not None:
            site = replace(site, removed=Removed(through=self.fixture.place(_through(self.after))))
        steps = list[Step | Stop]()
        paths: dict[int, list[Toolpath]] = {}
        notes: dict[int, list[str]] = {}
        for turn in order:
            if isinstance(turn, Stop):
                steps.append(turn)
                continue
            number, operation, cutter = turn
            with self._placed(number, operation):
                path = lowered(operation.toolpath(cutter, site), self.fixture)
                check_begins_in_air(path, operation.top, site)
                site = site.after(path)
                check_limits(path, self.fixture)
                paths.setdefault(number, []).append(path)
                if len(paths[number]) == len(operation.cutters_in_turn):
                    check_some_work(paths[number])
            steps += [Step(operation, path)] if path.moves else []
            notes.setdefault(number, []).extend(f"{operation.title}: {note}" for note in path.notes)
        used = rack(tuple(turn.cutter for turn in order if not isinstance(turn, Stop)))
        object.__setattr__(self, "cutters", tuple(used.values()))
        object.__setattr__(self, "steps", tuple(steps))
        object.__setattr__(self, "removed", site.removed)
        object.__setattr__(self, "notes", (*said, *(note for number in sorted(notes) for note in notes[number])))

    def _facts(self, number: int, item: Operation) -> Facts:
        with self._placed(number, item, drawn=True):
            return facts(item, self.fixture, self.tolerance)

    @contextmanager
    def _placed(self, number: int, item: Operation, *, drawn: bool = False) -> Iterator[None]:
        """An error in a piece of work says which, and where as seen from the front; its places are `drawn` so, or
        as the board lies."""
        try:
            yield
        except PlacedError as error:
            message = f"Step {number + 1} on the {self.fixture.side}, {item.title}: {error.message}"
            if self.fixture.turned and error.point and not drawn:
                seen = self.fixture.place(Point(error.point))
                message += f" (Places are as the board lies; seen from the front: {seen.x:.1f}, {seen.y:.1f}.)"
            raise type(error)(message, error.point) from error

    def _check_after(self) -> None:
        if self.after is None:
            return
        if not isinstance(self.after, Setup):
            raise InputError(f"after={self.after!r} must be the Setup of the other side.")
        other = self.after.fixture
        if other.board != self.fixture.board:
            raise InputError(f"after= is a setup of another board, {other.board}; this one is {self.fixture.board}.")
        if other.side == self.fixture.side:
            raise InputError(
                f"after= is a setup of the {other.side} as well. Give the setup of the other side, and fixture="
                "front.turned_over(...) for this one."
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


def _through(setup: Setup) -> BaseGeometry:
    """Where a setup leaves no wood at all, seen from the front: what it cut through, and waste that nothing holds."""
    fixture = setup.fixture
    kerf = fixture.place(setup.removed.down_to(-fixture.board.thickness, fixture.board.outline))
    loose = [
        feature.shape
        for operation in setup.operations
        if not operation.has_tabs
        for feature in operation.parts(setup.tolerance)
        if feature.waste_side == "inside"
    ]
    enclosed = [
        Polygon(ring) for part in shapely.get_parts(kerf) if isinstance(part, Polygon) for ring in part.interiors
    ]
    dropped = [piece for piece in enclosed if any(shapely.covers(area, piece) for area in loose)]
    return shapely.union_all([kerf, *dropped])
