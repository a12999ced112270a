"""The import walk: imports go one way, and the simulator knows nothing of what made a program."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "toolpaths"

# What each room may import from besides itself. The two halves meet only in the text: neither list holds the other.
ROOMS = {
    "base": (),
    "facts": ("base",),
    "shapes": ("base", "facts"),
    "lettering": ("base", "facts", "shapes"),
    "drawings": ("base", "facts", "shapes"),
    "pictures": ("base", "facts", "shapes"),
    "feeds": ("base", "facts"),
    "making.motion": ("base", "facts", "shapes"),
    "making.operations": ("base", "facts", "shapes", "making.motion"),
    "making.inlays": ("base", "facts", "shapes", "making.motion", "making.operations"),
    "making.plan": ("base", "facts", "shapes", "making.motion", "making.operations"),
    "making.writer": ("base", "facts", "shapes", "making.motion", "making.plan"),
    "judging.reader": ("base", "facts"),
    "judging": ("base", "facts"),
    "proving": ("base", "facts"),
    "show": ("base", "facts", "shapes", "drawings", "pictures", "making", "judging", "proving"),
    "job": ("base", "facts", "shapes", "drawings", "pictures", "making", "judging", "proving", "show"),
    "testing": ("base", "facts", "shapes", "making", "judging", "job"),
}


def _name(path: Path) -> str:
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = [path for path in sorted(PACKAGE.rglob("*.py")) if path.name != "__init__.py"]
NAMES = {_name(path) for path in MODULES}


@cache
def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: relative import"
            found |= {node.module or ""} | {f"{node.module}.{alias.name}" for alias in node.names}
    return {name[len("toolpaths.") :] for name in found if name.startswith("toolpaths.")} & NAMES


def _room(module: str) -> str:
    room = module
    while room not in ROOMS:
        assert "." in room, f"{module} stands in no room: add it to ROOMS"
        room = room.rpartition(".")[0]
    return room


def _within(room: str, others: tuple[str, ...]) -> bool:
    return any(room == other or room.startswith(f"{other}.") for other in others)


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_a_module_imports_only_from_the_rooms_that_its_own_may_use(path: Path) -> None:
    room = _room(_name(path))
    for other in _imports(path):
        assert _within(_room(other), (room, *ROOMS[room])), f"{_name(path)} imports {other}"


def test_imports_form_no_ring() -> None:
    """Following imports never leads back to where one started."""
    graph = {_name(path): _imports(path) for path in MODULES}
    done: set[str] = set()

    def visit(module: str, way: tuple[str, ...]) -> None:
        assert module not in way, " -> ".join((*way, module))
        if module not in done:
            for other in graph.get(module, ()):
                visit(other, (*way, module))
            done.add(module)

    for module in graph:
        visit(module, ())
    assert len(done) >= len(graph)


def test_what_judges_text_imports_nothing_of_what_made_it() -> None:
    """All that judges, with all that it imports in turn, knows only plain facts and the text."""
    graph = {_name(path): _imports(path) for path in MODULES}
    reached, waiting = set(), [module for module in graph if module.startswith("judging.")]
    assert len(waiting) > 50
    while waiting:
        module = waiting.pop()
        if module not in reached:
            reached.add(module)
            waiting += graph.get(module, ())
    assert {module.split(".")[0] for module in reached} == {"base", "facts", "judging"}


def test_no_two_files_have_one_name() -> None:
    """One name, one idea: a reader who looks for it finds one file."""
    names = [path.name for path in MODULES]
    assert sorted(names) == sorted(set(names))


# Words that hid what a thing is; each was the name of several things once.
UNGUESSABLE = {
    "gone",
    "onto",
    "asked",
    "answers",
    "conduct",
    "lies",
    "deaths",
    "throw",
    "mend",
    "told",
    "raised",
    "spared",
}


def _given_names(path: Path) -> Iterator[str]:
    """Names that a file gives: its own, those of functions, classes, arguments and variables."""
    yield path.stem
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            yield node.name
        elif isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id


def test_names_hold_no_word_that_nobody_outside_could_guess() -> None:
    """They are English, not names; the glossary has others."""
    given = {(_name(path), name) for path in MODULES for name in _given_names(path)}
    assert len(given) > 5_000
    assert [pair for pair in sorted(given) if UNGUESSABLE & set(pair[1].lower().split("_"))] == []


def test_import_does_no_work_and_prints_nothing() -> None:
    """Importing the package is silent and leaves the random state and the warnings alone."""
    code = "import random; random.seed(1); a = random.getstate(); import toolpaths; assert random.getstate() == a"
    result = subprocess.run([sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False)
    assert (result.returncode, result.stdout, result.stderr) == (0, "", "")


def test_all_names_everything_public() -> None:
    """__all__ lists each public name once, and each exists; the linter holds their order."""
    import toolpaths

    assert len(toolpaths.__all__) == len(set(toolpaths.__all__))
    assert all(hasattr(toolpaths, name) for name in toolpaths.__all__)


@pytest.mark.long
def test_no_tuple_with_names_is_generic() -> None:
    """The oldest Python that is supported knows none, and says so when the file is imported."""
    bases = [
        {ast.unparse(base).partition("[")[0] for base in node.bases}
        for path in MODULES
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.ClassDef)
    ]
    assert len(bases) > 300 and not [each for each in bases if {"NamedTuple", "Generic"} <= each]
