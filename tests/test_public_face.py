"""What a user meets first: the index, the docstrings, the names."""

from __future__ import annotations

import inspect
import re
import subprocess
import sys
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

import toolpaths as tp

ROOT = Path(__file__).resolve().parents[1]
PUBLIC = {name: getattr(tp, name) for name in tp.__all__}
FUNCTIONS = [name for name, thing in PUBLIC.items() if inspect.isfunction(thing)]
ERRORS = [name for name, thing in PUBLIC.items() if inspect.isclass(thing) and issubclass(thing, Exception)]


def test_help_begins_with_an_index_of_one_screen():
    """Every function, fact, error and report in at most 30 lines of 110 characters."""
    lines = inspect.getdoc(tp).splitlines()
    assert len(lines) <= 30 and max(map(len, lines)) <= 110
    named = set(re.findall(r"\w+", inspect.getdoc(tp)))
    makers = {name.replace("_", "") for name in FUNCTIONS}
    made = {name for name, thing in PUBLIC.items() if inspect.isclass(thing) and name.lower() in makers}
    helpers = {"AcceptedFinding", "Advice", "Feature", "Figure", "HoldDown", "Operation", "Profile", "Program", "Screw"}
    helpers |= {"SideFinding", "Species", "ALL_CODES", "ARCS", "CYCLES", "Dowel"}
    assert set(tp.__all__) - named - made - helpers == set()
    assert len(FUNCTIONS) > 40


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_shows_an_example_and_says_what_it_raises(name):
    """The examples are executed by the run of all tests."""
    doc = inspect.getdoc(PUBLIC[name]) or ""
    assert ">>> " in doc, f"{name} shows no example"
    assert re.search(r"\bRaises\b", doc), f"{name} does not say what it raises"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_no_default_of_a_public_function_is_a_mark(name):
    """None and words, no number that stands for something else."""
    defaults = [each.default for each in inspect.signature(PUBLIC[name]).parameters.values()]
    assert all(abs(default) < 1e6 for default in defaults if isinstance(default, (int, float)))
    marks = [default for default in defaults if type(default) is object]
    assert defaults and marks == []


def test_names_are_imported_when_asked_for():
    """A script that plans and writes imports no judge, one that judges texts no maker."""
    code = "import sys, toolpaths as tp; {use}; print(*(name for name in sys.modules if 'toolpaths.{room}' in name))"
    for use, room, loaded in (
        ("tp", "", "toolpaths.base toolpaths.base.names_on_demand"),
        ("tp.Fixture, tp.pocket, tp.Setup, tp.program_text", "judging", ""),
        ("tp.verify, tp.Board", "making", ""),
    ):
        found = subprocess.run([sys.executable, "-c", code.format(use=use, room=room)], capture_output=True, text=True)
        assert found.stdout == f"{loaded}\n", (use, found.stdout, found.stderr)


@pytest.mark.parametrize("use", ["tp", pytest.param("[getattr(tp, name) for name in dir(tp)]", marks=pytest.mark.long)])
def test_no_extra_is_loaded_before_it_is_used(use):
    """All public names can be had without any library that an extra installs: each is loaded where it is called for."""
    extras = re.search(r"optional-dependencies\]\n(.*?)\n# ", (ROOT / "pyproject.toml").read_text(), re.S)
    wanted = {name.lower() for name in re.findall(r'"([\w-]+)>=', extras[1])}
    assert wanted >= {"uharfbuzz", "pillow", "contourpy", "ezdxf", "defusedxml"}
    modules = {
        module for module, homes in packages_distributions().items() if wanted & {home.lower() for home in homes}
    }
    assert len(modules) >= len(wanted)
    code = f"import sys, toolpaths as tp; {use}; print(*sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = {name.split(".")[0] for name in found.stdout.split()}
    assert "toolpaths" in loaded and not loaded & modules


def test_what_is_no_public_name_is_no_attribute():
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = tp.nothing
    assert set(tp.__all__) <= set(dir(tp))


def test_errors_end_in_error_and_have_one_root():
    assert len(ERRORS) >= 6
    assert all(name.endswith("Error") and issubclass(PUBLIC[name], tp.ToolpathsError) for name in ERRORS)
