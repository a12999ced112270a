"""Mutants of the code itself against the tests: of each room 200 places drawn by lot, one mutant each.

    python tests/mutants_of_code.py COVERAGE TIMES RESULTS [FIRST [ROOM ...]]

cosmic-ray makes the mutants; here they are drawn and run, the first of each room, then the second. COVERAGE says which
tests reach a line, TIMES (a junit file) which of them are fast: DEVELOPERS.md has the command that makes both. RESULTS
gets a line of JSON a mutant; what stands there is not run again. All tests are loaded once, then forked for each
mutant, whose code is put into the functions of its file, so nothing is written into the tree. Code that runs while a
file is loaded (fields, defaults) is loaded anew for each mutant, in a process of its own; constants are replaced. What
tests make of the code while they are loaded is not made anew in a fork: a mutant that nothing else sees counts as one
that survived.
"""

from __future__ import annotations

import ast
import gc
import json
import os
import pkgutil
import resource
import signal
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ElementTree
from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cache
from importlib import import_module
from importlib.machinery import SourceFileLoader
from itertools import islice, zip_longest
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
WORTH, WORTH_BY_LOT, HANGS = 4.0, 4.0, 25
ARGUMENTS = ["-n", "0", "--dist", "no", "-p", "no:cacheprovider", "-p", "no:cov"]
LOADED = "loaded"


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
        """Of each test function the fastest case first, then the next of each; up to so many seconds' worth. Then
        others by lot, since of a table of cases the one that matters may be any.
        """
        by_line = self.data.contexts_by_lineno(str(TOP / mutant.file))
        lines = _lines((TOP / mutant.file).read_text(), mutant.line)
        found = {name.rpartition("|")[0] for line in lines for name in by_line.get(line, ()) if name}
        cases: dict[str, list[str]] = defaultdict(list)
        for test in sorted(found, key=lambda test: (self.time_of(test), test)):
            cases[test.partition("[")[0]].append(test)
        turns = sorted((turn, self.time_of(test), test) for tests in cases.values() for turn, test in enumerate(tests))
        in_turn = self._worth([test for _, _, test in turns], WORTH)
        others = sorted(found.difference(in_turn))
        Random(str(mutant)).shuffle(others)
        return in_turn + self._worth(others, WORTH_BY_LOT)

    def _worth(self, tests: list[str], seconds: float) -> list[str]:
        """Those that fit one after another into so many seconds; one at least."""
        chosen, sum_s = [], 0.0
        for test in tests:
            takes_s = self.time_of(test) + 0.01
            if not chosen or sum_s + takes_s <= seconds:
                chosen.append(test)
                sum_s += takes_s
        return chosen


def _lines(text: str, line: int) -> list[int]:
    """The lines whose tests may see what stands in a line: those of its statement, of a compound one of its head; of
    the head of a function its body's; of what else runs while the file is loaded, those inside of functions that name
    what it binds, or all of the file.
    """
    tree = ast.parse(text)
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    inside = [node for node in functions if node.body[0].lineno <= line <= (node.end_lineno or 0)]
    if inside:
        best: range = range(0)
        for node in ast.walk(tree):
            if isinstance(node, ast.stmt):
                body = getattr(node, "body", None)
                end = max(body[0].lineno - 1, node.lineno) if body else node.end_lineno or node.lineno
                if node.lineno <= line <= end:
                    best = range(node.lineno, end + 1)
        return list(best or range(line, line + 1))
    bodies = {node: range(node.body[0].lineno, (node.end_lineno or 0) + 1) for node in functions}
    for node, body in bodies.items():
        if min([node.lineno, *(each.lineno for each in node.decorator_list)]) <= line < body.start:
            return list(body)
    bound = {
        name.id
        for node in ast.walk(tree)
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or 0) and not hasattr(node, "body")
        for name in ast.walk(node)
        if isinstance(name, ast.Name) and isinstance(name.ctx, ast.Store)
    }
    within = {at for body in bodies.values() for at in body}
    named = {
        node.lineno
        for node in ast.walk(tree)
        if (isinstance(node, ast.Name) and node.id in bound) or (isinstance(node, ast.Attribute) and node.attr in bound)
    }
    return sorted(named & within or within)


