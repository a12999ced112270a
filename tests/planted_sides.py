"""Faults between the two sides of a board: facts that differ, dowel holes, holes that do not meet."""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

from planted import Fault, line_of, planted
from shapely import Point, box

from toolpaths.base.units import inch
from toolpaths.facts.board import Board, Dowel, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.recess import Recess
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.head_lines import place_in_set
from toolpaths.facts.part import Part
from toolpaths.facts.profile import drill_point, flat
from toolpaths.judging.job_report import JobReport
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.verify import verify
from toolpaths.shapes.plain_shapes import circle

RACK = [
    Cutter(1, flat(inch("3/16")), 900, 16000, cutting_length=30),
    Cutter(2, drill_point(4), 300, 8000, cutting_length=45),
    Cutter(3, flat(10), 900, 16000, cutting_length=20),
    Cutter(4, drill_point(8), 300, 6000, cutting_length=45),
]

# A plate with two countersunk screw holes and one hole drilled halfway from each side.
FRONT_FACTS = """turned
board 160 100 18
zero lower left, top
tape 0 0 160 100
dowel 8 58 8 7
dowel 152 58 8 7
"""
BACK_FACTS = FRONT_FACTS.replace("turned", "turned left to right")

FRONT = """(plate, front)
G21 G90 G17 G94
G0 Z20
T4 M6
M3 S6000
G0 Z20
F240
G98 G81 X8 Y58 Z-27.4 R2 (dowels)
X152
G80
G0 Z20
T2 M6
M3 S8000
G0 Z20
G98 G83 X40 Y30 Z-18.4 R2 Q6
Y70
G80
G81 X120 Y50 Z-10 R2
G80
G0 Z20
M5
M30
"""

BACK = """N10 G21 G90 G17
N20 G0 Z20
N30 T3 M6
N40 M3 S16000
N50 G0 Z20
N60 F300
N70 G99 G82 X120 Y30 Z-5 R2 P0.2
N80 Y70
N90 G80
N100 G0 Z20
N110 T2 M6
N120 M3 S8000
N130 G0 Z20
N140 G0 X40 Y50
N150 G0 Z2
N160 G1 Z-8.2 F240
N170 G0 Z20
N180 M5
N190 M2
"""

# The same kind of job by another hand: inches, no cycles, dowel holes in rings, turned top to bottom.
INCH_BOARD = Board(width=inch("6"), height=inch("4"), thickness=inch("0.75"))
INCH_DOWELS = tuple(Dowel(x=inch(x), y=inch("2"), diameter=inch("1/4"), depth=inch("0.3")) for x in ("0.4", "5.2"))
INCH_TAPE = (INCH_BOARD.outline,)
INCH_FRONT = Fixture(board=INCH_BOARD, dowels=INCH_DOWELS, grips=INCH_TAPE, zero_at="upper left", spoilboard_depth=0.3)
INCH_BACK = INCH_FRONT.turned_over("top to bottom", grips=INCH_TAPE)


HALFWAY = "(two holes halfway)"


LEVELS = ("-.17", "-.34", "-.51", "-.68", "-.85", "-1.05")


def _ring(x: float, path: float = 0.03125, levels: tuple[str, ...] = LEVELS) -> str:
    """A hole bored in these levels, on a path of this radius, in inches."""
    side = f"{x + path:g}"
    rounds = [f"g1 z{z} f8\ng2 x{side} y-2 i{-path:g} j0 f20" for z in levels]
    return f"g0 x{side} y-2\ng0 z.1\n" + "\n".join(rounds) + "\ng0 z.8\n"


