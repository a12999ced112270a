"""Mutants: a sound program with one edit, as a slip of the finger or of a script makes it.

    python tests/mutants.py COUNT [FIRST SEED [FOLDER [hand]]]

judges so many by the tests' own model and by the library and prints the counts. With a folder the results are kept
there, a line each, and what is there is not judged again. With `hand` they are mutants of the programs in
`hand_written/`, else of small ones of every kind of work.
"""

from __future__ import annotations

import json
import re
import sys
from collections import Counter
from decimal import Decimal
from functools import cache
from pathlib import Path
from random import Random
from typing import NamedTuple

import numpy as np
from forms import ALL_FORMS
from judged_in_forms import FormJudge
from mutant_bases import Base, bases, hand_bases
from own_reader import NotRead, Word, line_of_words, plain
from plain_judge import CHANGE, CHIP, NONE, Norm, Run, Wood, changed, loose, norm_of, rules, run, turned
from plain_wood import Way, heights
from shapely import MultiPoint, contains_xy, transform
from shapely.geometry.base import BaseGeometry

import toolpaths as tp

# mm by which a coordinate is moved.
MOVED = ("0.005", "0.01", "0.15", "0.3", "1", "5", "20")
AS_IT_IS = "as it is"


# mm of the kerf beside an outline in which wood that stands shows that the wall is another; and how far from a tab.
_KERF, _BY_A_TAB = 0.8, 20.0


# Lines of a head that name what the program was made for.
_HEAD = re.compile(r"^\((?:Screws|Dowel|Board|X0 Y0|Z0|  )", re.MULTILINE)


class Mutant(NamedTuple):
    """side : of the base's sides the one whose text was edited"""

    base: Base
    side: int
    edit: str
    text: str
    form: str


def mutant(seed: int, by_hand: bool = False) -> Mutant:
    """The mutant of a seed: a base, a side of it, one edit that changes its text, a form of writing.

    by_hand : of the programs in `hand_written/` in place of the small ones
    """
    rng = Random(seed)
    base = rng.choice(hand_bases() if by_hand else bases())
    side = rng.randrange(len(base.sides))
    sound = base.sides[side][0]
    while True:
        edit, text = _edited(rng, sound.splitlines())
        if edit and text != sound:
            return Mutant(base, side, edit, text, rng.choice([AS_IT_IS, *ALL_FORMS]))


def _edited(rng: Random, lines: list[str]) -> tuple[str, str]:
    """What was done, and the text after; "" where it cannot be done there."""
    at = rng.randrange(len(lines))
    kind = rng.choice(["line", "word", "word", "word"])
    if kind == "line":
        how = rng.choice(["dropped", "doubled", "swapped"])
        if how == "dropped":
            after = lines[:at] + lines[at + 1 :]
        elif how == "doubled":
            after = [*lines[: at + 1], *lines[at:]]
        elif at + 1 < len(lines):
            after = [*lines[:at], lines[at + 1], lines[at], *lines[at + 2 :]]
        else:
            return "", ""
        return f"line {at + 1} {how}: {lines[at]}", _joined(after)
    try:
        line = line_of_words(at + 1, lines[at])
    except NotRead:
        return "", ""
    if not line.words:
        return "", ""
    which = rng.randrange(len(line.words))
    word = line.words[which]
    new = _other_word(rng, word)
    if new == word:
        return "", ""
    words = [*line.words[:which], *([new] if new else []), *line.words[which + 1 :]]
    written = " ".join([*(w.letter + plain(w.number) for w in words), *line.comments])
    return f"line {at + 1}: {lines[at]} -> {written}", _joined([*lines[:at], written, *lines[at + 1 :]])


def _joined(lines: list[str]) -> str:
    return "".join(f"{line}\n" for line in lines)


_TWINS = {"G0": "G1", "G1": "G0", "G2": "G3", "G3": "G2", "G90": "G91", "G91": "G90", "G20": "G21", "G21": "G20",
          "M3": "M5", "M0": "M1", "M5": "M3", "G98": "G99", "G99": "G98", "G83": "G81"}  # fmt: skip


