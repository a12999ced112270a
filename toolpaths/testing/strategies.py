"""Random shapes, cutters, fixtures and whole jobs for property tests with hypothesis.

    from hypothesis import given
    from toolpaths.testing import assert_job_safe, strategies

    @given(strategies.jobs())
    def test_any_job_is_sound(job):
        assert_job_safe(job, cell=1.0)

What fails is shrunk to round numbers and as little work as fails; hypothesis prints it as calls that can be pasted.
That takes as long as planning and judging some dozen jobs: a coarse cell is soonest, where what fails shows in it.
Install it with pip install 'toolpaths[testing]'.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

from shapely import box

from toolpaths.base.checks import flag, instance, length, one_of, point, whole
from toolpaths.base.errors import InputError, Point, ToolpathsError
from toolpaths.base.extras import extra_library
from toolpaths.facts.board import Board, Clamp, Dowel, Screw, dowels, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import through
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.grip import GRIP_KINDS, Grip, GripKind
from toolpaths.facts.profile import ball, drill_point, flat, v_point
from toolpaths.facts.turning import Turned
from toolpaths.job.job import Job
from toolpaths.making.motion.tabs import Tabs
from toolpaths.making.operations.bore import bore
from toolpaths.making.operations.chamfer import chamfer
from toolpaths.making.operations.contour import contour
from toolpaths.making.operations.countersink import countersink
from toolpaths.making.operations.drill import Drill, drill
from toolpaths.making.operations.groove import groove
from toolpaths.making.operations.pocket import pocket
from toolpaths.making.operations.v_carve import v_carve
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.work import Stop, stop
from toolpaths.shapes.plain_shapes import circle, ellipse, rectangle, regular_polygon
from toolpaths.shapes.round_shapes import ring
from toolpaths.testing.case_shapes import comb as comb
from toolpaths.testing.case_shapes import many_chords as many_chords
from toolpaths.testing.case_shapes import two_rooms as two_rooms

if TYPE_CHECKING:
    from hypothesis.strategies import DrawFn, SearchStrategy
    from shapely import Polygon

# From what every cutter clears to what few do.
DIFFICULTIES = ("convex", "rounded", "islands", "narrow necks", "short chords", "comb")
# From what is in nobody's way to what the order of work goes by.
HOLD_DOWNS = ("screws", "tape", "vacuum", "vise", "clamps", "screws at a stop")
# What the operator is told where screws are driven at a stop.
DRIVEN_AT = "Drive the screws"
# mm: a place for one piece of work, and what is left around all of them for screws and the outline.
_ROOM, _BORDER = 50, 40
_CUTTER_KINDS = {"flat": flat, "ball": ball, "v": partial(v_point, angle_deg=90.0), "drill": drill_point}


def _strategies() -> Any:
    """hypothesis.strategies. Raises InputError with the install line where it is missing."""
    return extra_library("hypothesis.strategies", "testing", "Random cases for tests need hypothesis")


def shapes(
    difficulty: str = "convex", *, least: int = 20, most: int = 80, centre: Point = (0.0, 0.0)
) -> SearchStrategy[Polygon]:
    """Closed shapes of one difficulty, in whole millimetres.

    difficulty : "convex" (rectangles, regular polygons, circles, ellipses); "rounded" (rectangles with rounded
        corners); "islands" (rings); "narrow necks" (two rooms joined by a neck of 2 to 12 mm); "short chords" (round
        in 40 to 400 chords, wavy or not); "comb" (narrow teeth and gaps with sharp corners)
    least, most : mm, of width and height
    centre : (x, y) of their middle

    Raises InputError for another difficulty, sizes that cannot be used, and where hypothesis is missing.
    """
    one_of("difficulty", difficulty, DIFFICULTIES)
    low, high = whole("least", least, 12, 5_000), whole("most", most, 12, 5_000)
    if high < low:
        raise InputError(f"most={high} must be least={low} or more.")
    st, middle = _strategies(), point("centre", centre)
    size, at = st.integers(low, high), st.just(middle)
    build = st.builds
    if difficulty == "convex":
        found = (
            build(rectangle, size, size, at) | build(circle, size, at) | build(ellipse, size, size, at)
            | build(regular_polygon, st.integers(3, 12), size, at)
        )  # fmt: skip
    elif difficulty == "rounded":
        found = build(rectangle, size, size, at, corner_radius=st.integers(1, low // 2 - 1))
    elif difficulty == "islands":
        found = build(ring, st.integers(low, high), st.integers(2, low // 2), at)
    elif difficulty == "narrow necks":
        found = build(two_rooms, size, size, st.integers(2, min(12, low - 1)), at)
    elif difficulty == "short chords":
        found = build(many_chords, size, st.integers(40, 400), st.integers(0, 8), at)
    else:
        found = build(comb, size, size, st.integers(2, 5), at)
    return found  # type: ignore[no-any-return]


def cutters(kind: str = "flat", *, number: int = 1, least: int = 3, most: int = 12) -> SearchStrategy[Cutter]:
    """Cutters of one kind, of whole millimetres, run at numbers that hard wood bears.

    kind : "flat", "ball", "v" (90 degrees) or "drill"
    number : as in the T word
    least, most : mm, of the diameter

    >>> from toolpaths.testing.strategies import cutters
    >>> from hypothesis import find
    >>> find(cutters("ball"), lambda cutter: cutter.diameter > 4)
    <T1 ball 5, 1000 mm/min, 18000 rpm>

    Raises InputError for another kind, numbers that cannot be used, and where hypothesis is missing.
    """
    profile = _CUTTER_KINDS[one_of("kind", kind, _CUTTER_KINDS)]
    low, high = whole("least", least, 1, 100), whole("most", most, 1, 100)
    st = _strategies()
    if high < low:
        raise InputError(f"most={high} must be least={low} or more.")
    # 2 teeth at 18,000 rpm take 0.05 or 0.03 mm each (common practice for hard wood, no source).
    feed = 600 if kind == "drill" else 1800 if low >= 6 else 1000
    return st.builds(  # type: ignore[no-any-return]
        Cutter, st.just(whole("number", number, 1)), st.builds(profile, st.integers(low, high)),
        feed_mm_min=st.just(feed), spindle_rpm=st.just(8000 if kind == "drill" else 18000),
    )  # fmt: skip


def fixtures(
    *, two_sided: bool = False, least: int = 130, most: int = 330, thickest: int = 30, held: Sequence[str] = ("screws",)
) -> SearchStrategy[Fixture]:
    """Fronts of boards that are held in one of some ways, in steps of 10 mm.

    two_sided : whether there are dowels, so that back_of() makes its back
    least, most : mm, of width and height; thickest : mm
    held : the ways, those of HOLD_DOWNS: four "screws" or four "clamps" near the corners, "tape" or "vacuum" under all
        of it, a "vise" at its left and right edge, or "screws at a stop", for whose holes there have to be work and a
        stop (see pilots_first)

    Raises InputError for numbers and ways that cannot be used, and where hypothesis is missing.
    """
    ways = _ways(held)
    low, high = (whole("least", least, 80, 5_000) + 9) // 10, whole("most", most, 80, 5_000) // 10
    top, both = whole("thickest", thickest, 12, 100), flag("two_sided", two_sided)
    if high < low:
        raise InputError(f"most={most} must be least={least} or more, with a multiple of 10 between.")
    st = _strategies()
    tens = st.integers(low, high).map(lambda tens: 10 * tens)

    def fixture(draw: DrawFn) -> Fixture:
        board = draw(st.builds(Board, width=tens, height=tens, thickness=st.integers(12, top)))
        more = _held(draw, board, draw(st.sampled_from(ways)))
        pins = draw(st.builds(side_pins, st.just(board))) if both else ()
        more |= {"dowels": st.just(pins)} if both else {}
        return draw(st.builds(Fixture, board=st.just(board), **more))  # type: ignore[no-any-return]

    return st.composite(fixture)()  # type: ignore[no-any-return]


def _ways(held: Sequence[str]) -> tuple[str, ...]:
    """Ways to hold a board, at least one."""
    ways = tuple(one_of("held", each, HOLD_DOWNS) for each in held)
    if not ways:
        raise InputError(f"held lists none; name some of {', '.join(HOLD_DOWNS)}.")
    return ways


def _held(draw: DrawFn, board: Board, way: str) -> dict[str, Any]:
    """The arguments of a Fixture that say how the board is held, each a strategy."""
    st = _strategies()
    if way in GRIP_KINDS:
        return {"grips": st.just(draw(st.builds(grips_by, st.just(way), st.just(board))))}
    if way == "clamps":
        return {"clamps": st.just(draw(st.builds(corner_clamps, st.just(board))))}
    if way == "screws":
        return {"screws": st.just(draw(st.builds(corner_screws, st.just(board))))}
    driven = st.builds(corner_screws, st.just(board), driven_at=st.just(DRIVEN_AT))
    return {"screws": st.just(draw(driven)), "held_meanwhile": st.just("clamps that come off")}


def jobs(
    *,
    difficulties: Sequence[str] = ("convex", "rounded"),
    most_work: int = 4,
    held: Sequence[str] = HOLD_DOWNS,
) -> SearchStrategy[Job]:
    """Whole jobs that the library accepts, on one side or on both: pockets, grooves, holes, countersunk ones, carving,
    and an outline over tabs, chamfered or not.

    difficulties : of the shapes of pockets, those of shapes()
    most_work : pieces of work on a side besides the outline, at most
    held : ways in which the board may be held, those of fixtures(); the first is the simplest

    Raises InputError for numbers that cannot be used, and where hypothesis is missing.
    """
    kinds = tuple(one_of("difficulties", each, DIFFICULTIES) for each in difficulties)
    ways = _ways(held)
    most, st = whole("most_work", most_work, 1, 20), _strategies()
    if not kinds:
        raise InputError(f"difficulties lists none; name some of {', '.join(DIFFICULTIES)}.")
    hypothesis = extra_library("hypothesis", "testing", "Random cases for tests need hypothesis")
    flats, drills = cutters("flat", number=1, least=6, most=6), cutters("drill", number=2, least=4, most=4)
    vees = cutters("v", number=3, least=10, most=10)

    def job(draw: DrawFn) -> Job:
        both = draw(st.booleans())
        front = draw(fixtures(two_sided=both, least=180, most=280, thickest=22, held=ways))
        rack = _Rack(draw(flats), draw(drills), draw(vees))
        outlined = draw(st.booleans())
        outline = _outline(draw, front, rack) if outlined else []
        pins = [_pin_holes(draw, front, rack.mill)] if both else []
        try:
            work = _work(draw, front, rack, kinds, most)
            first = draw(
                st.builds(Setup, st.just(front), st.just([*_first(draw, front, rack), *work, *pins, *outline]))
            )
            setups = [first]
            if both:
                back = draw(st.builds(back_of, st.just(front), held=st.sampled_from(ways)))
                more = _work(draw, back, rack, kinds, most)
                more = [*_first(draw, back, rack), *more]
                setups.append(draw(st.builds(Setup, st.just(back), st.just(more), after=st.just(first))))
            return draw(st.builds(Job, st.just("Random job"), st.just(setups)))  # type: ignore[no-any-return]
        except ToolpathsError:
            hypothesis.reject()
            raise

    return st.composite(job)()  # type: ignore[no-any-return]


class _Rack(NamedTuple):
    """The cutters of a job."""

    mill: Cutter
    bit: Cutter
    vee: Cutter


def _work(draw: DrawFn, fixture: Fixture, rack: _Rack, kinds: Sequence[str], most: int) -> list[Any]:
    """Some work, each in a room of its own. What is cut from both faces meets nowhere: neither goes half-way."""
    st, board = _strategies(), fixture.board
    across, up = (int((size - 2 * _BORDER) // _ROOM) for size in (board.width, board.height))
    rooms = [(_BORDER + (i + 0.5) * _ROOM, _BORDER + (j + 0.5) * _ROOM) for j in range(up) for i in range(across)]
    deepest = int(board.thickness // 2) - 1
    found = []
    for x, y in rooms[: draw(st.integers(1, min(most, len(rooms))))]:
        depth = st.integers(1, deepest)
        mill, bit, vee = (st.just(cutter) for cutter in rack)
        holes = st.just([(x - 10, y), (x + 10, y)])
        ways = [
            [st.builds(bore, st.just([(x, y)]), st.integers(8, 20), mill, depth=depth)],
            [st.builds(drill, holes, bit, depth=depth)],
            [
                st.builds(drill, holes, bit, depth=st.integers(5, max(5, deepest))),
                st.builds(countersink, holes, vee, diameter=st.integers(6, 9), angle_deg=st.just(90)),
            ],
            [st.builds(groove, st.just([(x - 15, y), (x + 15, y)]), mill, depth=depth)],
            [
                st.builds(
                    v_carve, shapes("convex", least=20, most=36, centre=(x, y)), st.tuples(mill, vee),
                    depth_limit=st.integers(2, 4),
                )
            ],
            *[
                [st.builds(pocket, shapes(kind, least=20, most=36, centre=(x, y)), mill, depth=depth)]
                for kind in kinds
            ],
        ]  # fmt: skip
        found += [draw(each) for each in draw(st.sampled_from(ways))]
    return found


def _outline(draw: DrawFn, fixture: Fixture, rack: _Rack) -> list[Any]:
    st, board = _strategies(), fixture.board
    middle, mill = (board.width / 2, board.height / 2), st.just(rack.mill)
    drawn = st.builds(
        rectangle, st.just(board.width - 60), st.just(board.height - 60), st.just(middle),
        corner_radius=st.integers(0, 20),
    )  # fmt: skip
    shape = st.just(draw(drawn))
    tabs = st.builds(Tabs, count=st.integers(4, 6), width=st.just(8), height=st.just(4))
    edge = [st.builds(chamfer, shape, st.just(rack.vee), width=st.integers(1, 2))] if draw(st.booleans()) else []
    parted = st.builds(contour, shape, mill, depth=st.builds(through, st.just(0.3)), tabs=tabs)
    return [draw(each) for each in (*edge, parted)]


def _pin_holes(draw: DrawFn, fixture: Fixture, mill: Cutter) -> Any:
    st = _strategies()
    places = [(pin.x, pin.y) for pin in fixture.dowels]
    return draw(st.builds(bore, st.just(places), st.just(8), st.just(mill), depth=st.builds(through, st.just(6))))


def _first(draw: DrawFn, fixture: Fixture, rack: _Rack) -> list[Any]:
    """What comes before all other work: the holes of screws that are driven at a stop, and the stop."""
    if not any(screw.driven_at for screw in fixture.screws):
        return []
    st = _strategies()
    return list(draw(st.builds(pilots_first, st.just(fixture), st.just(rack.bit))))


def pilots_first(fixture: Fixture, bit: Cutter) -> tuple[Drill, Stop]:
    """The holes of screws that are driven at a stop, half-way through the board, and that stop.

    >>> from toolpaths import Board, Cutter, Fixture, drill_point
    >>> from toolpaths.testing.strategies import DRIVEN_AT, corner_screws, pilots_first
    >>> board = Board(width=200, height=150, thickness=18)
    >>> held = Fixture(board=board, screws=corner_screws(board, driven_at=DRIVEN_AT), held_meanwhile="clamps")
    >>> pilots_first(held, Cutter(2, drill_point(3), feed_mm_min=600, spindle_rpm=8000))[1]
    Stop(message='Drive the screws')

    Raises InputError for a fixture all of whose screws are there from the start.
    """
    there = [screw for screw in fixture.screws if screw.driven_at]
    if not there:
        raise InputError("No screw of the fixture is driven at a stop; give corner_screws(board, driven_at=...).")
    places = [(screw.x, screw.y) for screw in there]
    return drill(places, bit, depth=fixture.board.thickness / 2, name="pilots"), stop(there[0].driven_at)


def corner_screws(board: Board, driven_at: str = "") -> tuple[Screw, ...]:
    """Four screws, 12 mm from the edges at the corners of a board, their heads 8 mm wide and 3 mm high.

    driven_at : as for toolpaths.screws

    >>> from toolpaths import Board
    >>> from toolpaths.testing.strategies import corner_screws
    >>> [(screw.x, screw.y) for screw in corner_screws(Board(width=200, height=150, thickness=18))]
    [(12.0, 12.0), (188.0, 12.0), (12.0, 138.0), (188.0, 138.0)]

    Raises InputError for a board that is smaller than their heads.
    """
    right, high = board.width - 12, board.height - 12
    places = [(12, 12), (right, 12), (12, high), (right, high)]
    return screws(places, head_diameter=8, height=3, driven_at=driven_at)


def corner_clamps(board: Board) -> tuple[Clamp, ...]:
    """Four clamps 16 mm wide along the left and the right edge of a board, each 40 mm from its corner, 20 mm high.

    >>> from toolpaths import Board
    >>> from toolpaths.testing.strategies import corner_clamps
    >>> [clamp.area.bounds for clamp in corner_clamps(Board(width=200, height=150, thickness=18))][0]
    (0.0, 0.0, 16.0, 40.0)

    Raises InputError for what is no board.
    """
    instance("board", board, Board)
    lefts, lows = (0.0, board.width - 16), (0.0, board.height - 40)
    return tuple(Clamp(area=box(x, y, x + 16, y + 40), height=20) for y in lows for x in lefts)


def grips_by(kind: GripKind, board: Board) -> tuple[Grip, ...]:
    """Tape or vacuum under all of a board, or a vise that presses on 10 mm of its left and its right edge.

    >>> from toolpaths import Board
    >>> from toolpaths.testing.strategies import grips_by
    >>> grips_by("vacuum", Board(width=200, height=150, thickness=18))[0].area.area
    30000.0

    Raises InputError for another kind, and for what is no board.
    """
    instance("board", board, Board)
    if one_of("kind", kind, GRIP_KINDS) != "vise":
        return (Grip(area=board.outline, by=kind),)
    jaws = (box(0, 0, 10, board.height), box(board.width - 10, 0, board.width, board.height))
    return tuple(Grip(area=jaw, by=kind) for jaw in jaws)


def side_pins(board: Board) -> tuple[Dowel, ...]:
    """Three pins of 8 mm for a board that is turned over left to right: two at half the height, one off the middle.

    >>> from toolpaths import Board
    >>> from toolpaths.testing.strategies import side_pins
    >>> [(pin.x, pin.y) for pin in side_pins(Board(width=200, height=150, thickness=18))]
    [(12.0, 75.0), (188.0, 75.0), (100.0, 12.0)]

    Raises InputError for a board that is smaller than they are.
    """
    length("the width of the board", board.width)
    places = [(12, board.height / 2), (board.width - 12, board.height / 2), (board.width / 2, 12)]
    return dowels(places, diameter=8, depth=6)


def back_of(front: Fixture, turned: Turned = "left to right", held: str = "screws") -> Fixture:
    """The back of a board on the dowels of its front, held in one of the ways of fixtures().

    >>> from toolpaths import Board, Fixture
    >>> from toolpaths.testing.strategies import back_of, side_pins
    >>> board = Board(width=200, height=150, thickness=18)
    >>> back_of(Fixture(board=board, dowels=side_pins(board)))
    <Fixture: back of board, 4 screws, 3 dowels>

    Raises InputError where the dowels do not mirror each other, for a back, and for another way.
    """
    board, way = front.board, one_of("held", held, HOLD_DOWNS)
    if way == "clamps":
        return front.turned_over(turned, clamps=corner_clamps(board))
    if way in GRIP_KINDS:
        return front.turned_over(turned, grips=grips_by(way, board))
    if way == "screws":
        return front.turned_over(turned, screws=corner_screws(board))
    driven = corner_screws(board, DRIVEN_AT)
    return front.turned_over(turned, screws=driven, held_meanwhile="clamps that come off")