INCH_TEXT = f"""%
g20 g90
g0 z.8
(dowel holes)
t1 m6
s16000 m3
g0 z.8
{_ring(0.4)}{_ring(5.2)}{HALFWAY}
t2 m6
s8000 m3
g0 z.8
g0 x2 y-1
g0 z.1
g1 z-.4 f10
g0 z.8
g0 x4 y-1.5
g0 z.1
g1 z-.4
g0 z.8
m5
m2
%
"""
INCH_BACK_TEXT = """%
g20 g90
g0 z.8
t2 m6
s8000 m3
g0 z.8
g0 x2 y-3
g0 z.1
g1 z-.36 f10
g0 z.8
g0 x4 y-2.5
g0 z.1
g1 z-.36
g0 z.8
m5
m2
%
"""


class Judged(NamedTuple):
    """A job's report, its findings without their sides."""

    findings: tuple[Finding, ...]
    ok: bool
    job: JobReport

    def __str__(self) -> str:
        return str(self.job)


def _judged(report: JobReport) -> Judged:
    return Judged(tuple(found.finding for found in report.findings), report.ok, report)


def fixture_of(facts: str) -> Fixture:
    """A fixture from lines of facts, so that a slip in the facts is one edited line."""
    values: dict[str, str] = {}
    dowels, tape = [], []
    for line in facts.splitlines():
        word, _, rest = line.partition(" ")
        if word == "dowel":
            x, y, diameter, depth = map(float, rest.split())
            dowels.append(Dowel(x=x, y=y, diameter=diameter, depth=depth))
        elif word == "tape":
            tape.append(box(*map(float, rest.split())))
        else:
            values[word] = rest
    width, height, thickness = map(float, values["board"].split())
    zero_at, zero_on = values["zero"].split(", ")
    board = Board(width=width, height=height, thickness=thickness)
    driven = values.get("screwed")
    pair = screws([(20, 20), (140, 80)], head_diameter=9, height=3, driven_at=driven) if driven else ()
    return Fixture(
        board=board, turned=values["turned"], zero_at=zero_at, zero_on=zero_on, dowels=dowels, grips=tape, screws=pair,
        held_meanwhile=values.get("meanwhile", ""),
    )  # fmt: skip


def judge_front(text: str) -> Judged:
    return _judged(verify([(text, fixture_of(FRONT_FACTS)), (BACK, fixture_of(BACK_FACTS))], RACK, cell=0.5))


def judge_back(text: str) -> Judged:
    return _judged(verify([(FRONT, fixture_of(FRONT_FACTS)), (text, fixture_of(BACK_FACTS))], RACK, cell=0.5))


def judge_facts(facts: str) -> Judged:
    return _judged(verify([(FRONT, fixture_of(FRONT_FACTS)), (BACK, fixture_of(facts))], RACK, cell=0.5))


def judge_inch_front(text: str) -> Judged:
    return _judged(verify([(text, INCH_FRONT), (INCH_BACK_TEXT, INCH_BACK)], RACK, cell=0.5))


def judge_inch_back(text: str) -> Judged:
    return _judged(verify([(INCH_TEXT, INCH_FRONT), (text, INCH_BACK)], RACK, cell=0.5))


def _on_the_other(code: str, what: str, sound: str, old: str, new: str, judge: object) -> Fault:
    """A fault that is found in the other side's program."""
    return planted(code, what, sound, old, new, judge)._replace(line=0)


# Pilots of the screws that hold the board, drilled before these are driven.
PILOTED = """(pilots first)
G21 G90 G17 G94
G0 Z20
T2 M6
M3 S12000
F300
G98 G81 X20 Y20 Z-9 R2
X140 Y80
G80
M5
(MSG, drive two screws)
M0
T1 M6
M3 S16000
G0 Z20
G0 X60 Y50
G0 Z2
G1 Z-3 F400
G1 X100 F1200
G0 Z20
M5
M30
"""
HELD_FACTS = "turned\nboard 160 100 18\nzero lower left, top\nscrewed drive two screws\n"
MEANWHILE_FACTS, TAPED_FACTS = f"{HELD_FACTS}meanwhile a clamp at each end\n", f"{HELD_FACTS}tape 60 0 100 20\n"


