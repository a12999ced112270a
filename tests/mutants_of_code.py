"""Mutants of the code itself against the tests: of each room 200 places drawn by lot, one mutant each.

    python tests/mutants_of_code.py COVERAGE TIMES RESULTS [FIRST [ROOM ...]]

cosmic-ray makes the mutants; here they are drawn and run. COVERAGE says which tests reach a line, TIMES (a junit file)
which of them are fast: DEVELOPERS.md has the command that makes both. RESULTS gets a line of JSON a mutant; what stands
there is not run again. All tests are loaded once, then forked for each mutant, whose code is put into the functions of
its file, so nothing is written into the tree. Code that runs while a file is loaded is not reached that way: `not run`.
"""

from __future__ import annotations

import ast
import gc
import json
import os
import resource
import signal
import sys
import time
import xml.etree.ElementTree as ElementTree
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import islice
from pathlib import Path
from random import Random
from types import CodeType, FunctionType
from typing import NamedTuple

import pytest
from _pytest.runner import runtestprotocol

TOP = Path(__file__).resolve().parents[1]
CODE = TOP / "toolpaths"
ROOMS = {
    "facts": ["facts"],
    "motion": ["making/motion"],
    "writer": ["making/writer"],
    "reader": ["judging/reader"],
    "judge": ["judging/wood", "judging/trial", "judging/checks"],
    "checker": ["proving"],
}
SEED = 1
DRAWN = 200
# Seconds: of one mutant's tests by their own times; of its process, until it is taken to hang.
WORTH, HANGS = 10.0, 40


class Mutant(NamedTuple):
    file: str
    operator: str
    occurrence: int
    line: int
    column: int


def plain(text: str) -> str:
    """The code of a text without annotations and docstrings: what is alike in it is no mutant."""
    tree = ast.parse(text)
    for node in ast.walk(tree):
        if isinstance(node, ast.AnnAssign):
            node.annotation = ast.Constant(None)
        elif isinstance(node, ast.arg):
            node.annotation = None
        elif isinstance(node, ast.FunctionDef):
            node.returns = None
    return ast.dump(tree)


def places(path: Path) -> list[list[Mutant]]:
    """The mutants of a file, those of one place together."""
    from cosmic_ray.commands.init import _all_work_items

    found: dict[tuple[int, int], list[Mutant]] = defaultdict(list)
    for item in _all_work_items([path], {}):
        (each,) = item.mutations
        mutant = Mutant(str(path.relative_to(TOP)), each.operator_name, each.occurrence, *each.start_pos)
        found[mutant.line, mutant.column].append(mutant)
    return [found[place] for place in sorted(found)]


def drawn(room: str) -> Iterator[tuple[Mutant, str]]:
    """Mutants of a room with their texts, in the order of the lot: first a file by its length, a place in it, then
    what is done there; no place twice.
    """
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    files = sorted(path for folder in ROOMS[room] for path in (CODE / folder).rglob("*.py"))
    lengths = [path.stat().st_size for path in files]
    lot, found, seen = Random(f"{room} {SEED}"), cache(places), set()
    while len(seen) < DRAWN:
        (path,) = lot.choices(files, lengths)
        mutant = lot.choice(lot.choice(found(path) or [[Mutant(str(path), "", 0, 0, 0)]]))
        place = (mutant.file, mutant.line, mutant.column)
        if not mutant.line or place in seen:
            continue
        text = path.read_text()
        made = mutate_code(text, get_operator(mutant.operator)(), mutant.occurrence)
        try:
            if made is None or plain(made) == plain(text):
                continue
        except SyntaxError:
            continue
        seen.add(place)
        yield mutant, made


class Reached:
    """Which tests reach a place, and how long each takes."""

    def __init__(self, coverage_file: str, times_file: str) -> None:
        from coverage import CoverageData

        self.data = CoverageData(coverage_file)
        self.data.read()
        self.seconds: dict[str, float] = {}
        for case in ElementTree.parse(times_file).iter("testcase"):
            self.seconds[f"{case.get('classname')}::{case.get('name')}"] = float(case.get("time", "0"))

    def time_of(self, test: str) -> float:
        file, _, name = test.partition("::")
        return self.seconds.get(f"{file.removesuffix('.py').replace('/', '.')}::{name}", 0.1)

    def all(self) -> set[str]:
        """All tests that reach anything."""
        return {name.rpartition("|")[0] for name in self.data.measured_contexts() if name}

    def tests(self, mutant: Mutant) -> list[str]:
        """Of each test function the fastest case first, then the next of each; up to so many seconds' worth."""
        text = (TOP / mutant.file).read_text()
        by_line = self.data.contexts_by_lineno(str(TOP / mutant.file))
        found = self._names(by_line, _lines(text, mutant.line))
        cases: dict[str, list[str]] = defaultdict(list)
        for test in sorted(found, key=lambda test: (self.time_of(test), test)):
            cases[test.partition("[")[0]].append(test)
        turns = sorted((turn, self.time_of(test), test) for tests in cases.values() for turn, test in enumerate(tests))
        chosen, worth = [], 0.0
        for _, seconds, test in turns:
            if chosen and worth + seconds + 0.01 > WORTH:
                continue
            chosen.append(test)
            worth += seconds + 0.01
        return chosen

    def _names(self, by_line: dict[int, list[str]], lines: Iterable[int]) -> set[str]:
        return {name.rpartition("|")[0] for line in lines for name in by_line.get(line, ()) if name}


