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
from toolpaths.making.operations.pocket import Pocket, pocket
from toolpaths.making.plan.setup import Setup
from toolpaths.shapes.plain_shapes import rectangle

# mm. The plug is thick enough to bear a calliper's jaws; slots are long enough to be read in three places.
_PLUG, _SLOT_LENGTH = 20.0, 30.0
_SLOT_DEPTH, _DEEPEST, _LEAST_DEEPER = 2.0, 10.0, 2.0
# mm of wood between cuts, and between a cut and the board's edge, where hold-downs need room.
_WALL, _EDGE = 6.0, 15.0
# mm of wood left below the deepest cut.
_FLOOR = 4.0
# mm: least width of the holes that are cut right through, for a calliper's jaws; the wood between two of them; how far
# they go into the spoilboard.
_HOLE, _WEB, _BELOW = 12.0, 7.0, 0.3
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
        edges, needed = self.cutter.body.cutting_length, board.thickness + _BELOW
        if self.back is not None and edges < needed:
            raise DoesNotFitError(
                f"Holes through a board of {board.thickness:g} mm need edges of {needed:g} mm; those of {self.cutter} "
                f"are {edges:g} mm long. Take a thinner scrap, or leave out back."
            )

    @property
    def _pocket_width(self) -> float:
        """With room for the cutter, and for a calliper's jaws, all round the plug."""
        return _PLUG + 2 * max(2.5 * self.cutter.diameter, 12.0)

    @property
    def _hole(self) -> float:
        """Width of the holes that are cut right through: their walls are straight for a third of it at least."""
        return max(_HOLE, 1.5 * self.cutter.diameter)

    @property
    def _apart(self) -> float:
        """From the hole from the front to each of those from the back."""
        return self._hole + _WEB

    @property
    def _cross(self) -> float:
        """Width of a hole from the front and the four from the back round it; 0 where there are none."""
        return 0.0 if self.back is None else self._hole + 2 * self._apart

    @property
    def _beside(self) -> float:
        """What the holes take beside the pocket."""
        return _WALL + self._cross if self._cross else 0.0

    @property
    def _least_spans(self) -> tuple[float, float]:
        around, high = 2 * _WALL + self.cutter.diameter, max(self._pocket_width, self._cross)
        at_ends = 2 * self._hole - self.cutter.diameter if self.back is not None else self.cutter.diameter
        return self._pocket_width + self._beside + around, high + 2 * _WALL + at_ends

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
    def _middle(self) -> tuple[float, float]:
        return self.front.board.width / 2, self.front.board.height / 2

    @property
    def _places(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The middles of the pocket and of the holes, side by side about the middle of the board."""
        (x, y), total = self._middle, self._pocket_width + self._beside
        return (x - (total - self._pocket_width) / 2, y), (x + (total - self._cross) / 2, y)

    @property
    def _pairs(self) -> dict[str, tuple[tuple[float, float], tuple[float, float]]]:
        """The middles of a hole from the front and of one from the back, far apart near the lower edge and the upper:
        if the back lies turned, the webs between them differ. They lie beside slots, no nearer to the edges."""
        (x, y), up = self._middle, self.spans[1]
        left = x + (_SLOT_LENGTH + self.cutter.diameter + self._hole) / 2 + _WALL
        off = (up + self.cutter.diameter - self._hole) / 2
        return {
            side: ((left, y + sign * off), (left + self._apart, y + sign * off))
            for side, sign in (("lower edge", -1.0), ("upper edge", 1.0))
        }

    @cached_property
    def job(self) -> Job:
        """The job that cuts it."""
        (x, y), (across, up), half = self._middle, self.spans, _SLOT_LENGTH / 2
        plug, (cx, cy) = self._places
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
            return Job("Test cut", (Setup(self.front, front),), afterwards=self._to_read)
        pairs = self._pairs.values()
        front.append(self._holes([(cx, cy), *(one for one, _ in pairs)], "holes from the front"))
        first, apart = Setup(self.front, [*self._pin_holes(), *front]), self._apart
        places = [(cx - apart, cy), (cx + apart, cy), (cx, cy - apart), (cx, cy + apart)]
        places += [other for _, other in pairs]
        second = Setup(self.back, [self._holes(places, "holes from the back")], after=first)
        return Job("Test cut", (first, second), afterwards=self._to_read)

    def _holes(self, places: list[tuple[float, float]], name: str) -> Pocket:
        """Right through, all of their wood cut away, so that no core comes loose; square, so that the webs between them
        are as thick where the back lies off sideways too."""
        width = self._hole
        return pocket(
            [rectangle(width, width, place) for place in places], self.cutter, depth=through(_BELOW), name=name
        )

    @property
    def _to_read(self) -> tuple[str, ...]:
        """What is to be measured, for the sheet, with room to write."""
        return tuple(f"{m.name}: {m.how}; drawn {m.nominal:g} mm, read ________" for m in self.measures)

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
        return (*found, *self._webs())

    @property
    def _sizes(self) -> tuple[Size, ...]:
        width, plug = self._pocket_width, _PLUG
        return (
            Size("plug X", plug, "X", "outsides", self.cutter),
            Size("plug Y", plug, "Y", "outsides", self.cutter),
            Size("pocket X", width, "X", "walls", self.cutter),
            Size("pocket Y", width, "Y", "walls", self.cutter),
        )

    def _webs(self) -> list[Measure]:
        """The wood between the hole from the front and each of those from the back, as seen from the front: what lies
        there can be taken between the jaws, from either face.

        Where X0 Y0 is found anew after turning, at another edge of the board, an axis that is off moves the back off
        the front by its share of the way between the two; pins turn with what the front cut.
        """
        if self.back is None:
            return []
        found = [self._web_at_edge(side, places) for side, places in self._pairs.items()]
        for axis, sides in enumerate((("left", "right"), ("lower", "upper"))):
            scale, back = ("scale_x", "scale_y")[axis], ("back_x", "back_y")[axis]
            drift = 0.0 if self._on_pins else self._zeros_apart[axis]
            for side, sign in zip(sides, (-1.0, 1.0), strict=True):
                changes = {"wider": -1.0, scale: _WEB + self.cutter.diameter - sign * drift, back: sign}
                if axis:
                    changes["back_turn"] = sign * (self._places[1][0] - self._middle[0])
                how = (
                    f"outside jaws in two holes, seen from the front: the middle of the wood {side} of the middle hole"
                )
                found.append(Measure(f"web {side}", how, _WEB, changes))
        return found

    def _web_at_edge(self, side: str, places: tuple[tuple[float, float], tuple[float, float]]) -> Measure:
        """Of a pair of holes: the back's is moved as those about the middle are, and by its turn."""
        (_, y), (_, middle) = places[0], self._places[1]
        drift = 0.0 if self._on_pins else self._zeros_apart[0]
        changes = {
            "wider": -1.0, "scale_x": _WEB + self.cutter.diameter - drift, "back_x": 1.0, "back_turn": middle - y,
        }  # fmt: skip
        how = f"outside jaws in the two holes near the {side}, seen from the front: the middle of the wood between them"
        return Measure(f"web {side}", how, _WEB, changes)

    @property
    def _on_pins(self) -> bool:
        return self.back is not None and bool(self.back.dowels)

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
    front : the scrap as it lies, for a cutter of 6 mm 105 x 105 mm or larger, with a back 161 x 117
    back : the same turned over, front.turned_over(...), to learn how far the back lies off the front

    Four slots, a plug in a pocket, and, with a back, holes from both sides with webs between them, in the
    middle and near two edges. `.job` is written as
    any job; printed it lists what to measure. Blow out dust, and break no edge before measuring; hands come near only
    after the spindle has stopped. Then measured() makes facts of the readings.

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