def judge_screwed(facts: str) -> Judged:
    return _judged(verify([(PILOTED, fixture_of(facts))], RACK, cell=0.5))


front, back = partial(planted, sound=FRONT, judge=judge_front), partial(planted, sound=BACK, judge=judge_back)
facts = partial(_on_the_other, "sides-differ", sound=BACK_FACTS, judge=judge_facts)
inch_front = partial(planted, sound=INCH_TEXT, judge=judge_inch_front)
inch_back = partial(planted, sound=INCH_BACK_TEXT, judge=judge_inch_back)

# Programs that say by their heads that they were written together.
MEMBER, BACK_MEMBER = (f"({place_in_set('3f9a1c2e', ['front', 'back'], index)})" for index in (0, 1))
OLD_MEMBER = BACK_MEMBER.replace("3f9a1c2e", "77b0c4d1")
FRONT_OF_SET, BACK_OF_SET = f"{MEMBER}\n{FRONT}", f"{BACK_MEMBER}\n{BACK}"


def judge_back_of_set(text: str) -> Judged:
    return _judged(verify([(FRONT_OF_SET, fixture_of(FRONT_FACTS)), (text, fixture_of(BACK_FACTS))], RACK, cell=0.5))


def judge_halves_of_set(text: str) -> Judged:
    """The back by cutter, in two programs, the second of which is given."""
    sides = [(FRONT_OF_SET, fixture_of(FRONT_FACTS)), ([BACK_OF_SET, text], fixture_of(BACK_FACTS))]
    return _judged(verify(sides, RACK, cell=0.5))


# The back alone against what is meant of it, on a board without pins.
TURNED = "turned left to right\nboard 160 100 18\nzero lower left, top\n"
MEANT = Part(
    board=Board(width=160, height=100, thickness=18),
    back=[
        *(Recess(area=circle(10, (40, y)), depth=5, name="counterbore") for y in (30, 70)),
        CutAlong(line=Point(120, 50), profile=drill_point(4), depth=8.2, name="hole"),
    ],
)


def judge_turn(facts: str) -> Report:
    return simulate(BACK, fixture_of(facts), RACK, cell=0.5, part=MEANT)


turn = partial(_on_the_other, "laid-wrong", sound=TURNED, old="turned left to right", judge=judge_turn)

# Nothing but a dry run over the board, which is a program all the same.
DRY_RUN = f"{BACK_MEMBER}\nG21 G90 G17\nG0 Z20\nG0 X20 Y20\nG0 X100 Y80\nM30\n"

