"""What random jobs are made of: cutters, rooms of a part, and a feature for each room."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random
from typing import NamedTuple

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

import toolpaths as tp
from toolpaths.facts.depth import deeper

Point = tuple[float, float]

# mm2 of a slug below which nobody trusts tape: at 0.2 N/mm2 (facts/hold_strength) one of 22 x 17 stands 74 N straight
# on and, turned by a push 17 mm from its middle, 22 N, which is what a 6 mm cutter in a pass of 1.7 mm gives it.
_TAPED = 700.0

# The order in which a careful person does the work of one side: what frees a piece comes last.
FACE, DOWELS, DRILLED, CLEARED, GROOVED, CHAMFERED, OPENED, FREED = range(8)


class Room(NamedTuple):
    """A place of the part in which one feature has its place; walls between rooms are thick."""

    x: float
    y: float
    width: float
    height: float

    @property
    def centre(self) -> Point:
        return self.x, self.y

    @property
    def least(self) -> float:
        return min(self.width, self.height)


@dataclass
class Plan:
    """What is gathered for one side: its work by the order above, and the screws in its slugs."""

    work: list[tuple[int, tp.Operation]] = field(default_factory=list)
    slugs: list[Point] = field(default_factory=list)

    def add(self, order: int, *operations: object) -> None:
        self.work += [(order, operation) for operation in operations]


class Shop(NamedTuple):
    """The cutters of one job, run within what makers of cutters publish."""

    main: tp.Cutter
    fine: tp.Cutter
    ball: tp.Cutter
    nose: tp.Cutter
    vee: tp.Cutter
    drill: tp.Cutter
    facing: tp.Cutter
    rounder: tp.Cutter


def shop(rng: Random, inches: bool) -> Shop:
    def run(number: int, profile: object, tooth: float, rpm: tuple[int, int], **more: object) -> tp.Cutter:
        speed = rng.randrange(rpm[0], rpm[1] + 1, 500)
        return tp.Cutter(number, profile, round(tooth * 2 * speed), speed, **more)

    d = tp.inch("1/4") if inches else rng.choice([4.0, 5.0, 6.0, 6.0, 8.0])
    e = tp.inch("1/8") if inches else rng.choice([2.0, 3.0])
    b, v = rng.choice([6.0, 8.0, 12.0]), rng.choice([10.0, 12.0])
    fast, slow = (15000, 18000), (6000, 9000)
    return Shop(
        run(1, tp.flat(d), 0.012 * d, fast, cutting_length=32, step_down=rng.choice([0.5, 0.8]) * d,
            ramp_angle_deg=rng.choice([3, 5, 8])),
        run(2, tp.flat(e), 0.012 * e, fast, cutting_length=12, shank_diameter=rng.choice([e, 6.0])),
        run(3, tp.ball(b), 0.008 * b, fast),
        run(4, tp.bull_nose(6, 1), 0.06, fast, cutting_length=25),
        run(5, tp.v_point(v, rng.choice([60, 90])), 0.05, fast),
        run(6, tp.drill_point(rng.choice([3.0, 4.0, 5.0])), 0.05, slow, cutting_length=40, stick_out=45),
        run(7, tp.flat(22), 0.1, (10000, 12000), cutting_length=15, step_down=2, centre_cutting=False,
            shank_diameter=8),
        tp.Cutter(8, tp.rounding(1.5, 4), 1200, 16000, shank_diameter=6),
    )  # fmt: skip


def broken_edge(tools: Shop, shape: object, width: float, **more: object) -> tp.Operation:
    """A chamfer so wide, or where there is as much room a rounded edge or a cove, by its width."""
    kind = int(width * 1e6) % 3
    if kind == 1 and width > 1:
        return tp.round_edge(shape, tools.rounder, **more)
    return (
        tp.cove_edge(shape, tools.nose, **more)
        if kind == 2 and width > 0.9
        else tp.chamfer(shape, tools.vee, width=width, **more)
    )


def rooms(rng: Random, x0: float, y0: float, x1: float, y1: float) -> list[Room]:
    """The area in rows and columns, 8 mm apart."""
    columns, rows = max(1, int((x1 - x0) / rng.uniform(45, 80))), max(1, int((y1 - y0) / rng.uniform(40, 70)))
    width, height = (x1 - x0) / columns, (y1 - y0) / rows
    return [
        Room(x0 + (i + 0.5) * width, y0 + (j + 0.5) * height, width - 8, height - 8)
        for i in range(columns)
        for j in range(rows)
    ]


def shape_in(rng: Random, room: Room, share: float = 1.0) -> Polygon:
    """An area that fits the room, not always straight."""
    w, h, c = room.width * share, room.height * share, room.centre
    least = min(w, h)
    kind = rng.randrange(7)
    if kind == 0:
        return tp.circle(least * rng.uniform(0.6, 1), c)
    if kind == 1:
        return tp.ellipse(w, h * rng.uniform(0.7, 1), c)
    if kind == 2:
        return tp.regular_polygon(rng.randint(5, 8), least * 0.9, c, angle_deg=rng.uniform(0, 60))
    if kind == 3:
        return tp.slot((c[0] - (w - least) / 2 - 1, c[1]), (c[0] + (w - least) / 2 + 1, c[1]), least - 2)
    if kind == 4:
        return tp.rotate(tp.rectangle(least * 0.7, least * 0.6, c), rng.uniform(0, 90), c)
    return tp.rectangle(w, h, c, corner_radius=rng.choice([0, 0, least * rng.uniform(0.1, 0.4)]))


def half_through(rng: Random, board: tp.Board, longest: float = 99.0) -> float:
    """A blind depth; at least 4 mm stay below, whatever is cut into the other face stays elsewhere."""
    return round(rng.uniform(1.5, min(board.thickness - 4, longest)), 2)


def feature(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    """One feature in its room. free : whether through cuts may be held by the tape below alone."""
    kinds = [clear, clear, clear, drill_rows, bores, grooves, engrave, opening, opening, blind_ring, level, stepped,
             stepped, counterbores]  # fmt: skip
    rng.choice(kinds)(rng, plan, room, board, tools, top, free)


def below(top: float, depth: tp.Depth) -> dict[str, object]:
    """So deep below a surface that was levelled before, as depths from the face of the board."""
    return {"depth": deeper(depth, 0.0 - top) if isinstance(depth, float | int) else depth, "from_depth": 0.0 - top}


def clear(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    shape: BaseGeometry = shape_in(rng, room)
    cutters = rng.choice([[tools.main], [tools.main], [tools.main, tools.fine], [tools.fine], [tools.nose]])
    longest = min(cutter.body.cutting_length for cutter in cutters) - 1
    depth: tp.Depth = half_through(rng, board, longest)
    if longest > board.thickness + 1 and rng.random() < 0.15:
        depth = tp.through(rng.choice([0.2, 0.3]))
    blind = not isinstance(depth, type(tp.through()))
    more: dict[str, object] = {}
    if blind and room.least > 50 and rng.random() < 0.4:
        more["islands"] = tp.circle(room.least * 0.2, room.centre)
    if rng.random() < 0.2 and cutters[-1] is tools.main and not more:
        shape = tp.relieve_corners(tp.rectangle(room.width * 0.9, room.height * 0.9, room.centre), tools.main.radius)
    if rng.random() < 0.3:
        more["finish"] = 0.2
    plan.add(CLEARED, tp.pocket(
        shape, cutters, **below(top, depth), direction=rng.choice(["climb", "conventional"]),
        entry=rng.choice(["auto", "auto", "helix", "ramp", "zigzag", "plunge"]),
        stepover=rng.choice([0.3, 0.4, 0.5]), **more,
    ))  # fmt: skip


def drill_rows(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    d = tools.drill.diameter
    across, up = int(room.width // (3 * d)), int(room.height // (3 * d))
    places = [
        (room.x + (i - (across - 1) / 2) * 3 * d, room.y + (j - (up - 1) / 2) * 3 * d)
        for j in range(up)
        for i in (range(across) if j % 2 == 0 else reversed(range(across)))
    ]
    depth = tp.through(0.3) if rng.random() < 0.3 else half_through(rng, board, 15)
    plan.add(DRILLED, tp.drill(
        places[: rng.randint(1, 40)], tools.drill, **below(top, depth), peck=rng.choice([None, None, d, 2 * d]),
        dwell_s=rng.choice([0, 0.3, 0.3]),
    ))  # fmt: skip


def bores(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    cutter = rng.choice([tools.main, tools.main, tools.nose])
    depth = tp.through(0.3) if rng.random() < 0.5 else half_through(rng, board, cutter.body.cutting_length - 1)
    diameter = cutter.diameter * rng.uniform(1.15, min(2.0, room.least / cutter.diameter))
    direction = rng.choice(["climb", "conventional"])
    plan.add(DRILLED, tp.bore([room.centre], diameter, cutter, **below(top, depth), direction=direction))


def grooves(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    cutter = rng.choice([tools.main, tools.fine, tools.ball, tools.nose])
    x, y, w, h = room.x, room.y, room.width - cutter.diameter, room.height - cutter.diameter
    way = tp.Outline((x - w / 2, y - h / 3))
    # An arc of more than half a circle would leave the room at its sides.
    if rng.random() < 0.5 or h / 3 + h / 4 > w / 2:
        way = way.line_to((x, y + h / 3)).line_to((x + w / 2, y - h / 3))
    else:
        way = way.arc_through((x, y + h / 4), (x + w / 2, y - h / 3))
    depth = half_through(rng, board, min(cutter.body.cutting_length - 1, 8))
    entry = rng.choice(["auto", "ramp", "zigzag", "plunge"])
    plan.add(GROOVED, tp.groove(way, cutter, **below(top, depth), entry=entry))


def engrave(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    depth = half_through(rng, board, tools.vee.profile.tip_height * 0.7)
    plan.add(GROOVED, tp.groove(shape_in(rng, room, 0.7).exterior, tools.vee, **below(top, depth)))


def opening(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    """Right through: its slug held by tabs, a screw, or tape below the whole board."""
    shape = shape_in(rng, room)
    x0, y0, x1, y1 = shape.bounds
    slug = min(x1 - x0, y1 - y0) - 2 * tools.main.diameter
    tabs = tp.Tabs(count=rng.randint(2, 4), width=rng.uniform(4, 8), height=max(round(board.thickness / 4, 1), 2.0),
                   slope_deg=rng.choice([90, 90, 30]))  # fmt: skip
    held = rng.choice(["tabs", "tabs", "screw", "tape"])
    more: dict[str, object] = {"tabs": tabs}
    if held == "screw" and slug > 16 and top == 0:
        plan.slugs.append(room.centre)
        more = {}
    elif held == "tape" and free and shape.buffer(-tools.main.diameter).area > _TAPED:
        more = {}
    if rng.random() < 0.3:
        plan.add(CHAMFERED, broken_edge(tools, shape, rng.uniform(0.5, 1.5), side="inside", from_depth=0.0 - top))
    plan.add(OPENED, tp.contour(
        shape, tools.main, **below(top, tp.through(rng.choice([0.1, 0.3, 0.5]))), side="inside",
        direction=rng.choice(["climb", "conventional"]), entry=rng.choice(["auto", "ramp", "zigzag", "plunge"]),
        finish=rng.choice([0, 0, 0.2]), **more,
    ))  # fmt: skip


def blind_ring(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    cutter, side = rng.choice([tools.main, tools.nose]), rng.choice(["inside", "on", "outside"])
    share = (room.least - 2 * cutter.diameter) / room.least if side != "inside" else 1.0
    depth = max(half_through(rng, board, cutter.body.cutting_length - 1), 1.2)
    plan.add(GROOVED, tp.contour(shape_in(rng, room, share), cutter, **below(top, depth), side=side))


def stepped(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    """A pocket, and in its floor a smaller one, a groove, a hole or an opening held by tabs."""
    shape = shape_in(rng, room)
    upper = round(rng.uniform(1, board.thickness / 4), 2)
    finish = rng.choice([0, 0.2])
    plan.add(CLEARED, tp.pocket(shape, tools.main, **below(top, upper), finish=finish))
    if rng.random() < 0.4:
        edge = broken_edge(tools, shape, min(1.0, upper / 2), side="inside", from_depth=0.0 - top)
        if edge.depth <= upper - top:  # else its tip would cut into the floor beside the wall
            plan.add(CHAMFERED, edge)
    floor = top - upper
    inner = tp.circle(min(room.least * 0.45, 3.9 * tools.main.radius if rng.random() < 0.3 else 99), room.centre)
    low = tp.through(0.3) if rng.random() < 0.4 else round(rng.uniform(1, board.thickness / 4), 2)
    what = rng.randrange(4)
    if what == 0:
        plan.add(GROOVED, tp.groove(inner.exterior, tools.ball, **below(floor, board.thickness / 4)))
    elif what == 1:
        plan.add(GROOVED, tp.drill([room.centre], tools.drill, **below(floor, low), peck=rng.choice([None, 3])))
    elif what == 2:
        plan.add(GROOVED, tp.pocket(inner, rng.choice([tools.main, tools.nose]), **below(floor, low)))
    else:
        tabs = tp.Tabs(count=2, width=5, height=board.thickness / 4)
        depth = tp.through(0.3)
        plan.add(OPENED, tp.contour(inner, tools.main, **below(floor, depth), side="inside", tabs=tabs))


def counterbores(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    """A head's seat and the hole for its screw, drilled or bored first or last."""
    depth, wide = board.thickness / 3, tools.main.diameter * rng.uniform(1.3, 2)
    places = [(room.x - room.width / 4, room.y), (room.x + room.width / 4, room.y)]
    plan.add(DRILLED, tp.bore(places, wide, tools.main, **below(top, depth)))
    before = rng.random() < 0.5
    through = tp.through(0.3)
    plan.add(DRILLED if before else CLEARED, tp.drill(places, tools.drill, **below(top - depth, through)))


