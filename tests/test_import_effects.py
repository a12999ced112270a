"""Importing the library, or any file of it, does nothing but import."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import toolpaths

PACKAGE = Path(toolpaths.__file__).parent
MODULES = sorted(
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__")
    for path in PACKAGE.rglob("*.py")
)

# What the standard library, numpy and shapely do when they are imported is theirs: they come first.
LOOK = """
import concurrent.futures, json, locale, logging, os, random, signal, sys, threading, warnings
from pathlib import Path
import numpy, shapely, pyclipper
for other in {others}:
    __import__(other)

def state():
    return {{
        "environment": dict(os.environ),
        "folder": os.getcwd(),
        "files": sorted(map(str, Path.cwd().rglob("*"))),
        "file mask": [os.umask(0o22), os.umask(0o22)],
        "locale": locale.setlocale(locale.LC_ALL),
        "warnings": [repr(each) for each in warnings.filters],
        "show warnings": repr(warnings.showwarning),
        "loggers": sorted(logging.root.manager.loggerDict),
        "log handlers": [repr(each) for each in logging.root.handlers],
        "log level": logging.root.level,
        "random": repr(random.getstate()),
        "numpy random": repr(numpy.random.get_state()),
        "numpy errors": numpy.geterr(),
        "numpy printing": repr(numpy.get_printoptions()),
        "signals": [repr(signal.getsignal(each)) for each in signal.valid_signals()],
        "threads": threading.active_count(),
        "recursion": sys.getrecursionlimit(),
        "hooks": [repr(sys.excepthook), repr(sys.displayhook), repr(threading.excepthook)],
        "search path": list(sys.path),
        "standard streams": [repr(sys.stdout), repr(sys.stderr), repr(sys.stdin)],
    }}

before = state()
{use}
after = state()
print(json.dumps([key for key in before if before[key] != after[key]]), len(before))
"""


def changed_by(use: str, folder: Path, others: list[str] | None = None) -> list[str]:
    """What of a fresh process some lines change; they may print nothing."""
    code = LOOK.format(use=use, others=others or [])
    surroundings = {**os.environ, "PYTHONPATH": str(PACKAGE.parent)}
    command = [sys.executable, "-B", "-W", "error", "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=folder, env=surroundings)
    assert (done.returncode, done.stderr) == (0, "")
    (line,) = done.stdout.splitlines()
    found, count = line.rsplit(" ", 1)
    assert int(count) == 20
    return json.loads(found)


def test_importing_the_library_changes_nothing(tmp_path: Path) -> None:
    assert changed_by("import toolpaths", tmp_path) == []


@pytest.mark.long
def test_importing_every_file_of_it_changes_nothing(tmp_path: Path) -> None:
    """All files, none left out, one after the other."""
    assert len(MODULES) > 300
    assert changed_by("\n".join(f"import {name}" for name in MODULES), tmp_path, []) == []


@pytest.mark.long
def test_importing_all_public_names_changes_nothing(tmp_path: Path) -> None:
    assert changed_by("import toolpaths\nfor name in toolpaths.__all__: getattr(toolpaths, name)", tmp_path) == []


@pytest.mark.sample(1)
@pytest.mark.parametrize(
    ("use", "found"),
    [
        ("import locale; locale.setlocale(locale.LC_ALL, 'C')", ["locale"]),
        ("warnings.simplefilter('ignore')", ["warnings"]),
        ("logging.getLogger('some')", ["loggers"]),
        ("random.seed(2)", ["random"]),
        ("numpy.random.seed(2)", ["numpy random"]),
        ("numpy.seterr(all='raise')", ["numpy errors"]),
        ("os.environ['A'] = 'b'", ["environment"]),
        ("open('left', 'w').close()", ["files"]),
        # Not SIGINT, which is ignored already in what a shell starts in the background.
        ("signal.signal(signal.SIGTERM, signal.SIG_IGN)", ["signals"]),
        ("threading.Thread(target=threading.Event().wait, daemon=True).start()", ["threads"]),
    ],
)
def test_what_would_change_something_is_seen(use: str, found: list[str], tmp_path: Path) -> None:
    assert changed_by(use, tmp_path) == found
