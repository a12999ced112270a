"""The comments at the head of a program, for the person at the machine."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from textwrap import wrap

from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.making.plan.setup import Setup, Step
from toolpaths.making.plan.work import Stop

# Longer lines are broken; 256 characters is the most that the language takes.
_WIDEST = 200
# The customary cautions of the trade; README has them in full.
CAUTIONS = (
    "The machine's manual and local codes come first.",
    "Eyes, ears and dust protected. Extinguisher at hand. Never leave it unattended.",
    "Check hold-down, zero and cutter. First run in the air with a hand on the stop.",
)


def header(setup: Setup, steps: Sequence[Step | Stop], units: str) -> list[str]:
    """Comment lines: side, board, zero, cutters, order of work, cautions."""
    fixture, board = setup.fixture, setup.fixture.board
    scale, digits = (1.0, 3) if units == "mm" else (1 / MM_PER_INCH, 4)

    def length(value: float) -> str:
        return f"{round(value * scale, digits):g}"

    size = " x ".join(length(v) for v in (board.width, board.height, board.thickness))
    side = fixture.side if not fixture.turned else f"back, board turned over {fixture.turned}"
    surface = "top of the board" if fixture.zero_on == "top" else "spoilboard"
    lines = [
        f"{setup.title}: {side}",
        f"Board {board.name}, {size} {units}, thickness as measured",
        f"X0 Y0 is the {_zero(fixture)}. Z0 is the {surface}.",
        f"Safe height {length(fixture.safe_z)} {units} above the board, ways across at "
        f"{length(fixture.link_z)} or more. Spoilboard cut up to {length(_deepest(steps, board.thickness))} "
        f"{units} deep.",
    ]
    if fixture.dowels:
        where = (
            "pins in place"
            if fixture.turned
            else "holes as listed below"
            if _drills(steps, fixture)
            else "no holes here"
        )
        lines.append(f"{len(fixture.dowels)} dowels of {length(fixture.dowels[0].diameter)}, {where}")
    there = [s for s in fixture.screws if not s.driven_at]
    if there or fixture.clamps:
        lines.append(f"Hold-down before the start: {len(there)} screws, {len(fixture.clamps)} clamps")
    used = {s.path.cutter.number: s.path.cutter for s in steps if isinstance(s, Step)}
    lines += [
        f"T{c.number}: {c.profile.text(scale, digits)}, {c.flutes} flutes, {c.spindle_rpm:g} rpm, "
        f"cuts {length(_lowest(steps, c))} {units} deep"
        for c in used.values()
    ]
    for number, step in enumerate(steps, start=1):
        name = f"stop: {step.message}" if isinstance(step, Stop) else f"{step.name}, T{step.path.cutter.number}"
        lines.append(f"{number}. {name}")
    lines += CAUTIONS
    return [f"({part})" for line in lines for part in wrap(line, _WIDEST)]


def _zero(fixture: Fixture) -> str:
    """The zero corner as the board lies and, on the back, where that corner was on the front."""
    if fixture.zero_at == "centre":
        return "centre of the board"
    text = f"{fixture.zero_at} corner of the board as it lies"
    if not fixture.turned:
        return text
    up, across = fixture.zero_at.split()
    if fixture.turned == "left to right":
        across = {"left": "right", "right": "left"}[across]
    else:
        up = {"lower": "upper", "upper": "lower"}[up]
    return f"{text}, which was {up} {across} seen from the front"


def _drills(steps: Sequence[Step | Stop], fixture: Fixture) -> bool:
    """Whether some cut at every dowel goes as deep as its hole."""
    cuts = [(m.x, m.y, m.hole.bottom if m.hole else m.z) for s in steps if isinstance(s, Step) for m in s.path.moves]
    return all(
        any(
            hypot(x - dowel.x, y - dowel.y) <= dowel.diameter / 2 and z <= -fixture.board.thickness - dowel.depth + 0.01
            for x, y, z in cuts
        )
        for dowel in fixture.dowels
    )


def _lowest(steps: Sequence[Step | Stop], cutter: Cutter) -> float:
    return max(-s.path.lowest for s in steps if isinstance(s, Step) and s.path.cutter.number == cutter.number)


def _deepest(steps: Sequence[Step | Stop], thickness: float) -> float:
    return max(0.0, *(-s.path.lowest - thickness for s in steps if isinstance(s, Step)), 0.0)