def level(rng: Random, plan: Plan, room: Room, board: tp.Board, tools: Shop, top: float, free: bool) -> None:
    """A low spot with parallel passes, that run past it by the cutter's radius."""
    w, h = room.width - 2 * tools.main.diameter - 4, room.height - 2 * tools.main.diameter - 4
    area = tp.rectangle(w, h, room.centre)
    angle = rng.choice([0, 0, 90, 45])
    plan.add(CLEARED, tp.face(area, tools.main, **below(top, rng.uniform(0.3, 2)), angle_deg=angle))


def facing_pockets(rng: Random, front: Plan, back: Plan, room: Room, board: tp.Board, tools: Shop, top: float) -> None:
    """From both faces, with 3 mm or more between; or an opening from the back into the front's pocket."""
    share = board.thickness - 3 + top
    near, far = round(share * rng.uniform(0.2, 0.5), 2), round(share * 0.5, 2)
    front.add(CLEARED, tp.pocket(shape_in(rng, room), tools.main, **below(top, near)))
    if rng.random() < 0.5:
        back.add(CLEARED, tp.pocket(shape_in(rng, room, 0.9), tools.main, depth=far))
    else:
        back.add(CLEARED, tp.bore([room.centre], tools.main.diameter * 1.6, tools.main, depth=tp.through(0.3)))
