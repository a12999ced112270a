"""The programs that are kept, and what the present code makes of the same jobs: small ones as texts, samples as sums.

    python tests/golden/kept_programs.py

makes all anew. What differs then shows in the version control, line by line; a change of bytes that is meant gets a
**bytes** line in CHANGELOG.md.
"""

from __future__ import annotations

import sys
from hashlib import sha256
from pathlib import Path

HERE = Path(__file__).resolve().parent
PROGRAMS = HERE / "programs"
SUMS = HERE / "samples.sha256"

sys.path[:0] = [str(HERE), str(HERE.parents[1] / "reference")]

from golden_jobs import JOBS  # noqa: E402
from sample_scripts import sample_names as sample_names  # noqa: E402
from sample_scripts import sample_script  # noqa: E402


def _file(job: str, program: str) -> str:
    return f"{job}.{program.replace(' ', '_')}.nc"


def made(name: str) -> dict[str, str]:
    """The programs of a small job as the present code writes them, by the names of their files."""
    return {_file(name, each): text for each, text in JOBS[name]().programs().items()}


def kept(name: str) -> dict[str, str]:
    """The programs of a small job as they were kept."""
    return {path.name: path.read_text() for path in PROGRAMS.glob(f"{name}.*.nc")}


def sample_sums(sample: str) -> dict[str, str]:
    """SHA-256 of each program of a sample: they are too long to be kept."""
    programs = sample_script(sample).job.programs()
    return {_file(sample, each): sha256(text.encode()).hexdigest() for each, text in programs.items()}


def kept_sums(sample: str) -> dict[str, str]:
    """The same as they were kept."""
    lines = [line.split("  ") for line in SUMS.read_text().splitlines()]
    return {name: digits for digits, name in lines if name.startswith(f"{sample}.")}


def difference(name: str, before: str, now: str) -> str:
    """How two texts of one program differ: how many lines, and the first of them."""
    old, new = before.splitlines(), now.splitlines()
    pairs = [*zip(old, new), *((line, "(no line)") for line in old[len(new) :])]
    pairs += [("(no line)", line) for line in new[len(old) :]]
    apart = [(number, *pair) for number, pair in enumerate(pairs, 1) if pair[0] != pair[1]]
    first = [f"line {number}: {was} -> {is_now}" for number, was, is_now in apart[:8]]
    return "\n".join([f"{name}: {len(apart)} of {len(old)} lines differ", *first])


def _keep_all() -> None:
    PROGRAMS.mkdir(exist_ok=True)
    texts = {file: text for name in JOBS for file, text in made(name).items()}
    for path in PROGRAMS.glob("*.nc"):
        if path.name not in texts:
            path.unlink()
    for file, text in texts.items():
        (PROGRAMS / file).write_bytes(text.encode())
    sums = {file: digits for sample in sample_names() for file, digits in sample_sums(sample).items()}
    SUMS.write_text("".join(f"{digits}  {file}\n" for file, digits in sums.items()))
    print(f"{len(texts)} programs of {sum(map(len, texts.values()))} bytes, {len(sums)} sums of samples.")


if __name__ == "__main__":
    _keep_all()
