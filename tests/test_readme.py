"""What the README shows is executed: its scripts by test_samples, its two commands by .ci/run, the rest here."""

from __future__ import annotations

import ast
import inspect
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from shutil import copy

import pytest

import toolpaths as tp
from toolpaths import testing
from toolpaths.testing import pytest_plugin

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text()
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.S | re.M)
INLINE = re.findall(r"`([^`\n]+)`", re.sub(r"```.*?```", "", README, flags=re.S))
# Commands within its sentences, and what executes them.
EXECUTED = {
    "pytest --renew-golden": "test_its_test_file_passes_beside_the_script",
    ".venv/bin/python reference/write_reference.py FOLDER": "test_reference.py",
}


def test_every_block_is_a_script_or_the_commands_that_ci_executes_word_for_word() -> None:
    """`.ci/run` takes the lines that begin so out of the README, and fails unless there are two."""
    assert {kind for kind, _ in BLOCKS} == {"python", "sh"}
    commands = [line for kind, block in BLOCKS if kind == "sh" for line in block.splitlines()]
    assert len(commands) == 2 and all(line.startswith("python3 -m venv") for line in commands)
    assert "grep '^python3 -m venv' README.md" in (ROOT / ".ci" / "run").read_text()


def test_every_command_within_a_sentence_is_executed_by_a_test() -> None:
    """Those that install name extras that there are."""
    commands = [each for each in INLINE if re.match(r"(\.venv/bin/\w|python3? |pip |pytest |bash )", each)]
    extras = set(re.findall(r"^(\w+) = \[", (ROOT / "pyproject.toml").read_text(), re.M))
    installs = [each for each in commands if each.startswith("pip install")]
    assert installs and all(re.fullmatch(r"pip install 'toolpaths\[(\w+)\]'", each) for each in installs)
    assert {each[len("pip install 'toolpaths[") : -2] for each in installs} <= extras
    assert set(commands) - set(installs) == set(EXECUTED)


@pytest.mark.long
def test_its_test_file_passes_beside_the_script(tmp_path: Path) -> None:
    """As it stands, beside a sample, its programs kept first; its other half in test_plugin."""
    (shown,) = [block for kind, block in BLOCKS if kind == "python" and "def test_" in block]
    copy(ROOT / "samples" / "stool_seat.py", tmp_path)
    (tmp_path / "test_seat.py").write_text(shown)

    def outcome(*options: str) -> str:
        plain = ["-q", "-p", "no:cacheprovider", "-p", "toolpaths.testing.pytest_plugin", "--rootdir", str(tmp_path)]
        command = [sys.executable, "-m", "pytest", *plain, *options, "test_seat.py"]
        surroundings = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}
        return subprocess.run(
            command, cwd=tmp_path, env=surroundings, capture_output=True, text=True, check=False
        ).stdout  # fmt: skip

    said = outcome("--renew-golden")
    assert "1 passed" in said, said
    assert len(list((tmp_path / "golden").rglob("*.nc"))) == 2


def _calls() -> Iterator[tuple[str, ast.Call]]:
    """Calls of public names within the README's sentences, `...` and all."""
    for each in INLINE:
        try:
            tree = ast.parse(each)
        except SyntaxError:
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                yield each, node


def test_calls_within_its_sentences_are_of_public_names_and_their_arguments() -> None:
    """Of what begins with a small letter and is called plainly, and of its keywords."""
    public = [getattr(tp, name) for name in tp.__all__]
    methods = {name for thing in public if inspect.isclass(thing) for name in dir(thing)}
    tried = 0
    for said, call in _calls():
        if isinstance(call.func, ast.Attribute):
            continue
        assert isinstance(call.func, ast.Name), said
        name = call.func.id
        if name in ("print", "help") or name in methods or hasattr(testing, name) or hasattr(pytest_plugin, name):
            continue
        tried += 1
        known = inspect.signature(getattr(tp, name)).parameters
        assert {keyword.arg for keyword in call.keywords} - {None} <= set(known), said
    assert tried > 25
