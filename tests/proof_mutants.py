"""Mutants against the proof: what the tests' own model finds in one, the proof must not deny.

    python tests/proof_mutants.py COUNT [FIRST SEED [hand]]

proves so many mutants of sound programs and prints how many were refused that had to be, and how many proved.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

import mutants
import numpy as np
from plain_judge import CHANGE, NONE, Found, Run, Wood, _deep, _hold_downs, _things, run, turned
from plain_wood import Way, heights, probes
from shapely import contains_xy, transform
from shapely.geometry.base import BaseGeometry

import toolpaths as tp
from toolpaths.proving.proof import Proof, prove

# What programs by hand leave to the machine's start.
MODES = "G17 G40 G49 G54 G90 G94\n"
# The sound programs are within 0.01 mm of the part, and the proof allows 0.02.
GOUGE = 0.03


def with_modes(text: str) -> str:
    """A program by hand with what it leaves to the machine's start, behind the line that opens it."""
    return text.replace("%\n", f"%\n{MODES}", 1) if text.startswith("%\n") else MODES + text


class Outcome(NamedTuple):
    """faults : what the model finds that none of the four sentences may pass; edit : what was done to the program"""

    base: str
    edit: str
    faults: tuple[str, ...]
    proof: Proof


def outcome(seed: int, by_hand: bool = False) -> Outcome:
    """The mutant of a seed by both."""
    each = mutants.mutant(seed, by_hand)
    base, sound, fixture = each.base, mutants._sound(each.base.name), each.base.sides[each.side][1]
    made, before = run(each.text, fixture, base.cutters), sound.runs[each.side]
    faults = _unsafe(made, sound.woods[each.side])
    unlike = mutants._unlike(before, made)
    # Of a part that is cut out the wood around it is waste, its dowel holes in it as well.
    outline = transform(base.outline, lambda points: turned(points, fixture))
    area = sound.areas[each.side] & (fixture.board.outline if outline.is_empty else outline.buffer(mutants._KERF))
    if unlike and _gouged(before.cuts(), made.cuts(), unlike, fixture, area):
        faults.append(f"more than {GOUGE:g} mm of the part are cut")
    return Outcome(
        base.name, each.edit, tuple(faults), prove([with_modes(each.text)], base.part, fixture, base.cutters)
    )


def _gouged(sound: list[Way], other: list[Way], unlike: Sequence[Way], fixture: tp.Fixture, area: BaseGeometry) -> bool:
    """Whether a program leaves less of the part within an area than the sound one, moved by so much, does."""
    points = np.concatenate([probes(way) for way in unlike])
    points = points[contains_xy(area, *points.T)]
    thick = fixture.board.thickness
    lowest = np.clip(heights(sound, points, GOUGE, GOUGE), -thick, -GOUGE)
    return bool((np.maximum(heights(other, points), -thick) < lowest - 1e-6).any())


def _unsafe(made: Run, wood: Wood) -> list[str]:
    """Rapids in wood, what is met, and what is too deep."""
    found, before, things = Found(), list[Way](), _things(wood.fixture)
    for step in made.steps:
        way = step.way
        if way is None:
            continue
        _hold_downs(step, things, found)
        if min(way.start[2], way.end[2]) < -1e-6:
            if step.rapid and way.start != way.end and (met := wood.met(way, before, 0.5)) > NONE:
                found.say(f"a rapid through {met:.2f} mm of wood", met > CHANGE)
            deep = Found()
            _deep(way, wood.fixture, deep)
            found.lost += [said for said in deep.lost if "spoilboard" in said]
            before.append(way)
    return found.lost


def main(count: int, first: int = 0, pool: str = "") -> None:
    table = Counter[str]()
    for seed in range(first, first + count):
        each = outcome(seed, pool == "hand")
        table[f"{'faulty' if each.faults else 'sound'}: {'proved' if each.proof.holds else 'not proved'}"] += 1
        if each.faults and each.proof.holds:
            print(f"PROVED AWAY, seed {seed}: {each.base}: {each.edit}: {each.faults}", flush=True)
    print(dict(table))


if __name__ == "__main__":
    main(*(int(word) if word.isdigit() else word for word in sys.argv[1:]))
