"""Codes that tests spell are codes that are given: a test that no finding has a code holds for any slip of spelling."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import toolpaths as tp
from toolpaths.facts.language import RULES
from toolpaths.judging.trial.findings import SEVERITIES

FILES = sorted(set(Path(__file__).parent.rglob("*.py")) - {Path(__file__)})
# Words with hyphens that are no codes; the first is a code that is refused.
OTHER = {
    "mpl-data", "no-such-code", "read-only", "stick-out", "yellow-poplar",
    "now-line", "outline-style", "place-x", "place-y", "prefers-reduced-motion",
    "font-size", "text-anchor",
}  # fmt: skip
HYPHENS = re.compile(r"[a-z]+(-[a-z]+)+")
WORD = re.compile(r"[a-z]+(-[a-z]+)*")


def strings(node: ast.AST) -> Iterator[str]:
    for inner in ast.walk(node):
        if isinstance(inner, ast.Constant) and isinstance(inner.value, str):
            yield inner.value


def is_code(node: ast.expr) -> bool:
    """`something.code` or `something.codes()`."""
    called = node.func if isinstance(node, ast.Call) else node
    return isinstance(called, ast.Attribute) and called.attr in ("code", "codes")


def spelled(tree: ast.AST) -> Iterator[str]:
    """All words with hyphens, and whatever is compared with a code."""
    yield from (text for text in strings(tree) if HYPHENS.fullmatch(text))
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare) and any(map(is_code, (node.left, *node.comparators))):
            yield from (text for text in strings(node) if WORD.fullmatch(text))


@cache
def spelled_in(path: Path) -> frozenset[str]:
    return frozenset(spelled(ast.parse(path.read_text())))


@pytest.mark.sample(100)
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_codes_are_spelled_as_they_are_given(path: Path) -> None:
    assert spelled_in(path) - {*tp.CODES, *RULES, *SEVERITIES} <= OTHER


def test_a_slip_would_be_found_and_all_codes_are_spelled_somewhere() -> None:
    slip = ast.parse('assert report.codes() == ("gouges",) and "cut-lose" not in found')
    assert set(spelled(slip)) == {"gouges", "cut-lose"}
    everywhere = {code for path in FILES for code in spelled_in(path)}
    assert {code for code in tp.CODES if "-" in code} <= everywhere