def _other_word(rng: Random, word: Word) -> Word | None:
    """The word changed, or None for one that is dropped."""
    if rng.random() < 0.12:
        return None
    if word.letter in "GM":
        if word.code == "M3" and rng.random() < 0.3:
            return Word("M", Decimal(4))
        twin = _TWINS.get(word.code)
        return Word(twin[0], Decimal(twin[1:])) if twin else None
    if word.letter == "T":
        return Word("T", Decimal(rng.choice([1, 2, 3, 4, 5, 6, 7])))
    if word.letter in "FS":
        return Word(word.letter, word.number * rng.choice([Decimal(10), Decimal("0.1")]))
    if word.letter in "PL":
        return Word(word.letter, word.number * 10)
    how = rng.choice(["sign", "digit", "point", "moved", "moved", "moved"])
    if how == "sign":
        return Word(word.letter, -word.number)
    if how == "point":
        return Word(word.letter, word.number * rng.choice([Decimal(10), Decimal("0.1")]))
    if how == "moved":
        return Word(word.letter, word.number + Decimal(rng.choice(MOVED)) * rng.choice([1, -1]))
    digits = list(plain(word.number))
    place = rng.choice([k for k, digit in enumerate(digits) if digit.isdigit()])
    digits[place] = rng.choice([d for d in "0123456789" if d != digits[place]])
    return Word(word.letter, Decimal("".join(digits)))


class Sound(NamedTuple):
    """What the model knows of a base: each side run, the wood under it, what it usually does, and the area in which
    the part is compared, as the board lies."""

    runs: list[Run]
    woods: list[Wood]
    norms: list[Norm]
    areas: list[BaseGeometry]


@cache
def _sound(name: str) -> Sound:
    base = next(each for each in (*bases(), *hand_bases()) if each.name == name)
    runs = [run(text, fixture, base.cutters) for text, fixture in base.sides]
    woods = [Wood(fixture, runs[0].cuts() if at else []) for at, (_, fixture) in enumerate(base.sides)]
    norms = [norm_of(made, wood) for made, wood in zip(runs, woods, strict=True)]
    return Sound(runs, woods, norms, [_area(base, made, wood) for made, wood in zip(runs, woods, strict=True)])


def _area(base: Base, made: Run, wood: Wood) -> BaseGeometry:
    """The part, and the kerf close to its outline where that is cut through: not where tabs stand."""
    kept, outline = (transform(area, lambda points: turned(points, wood.fixture)) for area in (base.kept, base.outline))
    kerf = (outline.buffer(_KERF) - outline) & wood.fixture.board.outline
    if kerf.is_empty:
        return kept
    left, low, right, high = kerf.bounds
    grid = np.stack(np.meshgrid(np.arange(left, right, 0.3), np.arange(low, high, 0.3)), axis=-1).reshape(-1, 2)
    grid = grid[contains_xy(kerf, *grid.T)]
    stands = grid[heights(made.cuts(), grid) > -wood.fixture.board.thickness + 0.01]
    return kept | (kerf - MultiPoint(stands).buffer(_BY_A_TAB))


class Verdict(NamedTuple):
    """must : "found", "silent", or "open" where it is too near to call; why : what the model's rules say."""

    must: str
    why: tuple[str, ...]


