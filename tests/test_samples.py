"""The samples: each runs as a script, is found sound, writes the same bytes again, and can fail."""

from __future__ import annotations

import os
import re
import runpy
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import toolpaths as tp
import toolpaths.job.program_set
from toolpaths.making.writer.program import ProgramText, program

ROOT = Path(__file__).resolve().parents[1]
SAMPLES = {
    "name_board": ("name_board.nc",),
    "stool_seat": ("front.nc", "back.nc"),
    "weather_station": ("front.nc", "back.nc"),
    "peg_game": ("peg_game.nc",),
    "organiser_tray": ("organiser_tray.nc",),
    "house_sign": ("house_sign.nc",),
    "from_a_picture": ("front.nc", "back.nc"),
    "hook_plates": ("front.nc", "back.nc"),
}


# Many jobs, tried in test_all_jobs.
OTHERS = {"size_range"}


def test_every_sample_is_tested() -> None:
    """No script stands in samples/ that this file does not know."""
    scripts = {path.stem for path in (ROOT / "samples").glob("*.py") if not path.stem.startswith("test_")}
    assert scripts == {*SAMPLES, *OTHERS}


@pytest.mark.long
def test_the_tests_of_a_sample_pass_as_its_maker_runs_them() -> None:
    """With the plug-in, in a process of its own; also its golden programs, which a change of motion has to renew."""
    tests = ROOT / "samples" / "test_weather_station.py"
    options = ["-v", "-n", "0", "-p", "no:cacheprovider", "-p", "toolpaths.testing.pytest_plugin"]
    result = subprocess.run(
        [sys.executable, "-m", "pytest", *options, str(tests)],
        cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert result.returncode == 0 and " 9 passed in " in result.stdout, result.stdout + result.stderr


@pytest.mark.sample(0, long=2)
@pytest.mark.parametrize("name", SAMPLES)
def test_sample_runs_clean_and_writes_the_same_bytes_twice(name: str, tmp_path: Path) -> None:
    """Exit status 0, a short summary, the files named, identical whatever the hash seed."""
    texts = []
    for seed in ("1", "2"):
        folder = tmp_path / seed
        result = subprocess.run(
            [sys.executable, str(ROOT / "samples" / f"{name}.py"), str(folder)],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=False,
        )
        assert result.returncode == 0, result.stdout + result.stderr
        assert "Nothing found" in result.stdout
        assert len(result.stdout.splitlines()) <= 14
        files = sorted([*SAMPLES[name], "sheet.html"])
        assert sorted(path.name for path in folder.iterdir()) == files
        assert f"written to {folder}: {' '.join(files)}" in result.stdout
        texts.append([(folder / file).read_bytes() for file in files])
    assert texts[0] == texts[1]


@pytest.mark.sample(0, long=4)
@pytest.mark.parametrize("name", SAMPLES)
def test_sample_writes_nothing_when_danger_is_found(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the spindle never started, the sample says so and fails."""

    def never_started(*args: object, **options: object) -> ProgramText:
        made = program(*args, **options)
        return replace(made, text=made.text.replace("M3 ", "M5 "))

    monkeypatch.setattr(toolpaths.job.program_set, "program", never_started)
    monkeypatch.setattr(sys, "argv", [name, str(tmp_path / "out")])
    with pytest.raises(tp.NotSafeError, match="spindle-off"):
        runpy.run_path(str(ROOT / "samples" / f"{name}.py"), run_name="__main__")
    assert not (tmp_path / "out").exists()


def test_the_readme_example_is_short_and_runs_clean(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first block of the README: at most 25 lines, and its programs are found sound. The others run after it."""
    blocks = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(), re.S)
    assert len(blocks[0].splitlines()) <= 25
    monkeypatch.chdir(tmp_path)
    script = tmp_path / "readme.py"
    script.write_text("".join(blocks))
    names = runpy.run_path(str(script))
    assert {path.name for path in (tmp_path / "seat").iterdir()} == {"front.nc", "back.nc", "sheet.html"}
    assert all(setup.notes == () for setup in names["job"].setups)
    said = capsys.readouterr().out
    assert "Nothing found against the job" in said, said
