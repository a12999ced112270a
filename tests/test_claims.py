"""The table of DEVELOPERS.md that says of each promise of the README where it comes from and which test holds it.

Text alone: phrases stand in the README word for word, tests and benchmarks exist, and no sentence of the README that
holds a number or a "never" is without a row.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).resolve().parents[1]
TABLE_HEAD = "| README | Source outside the project | Held by |"
# Parts of the README that tell how to begin and what to be careful about, and promise nothing.
NO_PROMISES = {"Two commands", "Cautions", "How to go on"}
FIGURE = re.compile(
    r"\d|\b(?:half|halves|third|quarter|tenths?|fiftieth|hundredths?|hundreds?|thousands?|million|ten|twice|twenty|"
    r"never|exact|exactly|always)\b"
)


class Row(NamedTuple):
    """phrases : of the README, word for word"""

    phrases: tuple[str, ...]
    source: str
    held: str


def plain(text: str) -> str:
    return " ".join(text.split())


def rows_of(page: str) -> list[Row]:
    table = page.split(TABLE_HEAD, 1)[1].split("\n\n", 1)[0].strip().splitlines()[1:]
    cells = [[cell.strip() for cell in line.strip().strip("|").split("|")] for line in table]
    assert all(len(row) == 3 for row in cells), [row for row in cells if len(row) != 3]
    return [Row(tuple(re.findall("\u201c(.+?)\u201d", one)), two, three) for one, two, three in cells if three]


def promises(page: str) -> list[str]:
    """Sentences of the README that hold a number or an absolute word, outside of its code."""
    found = []
    for part in re.split(r"^## ", re.sub(r"```.*?```", "", page, flags=re.S), flags=re.M):
        head, _, body = part.partition("\n")
        if head in NO_PROMISES:
            continue
        blocks = (re.split(r"\n\n|\n(?=[-|])", body)) if body else []
        for block in blocks:
            for sentence in re.split(r"(?<=[.;!?])\s+|\s\|\s|(?<=:)\s+(?!outline)", plain(block)):
                if FIGURE.search(re.sub(r"`[^`]*`", "", sentence)):
                    found.append(sentence)
    return found


README = (ROOT / "README.md").read_text(encoding="utf-8")
ROWS = rows_of((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))


def named_in(file: str) -> set[str]:
    path = ROOT / "tests" / f"test_{file}.py"
    if not path.is_file():
        return set()
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


def holders(row: Row) -> list[str]:
    return re.findall(r"`([^`]+)`", row.held)


def exists(holder: str) -> bool:
    if holder.startswith("benchmarks/"):
        return (ROOT / "tests" / f"{holder}.py").is_file()
    file, _, name = holder.partition("::")
    return f"test_{name}" in named_in(file)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.phrases[0][:40])
def test_each_row_has_words_of_the_readme_a_source_and_what_holds_it(row):
    assert row.phrases and row.source
    assert [phrase for phrase in row.phrases if phrase not in plain(README)] == []
    assert [holder for holder in holders(row) if not exists(holder)] == []
    assert holders(row) or row.held == "not held", "what holds it, or that nothing does"


def test_every_sentence_with_a_figure_has_a_row():
    phrases = [phrase for row in ROWS for phrase in row.phrases]
    assert len(promises(README)) > 30
    assert [each for each in promises(README) if not any(phrase in each for phrase in phrases)] == []


def test_every_part_of_the_job_has_a_row():
    """Of the README's table of what it does, row by row."""
    table = README.split("| Part of the job |", 1)[1].split("\n\n", 1)[0].splitlines()[2:]
    phrases = [phrase for row in ROWS for phrase in row.phrases]
    lacking = [line.split("|")[1].strip() for line in table if not any(phrase in line for phrase in phrases)]
    assert len(table) > 40 and lacking == []


def test_what_is_wrong_would_be_seen():
    assert not exists("pocket::no_such_test") and not exists("no_such_file::x") and not exists("benchmarks/none")
    assert promises("# x\n\nIt is quick. It never errs; it takes 3 s. `G1 X5` is code.\n") == [
        "It never errs;", "it takes 3 s.",
    ]  # fmt: skip
    (row,) = rows_of(
        f"{TABLE_HEAD}\n|---|---|---|\n| **Group** | | |\n| \u201ca\u201d \u00b7 \u201cb\u201d | s | `x::y` |\n\nmore"
    )
    assert row == Row(("a", "b"), "s", "`x::y`")
