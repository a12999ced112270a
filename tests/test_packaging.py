"""What is built: a wheel that holds the library and nothing else, a source distribution whose tests run."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tarfile
from email import message_from_bytes
from pathlib import Path
from shutil import copytree, ignore_patterns, rmtree
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).resolve().parents[1]
# Of each room something, quick.
SOME_TESTS = (
    "tests/test_round_shapes.py", "tests/test_public_face.py", "tests/test_import_effects.py", "tests/test_golden.py",
)  # fmt: skip


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The source distribution, and the wheel that is built from it, of a copy of the tree."""
    work = tmp_path_factory.mktemp("built")
    copied = work / "tree"
    no_part = ignore_patterns(".git", ".venv", "build", "out", "*.egg-info", "__pycache__", ".*_cache", ".hypothesis")
    copytree(ROOT, copied, ignore=no_part)
    command = [sys.executable, "-m", "build", "--outdir", str(work / "dist"), str(copied)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=work)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    (source,), (wheel,) = (work / "dist").glob("*.tar.gz"), (work / "dist").glob("*.whl")
    return source, wheel


def _files(top: Path, *folders: str) -> set[str]:
    found = (path for folder in folders for path in (top / folder).rglob("*"))
    return {str(path.relative_to(top)) for path in found if path.is_file() and path.suffix != ".pyc"}


@pytest.mark.long
def test_wheel_holds_the_library_its_types_and_the_licence(built: tuple[Path, Path]) -> None:
    with ZipFile(built[1]) as wheel:
        names = {name for name in wheel.namelist() if ".dist-info/" not in name}
        about = message_from_bytes(wheel.read(next(name for name in wheel.namelist() if name.endswith("/METADATA"))))
        licences = [wheel.read(name).decode() for name in wheel.namelist() if name.endswith("/licenses/LICENSE")]
    assert names == _files(ROOT, "toolpaths")
    assert {"toolpaths/py.typed", "toolpaths/__init__.pyi"} <= names
    assert any(name.endswith(".css") for name in names) and any(name.endswith(".js") for name in names)
    assert (about["License-Expression"], about["License-File"], about["License"]) == ("MIT", "LICENSE", None)
    assert licences == [(ROOT / "LICENSE").read_text()]
    assert about["Requires-Python"] == ">=3.10"
    assert not [each for each in about.get_all("Classifier", []) if each.startswith("License")]


@pytest.mark.long
def test_source_distribution_holds_what_its_tests_need(built: tuple[Path, Path]) -> None:
    with tarfile.open(built[0]) as source:
        names = {member.name.partition("/")[2] for member in source.getmembers() if member.isfile()}
    top = {path.name for path in ROOT.iterdir() if path.suffix in {".md", ".toml", ".in"}} | {"LICENSE"}
    assert names >= _files(ROOT, "toolpaths", "tests", "samples", "reference", ".ci") | top


@pytest.mark.long
@pytest.mark.parametrize("installed", [False, True], ids=["from the source", "against the installed wheel"])
def test_tests_run_without_the_clone(built: tuple[Path, Path], installed: bool, tmp_path: Path) -> None:
    """A share of them: from an unpacked source distribution, and there without its library against the wheel."""
    source, wheel = built
    with tarfile.open(source) as packed:
        packed.extractall(tmp_path, filter="data")
    (unpacked,) = tmp_path.iterdir()
    library = unpacked
    if installed:
        rmtree(unpacked / "toolpaths")
        library = tmp_path / "site"
        install = ["pip", "install", "--quiet", "--no-deps", "--no-index", "--target", str(library), str(wheel)]
        subprocess.run([sys.executable, "-m", *install], check=True)
    surroundings = {**os.environ, "PYTHONPATH": str(library), "PYTHONDONTWRITEBYTECODE": "1"}
    asked = [sys.executable, "-c", "import toolpaths; print(toolpaths.__file__)"]
    answer = subprocess.run(asked, capture_output=True, text=True, check=True, cwd=unpacked, env=surroundings)
    assert Path(answer.stdout.strip()) == library / "toolpaths" / "__init__.py"
    command = [sys.executable, "-m", "pytest", "-n", "0", "-p", "no:cacheprovider", *SOME_TESTS]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=unpacked, env=surroundings)
    assert done.returncode == 0, done.stdout[-3000:]
    assert int(re.search(r"(\d+) passed", done.stdout)[1]) > 20


def test_stated_minimums_are_what_the_oldest_environment_holds() -> None:
    """tests/golden/oldest.txt is what `.ci/versions` tries: of each dependency a version not above the one stated."""
    stated = dict(re.findall(r'"(\w+)>=([\w.]+)"', re.search(r"^dependencies = (.*)$", _project(), re.M)[1]))
    pinned: dict[str, list[str]] = {}
    for name, version in re.findall(r"^(\w+)==([\w.]+)", (ROOT / "tests/golden/oldest.txt").read_text(), re.M):
        pinned.setdefault(name, []).append(version)
    assert stated.keys() == pinned.keys()
    for name, version in stated.items():
        assert any(f"{each}.".startswith(f"{version}.") for each in pinned[name]), (name, version)


def _project() -> str:
    return (ROOT / "pyproject.toml").read_text()
