"""The work of one side as motion: each step, on what the ones before it left, checked against edges and wood."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from shapely import Point

from toolpaths.base.errors import PlacedError
from toolpaths.base.progress import step_by_step
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.crossing import lowered
from toolpaths.making.motion.removed import Removed
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.making.operations.operation import Operation, Site, check_some_work
from toolpaths.making.plan.effect import Effect, effect_of
from toolpaths.making.plan.limits import check_drawn, check_limits
from toolpaths.making.plan.order import ordered
from toolpaths.making.plan.standing_wood import check_as_wide, check_begins_in_air
from toolpaths.making.plan.tabs_kept import check_tabs_kept
from toolpaths.making.plan.work import Stop, Work, listed


@dataclass(frozen=True, slots=True)
class Step:
    """What one cutter does of an operation, as motion."""

    operation: Operation
    path: Toolpath

    @property
    def name(self) -> str:
        return self.operation.title


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """What follows from the work of a setup; see there."""

    steps: tuple[Step | Stop, ...]
    notes: tuple[str, ...]
    cutters: tuple[Cutter, ...]
    removed: Removed


def planned(work: Sequence[Work], site: Site) -> Plan:
    """The work in order, each cutter's turn on the wood that the ones before it left.

    Raises an error that names the piece of work.
    """
    fixture, tolerance = site.fixture, site.tolerance

    def effect(number: int, item: Operation) -> Effect:
        with _named(number, item, fixture, drawn=True):
            return effect_of(item, fixture, tolerance)

    for number, item in enumerate(listed(work)):
        if isinstance(item, Operation):
            with _named(number, item, fixture, drawn=True):
                check_drawn(item, fixture)
    order, said = ordered(work, fixture, effect)
    steps = list[Step | Stop]()
    paths: dict[int, list[Toolpath]] = {}
    notes: dict[int, list[str]] = {}
    standing = [thing for thing in fixture.standing() if not thing.driven_at]
    for turn in step_by_step(f"Planning the {fixture.side}", order):
        if isinstance(turn.item, Stop):
            steps.append(turn.item)
            standing += [thing for thing in fixture.standing() if thing.driven_at == turn.item.message]
        elif turn.cutter is not None:
            operation, done = turn.item, paths.setdefault(turn.work, [])
            with _named(turn.work, operation, fixture):
                path = lowered(operation.toolpath(turn.cutter, site), fixture)
                check_begins_in_air(path, operation.top, site)
                check_as_wide(operation, site)
                check_limits(path, fixture, standing)
                before = ((step.operation, step.path) for step in steps if isinstance(step, Step))
                check_tabs_kept(operation, path, before, site)
                done.append(path)
                if len(done) == len(operation.cutters_in_turn):
                    check_some_work(done)
            site = site.after(path)
            steps += [Step(operation, path)] if path.moves else []
            notes.setdefault(turn.work, []).extend(f"{operation.title}: {note}" for note in path.notes)
    used = rack(tuple(turn.cutter for turn in order if turn.cutter is not None))
    in_order = (note for number in sorted(notes) for note in notes[number])
    return Plan(tuple(steps), (*said, *in_order), tuple(used.values()), site.removed)


@contextmanager
def _named(number: int, item: Operation, fixture: Fixture, *, drawn: bool = False) -> Iterator[None]:
    """An error in a piece of work says which, and where as seen from the front; its places are `drawn` so, or as the
    board lies."""
    try:
        yield
    except PlacedError as error:
        message = f"Step {number + 1} on the {fixture.side}, {item.title}: {error.message}"
        if fixture.turned and error.point and not drawn:
            seen = fixture.place(Point(error.point))
            message += f" (Places are as the board lies; seen from the front: {seen.x:.1f}, {seen.y:.1f}.)"
        raise type(error)(message, error.point) from error
