"""The page in which a program is played: what happens as numbers, and a script that draws them; it needs no network."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from toolpaths.base.errors import InputError
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.sweep import Ints
from toolpaths.show.markup import Content, Markup, plain_ascii, tag
from toolpaths.show.replay.frames import Frames, frames_of
from toolpaths.show.replay.marks import MOST_FINDINGS, marks_of
from toolpaths.show.replay.packed import packed, signed, steps
from toolpaths.show.replay.wood_changes import LEVEL, Levels, WoodChanges, levels, wood_changes

# Characters of the program's text that a page holds at most: all of 100,000 lines.
_MOST_TEXT = 3_000_000
# mm and seconds of the last digit of places and times in the page.
_PLACE, _TIME = 0.01, 0.001
# Nothing is fetched, and nothing sent, whatever stood in the page.
_POLICY = "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'"
_KEYS = (
    ("space", "let it run, or hold it"),
    ("left, right", "a line back, a line on"),
    ("page up, page down", "to the entry before, to the next one of the list"),
    ("home, end", "to the beginning, to the end"),
    ("+, -", "faster, slower"),
)
_RATES = (1, 2, 5, 20, 100, 500)


@dataclass(frozen=True, eq=False)
class ReplayPage:
    """What a page shows.

    title, identity : of the job
    name, text : of the program
    trial : what it does to the board, with cells as wide as the page draws them
    findings : against it
    """

    title: str
    identity: str
    name: str
    text: str
    trial: Trial
    findings: Sequence[Finding]

    def __post_init__(self) -> None:
        if not len(self.trial.case.moves):
            raise InputError(f"{self.name} moves nothing, so there is nothing to be played.")

    def html(self) -> tuple[str, tuple[str, ...]]:
        """The page, in ASCII, and what it leaves out, a sentence each."""
        frames = frames_of(self.trial.case)
        changes = wood_changes(self.trial.case, self.trial.before, frames)
        marks = marks_of(self.trial.case, self.findings)
        lines = self.text.splitlines()
        shown = _lines_shown(lines, (mark.line for mark in marks if mark.line))
        notes = self._notes(frames, len(lines), len(shown))
        data = {
            "lines": [lines[number - 1] for number in shown.tolist()], "numbers": steps(shown), "count": len(lines),
            "marks": marks, "frames": _frames(frames), **_wood(self.trial, frames, changes), "board": self._board(),
            "cutters": {str(n): [str(cutter), cutter.radius] for n, cutter in self.trial.case.cutters.items()},
        }  # fmt: skip
        return _html(self, data, notes), notes

    def _notes(self, frames: Frames, lines: int, shown: int) -> tuple[str, ...]:
        cell = self.trial.before.cell
        notes = [f"The board is drawn in squares of {cell:.4g} mm, heights in steps of {LEVEL:g} mm: a picture to "
                 "follow the program by, no measure. What was judged is in the report."]  # fmt: skip
        if frames.every > 1:
            notes.append(f"The program is so long that {frames.every} movements in a row are shown as one.")
        if shown < lines:
            notes.append(f"Of its {lines} lines {shown} are listed, evenly spread; the others are played too.")
        if len(self.findings) > MOST_FINDINGS:
            notes.append(f"Of {len(self.findings)} findings the first {MOST_FINDINGS} are listed.")
        return tuple(notes)

    def _board(self) -> dict[str, Any]:
        """What stands on it, and where zero is, mm from its lower-left corner."""
        fixture = self.trial.case.fixture
        standing = [
            {"screw": thing.kind == "screw", "line": _driven(self.trial, thing.driven_at),
             "outline": np.round(shapely.get_coordinates(thing.outline.simplify(0.05)), 2).tolist()}
            for thing in fixture.standing() if thing.kind != "grip"
        ]  # fmt: skip
        board = fixture.board
        return {"width": board.width, "height": board.height, "zero": fixture.zero, "standing": standing}


def _driven(trial: Trial, message: str) -> int:
    """The line from which on a thing stands that is driven at a stop; 0 from the start."""
    case = trial.case
    if not message:
        return 0
    stands = case.screw_stops[message].stands
    return int(case.moves.line[stands]) if stands < len(case.moves) else int(case.moves.line[-1]) + 1


def _lines_shown(lines: Sequence[str], always: Iterable[int]) -> Ints:
    """Numbers of the lines that are listed: all, or every so many and those that marks lead to."""
    every = -(-len(_as_json(lines)) // _MOST_TEXT)
    return np.array(sorted({*range(1, len(lines) + 1, max(every, 1)), *always, len(lines)}), np.int64)


def _frames(frames: Frames) -> dict[str, Any]:
    x, y, z = (steps(np.rint(row / _PLACE)) for row in frames.place)
    return {
        "x": x, "y": y, "z": z, "time": steps(np.rint(frames.seconds / _TIME)), "line": steps(frames.line),
        "tool": steps(frames.tool), "feed": steps(np.rint(frames.feed_mm_min)), "place": _PLACE, "second": _TIME,
    }  # fmt: skip


def _wood(trial: Trial, frames: Frames, changes: WoodChanges) -> dict[str, Any]:
    grid = trial.before.grid
    end = changes.first + changes.cells
    again = np.diff(changes.frame, prepend=-1) == 0
    before = np.where(again, np.roll(end, 1), 0)
    return {
        "grid": {**grid._asdict(), "level": LEVEL},
        "top": _face(levels(trial.before.top)), "bottom": _face(levels(trial.before.bottom)),
        "changes": {
            "rows": packed(np.bincount(changes.frame, minlength=len(frames.seconds))),
            "first": packed(signed(changes.first - before)), "cells": packed(changes.cells),
            "level": steps(changes.level),
        },
    }  # fmt: skip


def _face(face: Levels) -> Mapping[str, str]:
    """Heights of all cells, as rows of one height."""
    every = face.reshape(-1)
    first = np.flatnonzero(np.diff(every, prepend=every[:1] - 1))
    return {"count": packed(np.diff(first, append=len(every))), "level": steps(every[first])}


def _html(page: ReplayPage, data: Mapping[str, Any], notes: Sequence[str]) -> str:
    fixture = page.trial.case.fixture
    head = tag(
        "head", tag("meta", charset="utf-8"), tag("meta", http_equiv="Content-Security-Policy", content=_POLICY),
        tag("meta", name_="viewport", content="width=device-width, initial-scale=1"),
        tag("title", f"{page.title}, {page.name}, replay"), tag("style", _beside("replay.css")),
    )  # fmt: skip
    body = tag(
        "body",
        tag("header", tag("h1", f"{page.title}: {page.name}"),
            tag("p", f"Set {page.identity}. The {fixture.side} up, seen from above. Lengths in mm, places as the "
                     "program counts them, time as the machine takes it, without stops and changes.")),
        tag("noscript", tag("p", "This page draws with a script; let it run in your browser.")),
        tag("main", _drawing(), tag("div", _text(), _list_of_marks())),
        tag("footer", _keys(), tag("h2", "What this shows"), tag("ul", [tag("li", note) for note in notes])),
        tag("script", _as_json(data), type="application/json", id="what-happens"),
        tag("script", _beside("replay.js")),
    )  # fmt: skip
    return "<!DOCTYPE html>\n" + plain_ascii(tag("html", head, body, lang="en")) + "\n"


def _drawing() -> Markup:
    said = ("Line", "Time", "X", "Y", "Z", "Feed", "Cutter", "Wood")
    return tag(
        "section",
        tag("canvas", "", id="board", role="img", aria_label="The board from above, cut as far as the line shown"),
        tag("p", "Depth below the face: ", tag("span", "", id="scale"), class_="scale"),
        tag("dl", [tag("div", tag("dt", one), tag("dd", "", id=f"now-{one.lower()}")) for one in said], class_="now"),
        tag("p", _button("run", "Let it run"), _button("back", "A line back"), _button("on", "A line on"),
            _button("first", "To the beginning"), _button("last", "To the end"), class_="by-hand"),
        tag("p", tag("label", "Moment ", tag("input", id="moment", type="range", min="0", step="any", value="0"))),
        tag("p", tag("label", "As fast as the machine, times ", tag("select", [
            tag("option", f"{rate}", value=f"{rate}") for rate in _RATES], id="rate")), id="pace"),
        tag("form", tag("label", "X ", _number("place-x")), tag("label", "Y ", _number("place-y")),
            tag("button", "Where is this place cut?"), id="place"),
        tag("p", "", id="says", role="status"),
        class_="drawing", aria_label="Board",
    )  # fmt: skip


def _text() -> Markup:
    return tag(
        "section", tag("h2", "Text", id="text-title"),
        tag("div", tag("div", "", id="rows"), id="text", tabindex="0", role="listbox", aria_labelledby="text-title"),
        class_="text",
    )  # fmt: skip


def _list_of_marks() -> Markup:
    head = tag("thead", tag("tr", [tag("th", name, scope="col") for name in ("Line", "At", "What")]))
    return tag("section", tag("h2", "Work, stops, findings"), tag("table", head, tag("tbody", "", id="marks")),
               class_="marks")  # fmt: skip


def _keys() -> list[Markup]:
    return [
        tag("h2", "Keys"),
        tag("table", [tag("tr", tag("th", key, scope="row"), tag("td", what)) for key, what in _KEYS]),
        tag("p", "A click on the board goes to the line that cuts there first, another one to the next."),
    ]


def _button(name: str, words: Content) -> Markup:
    return tag("button", words, type="button", id=name)


def _number(name: str) -> Markup:
    return tag("input", type="number", step="any", id=name, required=True)


def _as_json(data: Mapping[str, Any] | Sequence[str]) -> Markup:
    """No text in it can end the script in which it stands."""
    said = json.dumps(data, separators=(",", ":"))
    return Markup(said.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


def _beside(name: str) -> Markup:
    return Markup(Path(__file__).with_name(name).read_text("ascii"))