def _lines(text: str, line: int) -> range:
    """The lines of the statement of a line, of a compound one those of its head; none outside of functions."""
    inside = False
    best: range = range(0)
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef) and node.body[0].lineno <= line <= (node.end_lineno or 0):
            inside = True
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            end = max(body[0].lineno - 1, node.lineno) if body else node.end_lineno or node.lineno
            if node.lineno <= line <= end:
                best = range(node.lineno, end + 1)
    return best if inside else range(0)


def patched(mutant: Mutant, text: str) -> bool:
    """Puts the code of a mutant into the functions of its file that are loaded; whether it lies in one."""
    path = str(TOP / mutant.file)
    fresh: dict[str, list[CodeType]] = defaultdict(list)
    todo = [compile(text, path, "exec", dont_inherit=True)]
    while todo:
        code = todo.pop()
        fresh[f"{code.co_qualname} {code.co_firstlineno}"].append(code)
        todo += [each for each in code.co_consts if isinstance(each, CodeType)]
    changed = False
    for each in gc.get_objects():
        if isinstance(each, FunctionType) and each.__code__.co_filename == path:
            (code,) = fresh.get(f"{each.__code__.co_qualname} {each.__code__.co_firstlineno}", [each.__code__])
            if code != each.__code__:
                each.__code__ = code
                changed = True
    return changed


class Loop:
    """Instead of the run of the tests: for each mutant a fork in which those that reach it are run."""

    def __init__(self, coverage_file: str, times_file: str, results: str, first: int, rooms: Sequence[str]) -> None:
        self.reached, self.results = Reached(coverage_file, times_file), Path(results)
        self.first, self.rooms = first, rooms

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        done = set()
        if self.results.exists():
            done = {tuple(json.loads(line)["mutant"]) for line in self.results.read_text().splitlines()}
        gc.disable()
        for room in self.rooms:
            for number, (mutant, text) in enumerate(islice(drawn(room), self.first)):
                if mutant not in done:
                    tests = [items[test] for test in self.reached.tests(mutant) if test in items]
                    start = time.monotonic()
                    said = outcome(mutant, text, tests)
                    self._write(room, number, mutant, text, f"{said} of {len(tests)}", time.monotonic() - start)
        return True

    def _write(self, room: str, number: int, mutant: Mutant, text: str, said: str, seconds: float) -> None:
        before = (TOP / mutant.file).read_text().splitlines()
        unlike = [(a.strip(), b.strip()) for a, b in zip(before, text.splitlines()) if a != b]
        line = {"room": room, "number": number, "mutant": mutant, "said": said, "seconds": round(seconds, 1)}
        with self.results.open("a") as file:
            file.write(json.dumps(line | {"lines": unlike}) + "\n")


def outcome(mutant: Mutant, text: str, tests: Sequence[pytest.Item]) -> str:
    """`killed` by a test, `hung`, `survived` all, or `not run`: no tests, or code that runs while a file is loaded."""
    if not tests:
        return "not run"
    child = os.fork()
    if not child:
        code = 99
        try:
            code = _in_child(mutant, text, tests)
        finally:
            os._exit(code)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return {0: "survived", 1: "killed", 2: "not run", -signal.SIGXCPU: "hung"}.get(code, f"ended {code}")


def _in_child(mutant: Mutant, text: str, tests: Sequence[pytest.Item]) -> int:
    resource.setrlimit(resource.RLIMIT_AS, (6 << 30, 6 << 30))
    used = resource.getrusage(resource.RUSAGE_SELF)
    seconds = int(used.ru_utime + used.ru_stime) + HANGS
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 5))
    if not patched(mutant, text):
        return 2
    for test, after in zip(tests, [*tests[1:], None]):
        if any(report.failed for report in runtestprotocol(test, log=False, nextitem=after)):
            return 1
    return 0


def main(coverage_file: str, times_file: str, results: str, first: str = str(DRAWN), *rooms: str) -> int:
    loop = Loop(coverage_file, times_file, results, int(first), rooms or tuple(ROOMS))
    files = sorted({test.partition("::")[0] for test in loop.reached.all() if (TOP / test.partition("::")[0]).exists()})
    os.chdir(TOP)
    return pytest.main(["-n", "0", "-p", "no:cacheprovider", "-p", "no:cov", *files], plugins=[loop])


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