def verdict(each: Mutant) -> Verdict:
    """What the model says of a mutant."""
    base, sound = each.base, _sound(each.base.name)
    fixture, before, wood = base.sides[each.side][1], sound.runs[each.side], sound.woods[each.side]
    made = run(each.text, fixture, base.cutters)
    if (
        each.form == "by cutter"
        and made.lost == ["no cutter of the rack in the spindle"] * len(made.lost)
        and made.lost
    ):
        # A cutter called and never put in is put in by hand, where it has a program of its own.
        return Verdict("open", tuple(made.lost))
    if made.lost:
        return Verdict("found", tuple(made.lost))
    unlike = _unlike(before, made)
    found = rules(made, wood, sound.norms[each.side], unlike)
    much = changed(before.cuts(), made.cuts(), unlike, fixture, sound.areas[each.side])
    deep = any(min(way.start[2], way.end[2]) < wood.thinnest for way in unlike)
    if deep or before.stops() != made.stops():
        piece = loose(fixture, made.cuts(), wood.below, set(made.stops()))
        if piece > CHIP:
            found.say(f"{piece:.0f} mm2 of wood come loose")
    if found.lost or much >= CHANGE:
        return Verdict("found", (*found.lost, *([f"the part is another by {CHANGE} mm or more"] if much else [])))
    if found.unsure or much > 0:
        return Verdict("open", (*found.unsure, *([f"the part is another by {NONE} to {CHANGE} mm"] if much else [])))
    if changed(before.cuts(), made.cuts(), unlike, fixture, fixture.board.outline - sound.areas[each.side]):
        return Verdict("open", ("only waste or tabs are another",))
    if len(_HEAD.findall(each.text)) < len(_HEAD.findall(base.sides[each.side][0])):
        return Verdict("open", ("the head does not say all that lies on the machine",))
    return Verdict("silent", ())


def _unlike(before: Run, made: Run) -> list[Way]:
    """The ways below the top that only one of two programs makes."""
    one, other = (Counter(way.key for way in each.cuts()) for each in (before, made))
    differ = (one - other) + (other - one)
    ways = {way.key: way for each in (before, made) for way in each.cuts()}
    return [ways[key] for key in differ]


class Result(NamedTuple):
    """A mutant judged by both; grave and doubts : the codes that the library found."""

    seed: int
    base: str
    form: str
    edit: str
    must: str
    why: list[str]
    grave: list[str]
    doubts: list[str]

    @property
    def outcome(self) -> str:
        said = "found" if self.grave else "doubt" if self.doubts else "silent"
        return f"{self.must}: {said}"

    @property
    def agrees(self) -> bool:
        return self.outcome not in ("found: silent", "silent: found")


def judged(each: Mutant) -> tp.JobReport:
    """The library's judgement, in the mutant's form of writing."""
    sides = list(each.base.sides)
    sides[each.side] = each.text, sides[each.side][1]
    verify = tp.verify if each.form == AS_IT_IS else FormJudge(each.form).verify
    return verify(sides, each.base.cutters, cell=0.5, part=each.base.part)


def result(seed: int, by_hand: bool = False) -> Result:
    each = mutant(seed, by_hand)
    must, why = verdict(each)
    codes: dict[str, list[str]] = {"danger": [], "damage": [], "doubt": []}
    for found in judged(each).findings:
        if found.finding.code not in codes[found.finding.severity]:
            codes[found.finding.severity].append(found.finding.code)
    grave = codes["danger"] + codes["damage"]
    return Result(seed, each.base.name, each.form, each.edit, must, list(why), grave, codes["doubt"])


def counts(results: list[Result]) -> str:
    """The table of outcomes, and every disagreement."""
    table = Counter(each.outcome for each in results)
    lines = [f"{len(results)} mutants"]
    for must in ("found", "silent", "open"):
        row = ", ".join(f"{said} {table[f'{must}: {said}']}" for said in ("found", "doubt", "silent"))
        lines.append(f"  must be {must}: {row}")
    lines += [f"  {each}" for each in results if not each.agrees]
    return "\n".join(lines)


def main(count: int, first: int = 0, folder: str = "", pool: str = "") -> None:
    kept = Path(folder) / f"results{pool and '_'}{pool}.jsonl" if folder else None
    known = [Result(**json.loads(line)) for line in kept.read_text().splitlines()] if kept and kept.exists() else []
    results = {each.seed: each for each in known if first <= each.seed < first + count}
    for seed in range(first, first + count):
        if seed not in results:
            results[seed] = result(seed, pool == "hand")
            if kept:
                with kept.open("a") as file:
                    file.write(json.dumps(results[seed]._asdict()) + "\n")
    print(counts([results[seed] for seed in sorted(results)]))


if __name__ == "__main__":
    main(*(int(word) if word.isdigit() else word for word in sys.argv[1:]))