def runs_later(mutant: Mutant) -> bool:
    """Whether a mutant lies in the body of a function, so that it does not run while its file is loaded."""
    nodes = ast.walk(ast.parse((TOP / mutant.file).read_text()))
    functions = [node for node in nodes if isinstance(node, ast.FunctionDef)]
    return any(node.body[0].lineno <= mutant.line <= (node.end_lineno or 0) for node in functions)


@cache
def loaded() -> dict[str, list[FunctionType]]:
    """The functions of the library by their files."""
    for module in pkgutil.walk_packages([str(CODE)], "toolpaths."):
        import_module(module.name)
    found: dict[str, list[FunctionType]] = defaultdict(list)
    for each in gc.get_objects():
        if isinstance(each, FunctionType) and each.__code__.co_filename.startswith(str(CODE)):
            found[each.__code__.co_filename].append(each)
    return found


def patched(mutant: Mutant, text: str) -> bool:
    """Puts the code of a mutant into the functions of its file; whether that changes any."""
    fresh, todo = {}, [compile(text, str(TOP / mutant.file), "exec", dont_inherit=True)]
    while todo:
        code = todo.pop()
        fresh[code.co_qualname, code.co_firstlineno] = code
        todo += [each for each in code.co_consts if isinstance(each, CodeType)]
    changed = False
    for each in loaded()[str(TOP / mutant.file)]:
        code = fresh.get((each.__code__.co_qualname, each.__code__.co_firstlineno), each.__code__)
        if code != each.__code__:
            each.__code__ = code
            changed = True
    return changed


def constant(mutant: Mutant) -> bool:
    """Whether a mutant lies in a constant of its file."""
    tree = ast.parse((TOP / mutant.file).read_text())
    given = [node for node in tree.body if isinstance(node, (ast.Assign, ast.AnnAssign))]
    return any(node.lineno <= mutant.line <= (node.end_lineno or 0) for node in given)


def replaced(mutant: Mutant, text: str) -> bool:
    """Puts the constants of a mutant into its module and into those that import them; whether that changes any."""
    home = mutant.file.removesuffix(".py").replace("/", ".")
    module = sys.modules[home]
    fresh = {"__name__": home, "__file__": module.__file__}
    exec(compile(text, mutant.file, "exec", dont_inherit=True), fresh)
    changed = False
    for name, old in list(vars(module).items()):
        if name.startswith("__") or not isinstance(old, (int, float, str, tuple, dict)):
            continue
        if fresh.get(name, old) != old:
            for each in [each for key, each in sys.modules.items() if key.startswith("toolpaths.")]:
                if vars(each).get(name) is old:
                    setattr(each, name, fresh[name])
                    changed = True
    return changed


class Killer:
    """Keeps which test failed first."""

    def __init__(self, kept: Path) -> None:
        self.kept = kept

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.kept.write_text(report.nodeid)


class Loop:
    """Instead of the run of the tests: each mutant against those that reach it."""

    def __init__(self, coverage_file: str, times_file: str, results: str, first: int, rooms: Sequence[str]) -> None:
        self.reached, self.results = Reached(coverage_file, times_file), Path(results)
        self.first, self.rooms = first, rooms

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        done = set()
        if self.results.exists():
            done = {tuple(json.loads(line)["mutant"]) for line in self.results.read_text().splitlines()}
        loaded()
        gc.disable()
        gc.freeze()
        turns = zip_longest(*(islice(drawn(room), self.first) for room in self.rooms))
        for number, turn in enumerate(turns):
            for room, (mutant, text) in zip(self.rooms, turn):
                if mutant not in done:
                    start = time.monotonic()
                    said = self._said(mutant, text, items)
                    self._write(room, number, mutant, text, said | {"seconds": round(time.monotonic() - start, 1)})
        return True

    def _said(self, mutant: Mutant, text: str, items: dict[str, pytest.Item]) -> dict[str, object]:
        """`killed` by a test, `hung`, `survived`, or `not reached` by any test."""
        tests = [items[test] for test in self.reached.tests(mutant) if test in items]
        if not tests:
            return {"said": "not reached"}
        how = in_fork if runs_later(mutant) or constant(mutant) else alone
        return how(mutant, text, tests) | {"tests": len(tests)}

    def _write(self, room: str, number: int, mutant: Mutant, text: str, said: dict[str, object]) -> None:
        before = (TOP / mutant.file).read_text().splitlines()
        unlike = [(a.strip(), b.strip()) for a, b in zip(before, text.splitlines()) if a != b]
        line = {"room": room, "number": number, "mutant": mutant, "lines": unlike} | said
        with self.results.open("a") as file:
            file.write(json.dumps(line) + "\n")


