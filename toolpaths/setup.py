"""A setup: one side of the board in the fixture, and the work on it in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from shapely import Point

from toolpaths.checks import label, positive
from toolpaths.cutters import Cutter, rack
from toolpaths.errors import DoesNotFit, InputError, PlacedError, UnitsQuestion
from toolpaths.fixture import Fixture
from toolpaths.geometry import tolerance as share
from toolpaths.geometry.track import Piece
from toolpaths.operations.operation import Operation, Site, check_some_work
from toolpaths.path import RAPID, Toolpath

# A board less than this many cutter diameters across is more likely one in inches.
_NARROWEST = 3.0


@dataclass(frozen=True, slots=True)
class Stop:
    """The machine waits, spindle off and cutter up, until the operator goes on."""

    message: str


def stop(message: str) -> Stop:
    """An operator stop with a message, for instance "Drive the seven screws"."""
    return Stop(label("message", message))


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of work as motion."""

    name: str
    path: Toolpath


Work = Operation | Stop


@dataclass(frozen=True, slots=True, eq=False)
class Setup:
    """One side of the board, its work turned into motion and checked against the facts.

    fixture : how the board lies
    work : operations and stops in the order in which they are to be done
    title : what is being made; the board's name unless given
    tolerance : mm, greatest distance between the shapes drawn and the paths written
    steps : the result, a Step for each cutter of each operation, and the stops between them
    notes : what the user should know of the paths, for instance wood that a cutter cannot reach
    cutters : one cutter of each number, in order of first use

    Raises an error that names the piece of work, before anything is written.
    """

    fixture: Fixture
    work: Sequence[Work]
    title: str = ""
    tolerance: float = share.DEFAULT
    cutters: tuple[Cutter, ...] = field(init=False)
    steps: tuple[Step | Stop, ...] = field(init=False)
    notes: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        if not isinstance(self.fixture, Fixture):
            raise InputError(f"A setup starts from a Fixture(board=...), not from a {type(self.fixture).__name__}.")
        if isinstance(self.work, (Operation, Stop)):
            raise InputError("work must be a list of operations, even of one.")
        object.__setattr__(self, "work", tuple(self.work))
        object.__setattr__(self, "title", label("title", self.title or self.fixture.board.name))
        positive("tolerance", self.tolerance)
        for item in self.work:
            if not isinstance(item, (Operation, Stop)):
                raise InputError(f"work holds {item!r}; list operations such as contour(...), and stop(...).")
        used = tuple(cutter for item in self.work if isinstance(item, Operation) for cutter in item.cutters)
        if not used:
            raise InputError("work holds no operation.")
        by_number = rack(used)
        object.__setattr__(self, "cutters", tuple(by_number.values()))
        for cutter in used:
            _check_same_body(by_number[cutter.number], cutter)
        self._check_cutters(used)
        self._check_stops()
        self._run()

    def _run(self) -> None:
        """The work in order, each stage on what the ones before it left."""
        steps, notes = list[Step | Stop](), list[str]()
        site = Site(self.fixture, self.tolerance)
        for number, item in enumerate(self.work, start=1):
            if isinstance(item, Stop):
                steps.append(item)
                continue
            paths = list[Toolpath]()
            with self._placed(number, item):
                for stage in item.stages:
                    paths.append(stage.make(site))
                    site = site.after(paths[-1])
                    _check_on_board(paths[-1], self.fixture)
                    _check_depth(paths[-1], self.fixture)
                check_some_work(paths)
            steps += [Step(item.name, path) for path in paths if path.moves]
            notes += [f"{item.name}: {note}" for path in paths for note in path.notes]
        object.__setattr__(self, "steps", tuple(steps))
        object.__setattr__(self, "notes", tuple(notes))

    @contextmanager
    def _placed(self, number: int, item: Operation) -> Iterator[None]:
        """An error in a piece of work says which, and where as seen from the front."""
        try:
            yield
        except PlacedError as error:
            message = f"Step {number} on the {self.fixture.side}, {item.name}: {error.message}"
            if self.fixture.turned and error.point:
                seen = self.fixture.place(Point(error.point))
                message += f" (Places are as the board lies; seen from the front: {seen.x:.1f}, {seen.y:.1f}.)"
            raise type(error)(message, error.point) from error

    def _check_cutters(self, used: tuple[Cutter, ...]) -> None:
        board, (slowest, fastest) = self.fixture.board, self.fixture.machine.spindle_rpm
        for cutter in dict.fromkeys(used):
            if min(board.width, board.height) < _NARROWEST * cutter.diameter:
                raise UnitsQuestion(
                    f"Is the board really {board.width:g} x {board.height:g} mm, with {cutter}? If it is in inches, "
                    "write inch(...) around its sizes. So small a piece is held on a larger carrier: enter the carrier."
                )
            if not slowest <= cutter.spindle_rpm <= fastest:
                raise InputError(
                    f"{cutter} asks for {cutter.spindle_rpm:g} rpm; the spindle of the {self.fixture.machine.name} "
                    f"turns {slowest:g} to {fastest:g}."
                )

    def _check_stops(self) -> None:
        messages = [item.message for item in self.work if isinstance(item, Stop)]
        for screw in self.fixture.screws:
            if screw.driven_at and screw.driven_at not in messages:
                raise InputError(
                    f"The screw at ({screw.x:g}, {screw.y:g}) is driven_at={screw.driven_at!r}, but no stop has that "
                    "message; give both the same text."
                )


def _check_same_body(first: Cutter, cutter: Cutter) -> None:
    """One number is one cutter in the rack. How it is run, its feeds and passes, may differ from use to use."""
    for name in ("flutes", "cutting_length", "stick_out", "shank_diameter", "nut_diameter", "centre_cutting"):
        one, other = getattr(first, name), getattr(cutter, name)
        if one != other:
            raise InputError(
                f"{first} is used with {name}={one:g} and with {name}={other:g}; give each cutter its own number."
            )


def _check_depth(path: Toolpath, fixture: Fixture) -> None:
    """No cut goes deeper into the spoilboard than its cuts or its dowel holes may."""
    deepest = max([fixture.spoilboard_depth, *(dowel.depth for dowel in fixture.dowels)])
    below = -path.lowest - fixture.board.thickness
    if below > deepest + 1e-6:
        raise DoesNotFit(
            f"{path.cutter} would go {below:.2f} mm into the spoilboard under the board, "
            f"{deepest:g} is allowed. Cut less deep, or give the fixture a larger spoilboard_depth."
        )


def _check_on_board(path: Toolpath, fixture: Fixture) -> None:
    """Every cut below the top must keep the cutter within the board, plus the fixture's overhang."""
    board, cutter = fixture.board, path.cutter
    x = y = z = 0.0
    for move in path.moves:
        bottom = move.hole.bottom if move.hole else min(move.z, z)
        if move.kind != RAPID and bottom < 0:
            start = (move.x, move.y) if move.hole else (x, y)
            left, low, right, high = Piece(start, (move.x, move.y), move.centre, move.sweep).bounds
            reach = cutter.profile.radius_at(-bottom)
            past = reach + max(-left, -low, right - board.width, high - board.height)
            if past > fixture.overhang + 1e-6:
                raise DoesNotFit(
                    f"{cutter} would reach {past:.2f} mm past the edge of the {board.width:g} x {board.height:g} board "
                    f"near ({move.x:.2f}, {move.y:.2f}) as it lies; move the shape, or allow it with "
                    f"overhang={past:.2f} if nothing stands there.",
                    (move.x, move.y),
                )
        x, y, z = move.x, move.y, move.z