FAULTS = [
    planted("sides-differ", "back of an older set", BACK_OF_SET, BACK_MEMBER, OLD_MEMBER, judge_back_of_set),
    planted("sides-differ", "one program of two from another set", DRY_RUN, BACK_MEMBER, OLD_MEMBER,
            judge_halves_of_set),
    facts("board measured again", old="board 160 100 18", new="board 160 100 18.4"),
    facts("one dowel moved", old="dowel 152 58 8 7", new="dowel 152 58 8 7\ndowel 80 58 8 7"),
    Fault("sides-differ", "thinner pins", BACK_FACTS.replace("58 8 7", "58 6 7"), 0, judge_facts, BACK_FACTS),
    turn("the other way", new="turned top to bottom"),
    turn("not at all", new="turned"),
    Fault("pins-symmetric", "pins on the centre line", BACK_FACTS.replace("58 8 7", "50 8 7"), 0, judge_facts,
          BACK_FACTS),
    _on_the_other("pins-symmetric", "a pin in every corner", BACK_FACTS, "dowel 152 58 8 7",
                  "dowel 152 58 8 7\ndowel 8 42 8 7\ndowel 152 42 8 7", judge_facts),
    facts("zero on the other surface", old="zero lower left, top", new="zero lower left, spoilboard"),
    facts("zero at a corner that fits neither way", old="zero lower left, top", new="zero upper right, top"),
    _on_the_other("nothing-holds", "no tape", BACK_FACTS, "tape 0 0 160 100", "", judge_facts),
    _on_the_other("nothing-holds", "tape beside the board", BACK_FACTS, "tape 0 0 160 100", "tape 0 120 160 220",
                  judge_facts),
    *(
        Fault("nothing-holds", what, sound.replace(said, instead), line_of(PILOTED, "G98 G81 X20 Y20 Z-9 R2"),
              judge_screwed, sound)
        for what, sound, said, instead in (
            ("nothing said to hold while pilots are drilled", MEANWHILE_FACTS, "meanwhile a clamp at each end\n", ""),
            ("tape beside the board until the screws are in", TAPED_FACTS, "tape 60 0 100 20", "tape 60 -30 100 -5"),
        )
    ),
    facts("turn forgotten", old="turned left to right", new="turned"),
    front("dowel-hole", "digit slipped by one", old="G98 G81 X8 Y58 Z-27.4 R2 (dowels)",
          new="G98 G81 X9 Y58 Z-27.4 R2 (dowels)"),
    front("dowel-hole", "not through", old="G98 G81 X8 Y58 Z-27.4 R2 (dowels)", new="G98 G81 X8 Y58 Z-15 R2 (dowels)"),
    front("dowel-hole", "hardly into the spoilboard", old="G98 G81 X8 Y58 Z-27.4 R2 (dowels)",
          new="G98 G81 X8 Y58 Z-20 R2 (dowels)"),
    front("dowel-hole", "drilled as deep as the pin with its point", old="G98 G81 X8 Y58 Z-27.4 R2 (dowels)",
          new="G98 G81 X8 Y58 Z-25 R2 (dowels)"),
    front("dowel-hole", "thinner drill", old="T4 M6", new="T2 M6", found_on="G98 G81 X8 Y58 Z-27.4 R2 (dowels)"),
    _on_the_other("dowel-hole", "second one far off", FRONT, "X152", "X142", judge_front),
    Fault("dowel-hole", "rings about another centre", INCH_TEXT.replace("23125 y-2 i-0.03125", "23125 y-2 i-0.06"), 0,
          judge_inch_front, INCH_TEXT),
    Fault("dowel-hole", "its mouth opened far down",
          INCH_TEXT.replace(HALFWAY, _ring(0.4, 0.0625, LEVELS[2:3]) + HALFWAY), 0, judge_inch_front, INCH_TEXT),
    Fault("dowel-hole", "its upper half beside its axis",
          INCH_TEXT.replace(HALFWAY, _ring(5.206, levels=LEVELS[3:4]) + HALFWAY), 0, judge_inch_front, INCH_TEXT),
    inch_front("dowel-hole", "last level left out", old="g1 z-1.05 f8", new="g1 z-.85 f8"),
    back("holes-apart", "counterbore beside its hole", old="N80 Y70", new="N80 Y71"),
    back("holes-apart", "two tenths off", old="N70 G99 G82 X120 Y30 Z-5 R2 P0.2",
         new="N70 G99 G82 X119.8 Y30 Z-5 R2 P0.2", found_on="N80 Y70"),
    back("holes-apart", "drilled short of the other", old="N160 G1 Z-8.2 F240", new="N160 G1 Z-7.2 F240"),
    _on_the_other("holes-apart", "front hole moved", FRONT, "G81 X120 Y50 Z-10 R2", "G81 X120 Y50.3 Z-10 R2",
                  judge_front),
    inch_back("holes-apart", "five thousandths", old="g0 x2 y-3", new="g0 x2.005 y-3", found_on="g1 z-.36 f10"),
    inch_back("holes-apart", "digits changed places", old="g0 x4 y-2.5", new="g0 x4 y-2.45", found_on="g1 z-.36"),
]  # fmt: skip
