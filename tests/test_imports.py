"""The import walk: imports go one way, and the simulator knows nothing of what made a program."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "toolpaths"

# Lowest first. A module imports from lower floors, and from its own floor only further up this list.
FLOORS = [
    "errors",
    "checks",
    "units",
    "chips",
    "woods",
    "depth",
    "machine",
    "pace",
    "cutters",
    "board",
    "fixture",
    "part",
    "gcode.motion",
    "gcode.words",
    "gcode.tokens",
    "gcode.arcs",
    "gcode.controller",
    "gcode.statement",
    "gcode.cycles",
    "gcode.table",
    "gcode.plain",
    "gcode.runs",
    "gcode.interpret",
    "gcode.salvage",
    "gcode.forgiving",
    "gcode.read",
    "simulate.wood",
    "simulate.trial",
    "simulate.meant",
    "simulate.pieces",
    "simulate.checks",
    "simulate.report",
    "simulate.run",
    "simulate.job",
    "simulate.study",
    "simulate",
    "geometry.tolerance",
    "geometry.curves",
    "geometry.door",
    "geometry.track",
    "geometry.biarc",
    "geometry.tangent",
    "geometry.spans",
    "geometry.touch",
    "geometry.arcs",
    "geometry.shapes",
    "geometry.outline",
    "geometry.offset",
    "testing",
    "geometry.transform",
    "geometry.relief",
    "route",
    "path",
    "crossing",
    "path_time",
    "gone",
    "tabs",
    "over_tabs",
    "operations.operation",
    "operations.entry",
    "operations.ring",
    "operations.leads",
    "operations.visit",
    "operations.tight",
    "operations.holding",
    "operations.clearing",
    "operations.courses",
    "operations.rows",
    "operations.spiral",
    "operations.onto",
    "operations.walls",
    "operations.ways_in",
    "operations.links",
    "operations.choose",
    "operations.descent",
    "operations.limited",
    "operations",
    "work",
    "precedence",
    "order",
    "setup",
    "intent",
    "gcode.header",
    "gcode.write",
    "files",
    "feeds",
]
# What the text must stand alone against: whatever reads or judges it never sees these.
INTENT = (
    "geometry", "path", "gone", "tabs", "over_tabs", "operations", "work", "precedence", "order", "setup", "intent",
    "files", "feeds", "gcode.header", "gcode.write",
)  # fmt: skip


def _name(path: Path) -> str:
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: relative import"
            found |= {node.module or ""} | {f"{node.module}.{alias.name}" for alias in node.names}
    modules = {_name(other) for other in PACKAGE.rglob("*.py") if other.name != "__init__.py"}
    return {name[len("toolpaths.") :] for name in found if name.startswith("toolpaths.")} & modules


def _floor(module: str) -> int:
    while module not in FLOORS:
        assert "." in module, f"{module} stands on no floor: add it to FLOORS"
        module = module.rpartition(".")[0]
    return FLOORS.index(module)


MODULES = [path for path in sorted(PACKAGE.rglob("*.py")) if path.name != "__init__.py"]


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_imports_go_to_lower_floors_only(path: Path) -> None:
    """No module imports from above; within a folder that is one floor the walk below finds rings."""
    own = _floor(_name(path))
    for other in _imports(path):
        assert _floor(other) <= own, f"{_name(path)} imports {other} from above"


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


@pytest.mark.parametrize("side", ["simulate", "gcode.read"])
def test_what_judges_text_imports_nothing_of_what_made_it(side: str) -> None:
    """Reader and simulator, with all that they import in turn, know only plain facts and the text."""
    graph = {_name(path): _imports(path) for path in MODULES}
    reached, waiting = set(), [module for module in graph if module == side or module.startswith(f"{side}.")]
    assert waiting
    while waiting:
        module = waiting.pop()
        if module not in reached:
            reached.add(module)
            waiting += graph.get(module, ())
    wrong = [m for m in reached if any(m == name or m.startswith(f"{name}.") for name in INTENT)]
    assert not wrong


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