def in_fork(mutant: Mutant, text: str, tests: Sequence[pytest.Item]) -> dict[str, object]:
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder, "killer")
        child = os.fork()
        if not child:
            code = 99
            try:
                _limit(HANGS)
                code = _in_child(mutant, text, tests, kept)
            finally:
                os._exit(code)
        return _outcome(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), kept)


def _in_child(mutant: Mutant, text: str, tests: Sequence[pytest.Item], kept: Path) -> int:
    if not (replaced(mutant, text) if constant(mutant) else patched(mutant, text)):
        return 0
    for test, after in zip(tests, [*tests[1:], None]):
        if any(report.failed for report in runtestprotocol(test, log=False, nextitem=after)):
            kept.write_text(test.nodeid)
            return 1
    return 0


def alone(mutant: Mutant, text: str, tests: Sequence[pytest.Item]) -> dict[str, object]:
    """In a process that loads the mutant instead of its file."""
    with tempfile.TemporaryDirectory() as folder:
        kept, code, names = (Path(folder, name) for name in ("killer", "code.py", "tests"))
        code.write_text(text)
        names.write_text("\n".join(test.nodeid for test in tests))
        command = [sys.executable, __file__, LOADED, mutant.file, str(code), str(names), str(kept)]
        run = subprocess.run(command, preexec_fn=lambda: _limit(2 * HANGS + 20), capture_output=True, check=False)
        return _outcome(run.returncode, kept)


def _limit(seconds: int) -> None:
    used = resource.getrusage(resource.RUSAGE_SELF)
    resource.setrlimit(resource.RLIMIT_AS, (6 << 30, 6 << 30))
    seconds += int(used.ru_utime + used.ru_stime)
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 5))


def _outcome(code: int, kept: Path) -> dict[str, object]:
    if kept.exists():
        return {"said": "killed", "by": kept.read_text()}
    # 1 to 4 by pytest, without a test that failed: the tests or what they load could not be loaded.
    known = {0: "survived", -signal.SIGXCPU: "hung", **dict.fromkeys((1, 2, 3, 4), "not loaded")}
    return {"said": known.get(code, f"ended {code}")}


def main_alone(file: str, code: str, names: str, kept: str) -> int:
    own = SourceFileLoader.get_code

    def get_code(loader: SourceFileLoader, name: str) -> CodeType | None:
        if loader.path == str(TOP / file):
            return compile(Path(code).read_text(), loader.path, "exec", dont_inherit=True)
        return own(loader, name)

    SourceFileLoader.get_code = get_code  # type: ignore[method-assign]
    os.chdir(TOP)
    return pytest.main([*ARGUMENTS, "-x", f"@{names}"], plugins=[Killer(Path(kept))])


def main(coverage_file: str, times_file: str, results: str, first: str = str(DRAWN), *rooms: str) -> int:
    loop = Loop(coverage_file, times_file, results, int(first), rooms or tuple(ROOMS))
    files = sorted({test.partition("::")[0] for test in loop.reached.all() if (TOP / test.partition("::")[0]).exists()})
    os.chdir(TOP)
    return pytest.main([*ARGUMENTS, *files], plugins=[loop])


if __name__ == "__main__":
    sys.exit(main_alone(*sys.argv[2:]) if sys.argv[1] == LOADED else main(*sys.argv[1:]))
