"""A small piece cut from scrap in order to be measured."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from math import floor

from shapely import Point

from toolpaths.base.checks import instance, let_in, optional
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import through
from toolpaths.facts.fixture import Fixture
from toolpaths.job.calibration.size import Measure, Size
from toolpaths.job.job import Job
from toolpaths.making.operations.bore import Bore, bore
from toolpaths.making.operations.groove import groove
from toolpaths.making.operations.pocket import pocket
from toolpaths.making.plan.setup import Setup
from toolpaths.shapes.plain_shapes import circle, rectangle

# mm. The plug is thick enough to bear a calliper's jaws; slots are long enough to be read in three places.
_PLUG, _SLOT_LENGTH = 20.0, 30.0
_SLOT_DEPTH, _DEEPEST, _LEAST_DEEPER = 2.0, 10.0, 2.0
# mm of wood between cuts, and between a cut and the board's edge, where hold-downs need room.
_WALL, _EDGE = 6.0, 15.0
# mm of wood left below the deepest cut.
_FLOOR = 4.0
# mm from the hole from the back to the wall round it that is cut from the front; how far that hole goes on into air.
_LEDGE, _INTO_THE_RING = 8.0, 1.0
# mm; the usual calliper opens 150.
_OPENS = 145.0


@dataclass(frozen=True, repr=False)
class GaugePiece(PickledByFields):
    """What is cut to be measured; made by test_cut().

    job : its programs, as of any job
    measures : what to measure, each with its name, how, and what it is where nothing is off
    """

    cutter: Cutter
    front: Fixture
    back: Fixture | None = None

    def __post_init__(self) -> None:
        let_in(
            self, cutter=partial(instance, kind=Cutter), front=partial(instance, kind=Fixture),
            back=partial(optional, door=partial(instance, kind=Fixture)),
        )  # fmt: skip
        if self.cutter.profile.kind != "flat":
            raise InputError(f"cutter={self.cutter} has no one width to be measured; test_cut() takes flat cutters.")
        if self.front.turned:
            raise InputError("front is the fixture of a board that is turned over; give that of the front.")
        if self.back is not None and (not self.back.turned or self.back.board != self.front.board):
            raise InputError("back must be the same board turned over: front.turned_over(...).")
        self._check_room()
        _ = self.job  # what cannot be made is an error on the user's line

    def __repr__(self) -> str:
        return in_a_line(f"<GaugePiece: {self.cutter}, {len(self.measures)} measures>")

    def __str__(self) -> str:
        width = max(len(measure.name) for measure in self.measures)
        lines = [f"{m.name:{width}}  {m.nominal:7.2f}  ______  {m.how}" for m in self.measures]
        return "\n".join([f"{'To measure':{width}}  nominal    read", *lines])

    def _check_room(self) -> None:
        board = self.front.board
        around = 2 * _EDGE + self.cutter.diameter
        least_width, least_height = (floor(least + around) + 1 for least in self._least_spans)
        if board.width < least_width or board.height < least_height:
            raise DoesNotFitError(
                f"The board, {board.width:g} x {board.height:g} mm, is too small for a test cut with a cutter of "
                f"{self.cutter.diameter:g}: {least_width} x {least_height} mm are needed, or a thinner cutter."
            )
        if max(self._least_spans) + self.cutter.diameter > _OPENS:
            raise DoesNotFitError(
                f"A test cut with a cutter of {self.cutter.diameter:g} mm is longer than a calliper opens, "
                f"{_OPENS:g} mm; take a thinner cutter."
            )
        if self.deep < _SLOT_DEPTH + _LEAST_DEEPER:
            raise DoesNotFitError(
                f"A board of {board.thickness:g} mm and edges of {self.cutter.body.cutting_length:g} mm leave "
                f"{self.deep:g} mm for the deep cut; {_SLOT_DEPTH + _LEAST_DEEPER:g} are needed, and {_FLOOR:g} mm of "
                "wood below it."
            )
        if self.back is not None and self._ring_depth > self.deep:
            needed = board.thickness + _INTO_THE_RING - self.deep
            raise DoesNotFitError(
                f"The hole from the back needs edges of {needed:g} mm in a board of {board.thickness:g} mm; those of "
                f"{self.cutter} are {self.cutter.body.cutting_length:g} mm long. Take a thinner scrap, or leave "
                "out back."
            )

    @property
    def _pocket_width(self) -> float:
        """With room for the cutter, and for a calliper's jaws, all round the plug."""
        return _PLUG + 2 * max(2.5 * self.cutter.diameter, 12.0)

    @property
    def _hole(self) -> float:
        """Diameter of the hole from the back."""
        return 2 * self.cutter.diameter

    @property
    def _ring(self) -> float:
        """Diameter of the round recess from the front about it."""
        return self._hole + 2 * _LEDGE

    @property
    def _least_spans(self) -> tuple[float, float]:
        around = 2 * _WALL + self.cutter.diameter
        return self._pocket_width + _WALL + self._ring + around, max(self._pocket_width, self._ring) + around

    @property
    def spans(self) -> tuple[float, float]:
        """mm between the axes of the slots along X and along Y: as far apart as board and calliper allow."""
        diameter, board = self.cutter.diameter, self.front.board
        across, up = (
            float(floor(min(side - 2 * _EDGE - diameter, _OPENS - diameter))) for side in (board.width, board.height)
        )
        return across, up

    @property
    def deep(self) -> float:
        """mm, depth of the pocket with the plug."""
        return min(_DEEPEST, self.front.board.thickness - _FLOOR, self.cutter.body.cutting_length)

    @property
    def _ring_depth(self) -> float:
        """Shallow, so that jaws reach wall and hole, but no less than the cutter's edges need for the hole."""
        edges = self.cutter.body.cutting_length
        return max(_SLOT_DEPTH, self.front.board.thickness + _INTO_THE_RING - edges)

    @property
    def _middle(self) -> tuple[float, float]:
        return self.front.board.width / 2, self.front.board.height / 2

    @property
    def _places(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The middles of the pocket and of the ring, side by side about the middle of the board."""
        (x, y), total = self._middle, self._pocket_width + _WALL + self._ring
        return (x - (total - self._pocket_width) / 2, y), (x + (total - self._ring) / 2, y)

    @cached_property
    def job(self) -> Job:
        """The job that cuts it."""
        (x, y), (across, up), half = self._middle, self.spans, _SLOT_LENGTH / 2
        plug, ring = self._places
        slots = {
            "slot left": [(x - across / 2, y - half), (x - across / 2, y + half)],
            "slot right": [(x + across / 2, y - half), (x + across / 2, y + half)],
            "slot below": [(x - half, y - up / 2), (x + half, y - up / 2)],
            "slot above": [(x - half, y + up / 2), (x + half, y + up / 2)],
        }
        work = [groove(line, self.cutter, depth=_SLOT_DEPTH, name=name) for name, line in slots.items()]
        around, width = rectangle(_PLUG, _PLUG, plug), self._pocket_width
        front = [
            *work,
            pocket(rectangle(width, width, plug), self.cutter, depth=self.deep, islands=[around], name="plug"),
        ]
        if self.back is None:
            return Job("Test cut", (Setup(self.front, front),))
        front.append(pocket(circle(self._ring, ring), self.cutter, depth=self._ring_depth, name="ring"))
        first = Setup(self.front, [*self._pin_holes(), *front])
        depth = self.front.board.thickness - self._ring_depth + _INTO_THE_RING
        hole = bore([ring], self._hole, self.cutter, depth=depth, name="hole from the back")
        return Job("Test cut", (first, Setup(self.back, [hole], after=first)))

    def _pin_holes(self) -> list[Bore]:
        """What the pins stand in when the board is turned."""
        return [
            bore([(d.x, d.y)], d.diameter, self.cutter, depth=through(d.depth), name="pin hole")
            for d in self.front.dowels
        ]

    @cached_property
    def measures(self) -> tuple[Measure, ...]:
        """What to measure."""
        diameter = self.cutter.diameter
        found = [Measure("slot width", "inside jaws, across the left slot", diameter, {"wider": 1.0})]
        for along, scale, span in zip("XY", ("scale_x", "scale_y"), self.spans, strict=True):
            slots = "left and right" if along == "X" else "lower and upper"
            found += [
                Measure(f"between slots {along}", f"outside jaws, over the wood between the {slots} slots",
                        span - diameter, {"wider": -1.0, scale: span}),
                Measure(f"over slots {along}", f"inside jaws, between the far walls of the {slots} slots",
                        span + diameter, {"wider": 1.0, scale: span}),
            ]  # fmt: skip
        for size in self._sizes:
            jaws = "inside jaws, beside the plug" if size.between == "walls" else "outside jaws, at half its height"
            found.append(size.measure._replace(how=f"{jaws}, along {size.along}"))
        for name, depth in (("slot depth", _SLOT_DEPTH), ("pocket depth", self.deep)):
            found.append(Measure(name, "depth rod, from the face", depth, {"zero_z": -1.0, "scale_z": depth}))
        return (*found, *self._across_the_hole())

    @property
    def _sizes(self) -> tuple[Size, ...]:
        width, plug = self._pocket_width, _PLUG
        return (
            Size("plug X", plug, "X", "outsides", self.cutter),
            Size("plug Y", plug, "Y", "outsides", self.cutter),
            Size("pocket X", width, "X", "walls", self.cutter),
            Size("pocket Y", width, "Y", "walls", self.cutter),
        )

    def _across_the_hole(self) -> list[Measure]:
        """From each wall of the ring to the far wall of the hole, as seen from the front.

        Where X0 Y0 is found anew after turning, at another edge of the board, an axis that is off moves the back off
        the front by its share of the way between the two; pins turn with what the front cut.
        """
        if self.back is None:
            return []
        found, nominal = [], (self._ring + self._hole) / 2
        for axis, sides in enumerate((("left", "right"), ("lower", "upper"))):
            scale, back = ("scale_x", "scale_y")[axis], ("back_x", "back_y")[axis]
            drift = 0.0 if self.back.dowels else self._zeros_apart[axis]
            for side, sign in zip(sides, (1.0, -1.0), strict=True):
                changes = {"wider": 1.0, scale: nominal - self.cutter.diameter - sign * drift, back: sign}
                how = f"inside jaws, seen from the front: from the {side} wall of the ring to the hole's far wall"
                found.append(Measure(f"ring {side}", how, nominal, changes))
        return found

    @property
    def _zeros_apart(self) -> tuple[float, float]:
        """From X0 Y0 of the front to that of the back, both seen from the front."""
        if self.back is None:
            return 0.0, 0.0
        on_back = self.back.place(Point(self.back.zero[:2]))
        return on_back.x - self.front.zero[0], on_back.y - self.front.zero[1]


def test_cut(cutter: Cutter, front: Fixture, back: Fixture | None = None) -> GaugePiece:
    """A small piece to cut from a scrap of the same wood and to measure, so that cutter, axes and zeros are known.

    cutter : a flat one, as it will be run
    front : the scrap as it lies, 140 x 106 mm or larger for a cutter of 6 mm
    back : the same turned over, front.turned_over(...), to learn how far the back lies off the front

    Four slots, a plug in a pocket, and, with a back, a hole from below in a round recess. `.job` is written as any job;
    printed it lists what to measure. Blow out dust, and break no edge before measuring; hands come near only after the
    spindle has stopped. Then measured() makes facts of the readings.

    >>> import toolpaths as tp
    >>> scrap = tp.Board(width=200, height=140, thickness=18)
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
    >>> piece = tp.test_cut(T1, tp.Fixture(board=scrap, grips=(scrap.outline,)))
    >>> piece.measures[1].name, piece.measures[1].nominal
    ('between slots X', 133.0)

    Raises InputError for a cutter without one width and for fixtures that do not go together, DoesNotFitError where the
    scrap is too small or too thin, and as Setup does.
    """
    return GaugePiece(cutter, front, back)
