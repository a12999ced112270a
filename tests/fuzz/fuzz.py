"""Coverage-guided fuzzing of the readers: `python tests/fuzz/fuzz.py text svg --seconds 600`; all of them if none is
named. Needs `pip install 'toolpaths[fuzz]'`.

The seconds are shared by the targets, of which as many run at a time as there are cores. For each it prints executions,
edges of the instrumented code that were reached, and what was found; the exit code is 1 if anything was. Inputs found
go to `--keep`, one for each place where the code failed; a copy in tests/fuzz/found/TARGET makes one a test.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import traceback
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import partial
from pathlib import Path
from random import Random

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent), str(HERE.parents[1])]
NAMES = ("text", "svg", "dxf", "picture", "font")
# What is instrumented: our own code, and what of a library is in Python and reads bytes.
_INSTRUMENTED = {"dxf": ["toolpaths", "ezdxf.lldxf", "ezdxf.entities"], "picture": ["toolpaths", "PIL"]}
_LONGEST = {"text": 8_000, "svg": 8_000, "dxf": 60_000, "picture": 4_000, "font": 40_000}
# MB; a hang shows as wall time, above what a busy machine makes of the processor time in `targets`.
_MOST_MEMORY, _HANGS = 3_000, 60
# Executions of each in about twelve seconds.
_RUNS = {"text": 900, "svg": 5_000, "dxf": 1_500, "picture": 2_500, "font": 8_000}
_LAST = re.compile(r"^#(\d+)\s.*?cov: (\d+)", re.MULTILINE)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("targets", nargs="*", choices=[*NAMES, []])
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument(
        "--same", action="store_true", help="a number of executions, the same each time: about a minute"
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()) / "toolpaths_fuzz")
    parser.add_argument("--child", action="store_true", help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        return _fuzz(given.targets[0], given.seconds, given.seed, given.keep, given.same)
    targets = given.targets or list(NAMES)
    at_once = os.cpu_count() or 1
    share = max(1, given.seconds * min(at_once, len(targets)) // len(targets))
    watched = partial(_watched, seconds=share, seed=given.seed, keep=given.keep, same=given.same)
    with ThreadPoolExecutor(at_once) as pool:
        return max(pool.map(watched, targets))


def _watched(name: str, seconds: int, seed: int, keep: Path, same: bool) -> int:
    """One target in a process of its own, so that one that dies is told as a finding too."""
    keep = keep / name
    keep.mkdir(parents=True, exist_ok=True)
    before = set(keep.iterdir())
    child = [sys.executable, __file__, name, "--child", f"--seconds={seconds}", f"--seed={seed}", f"--keep={keep}"]
    child += ["--same"] * same
    # What is hashed decides nothing that is read, but may decide what is edited.
    unhashed = os.environ | {"PYTHONHASHSEED": "0"}
    done = subprocess.run(child, capture_output=True, text=True, errors="replace", check=False, env=unhashed)
    told = _LAST.findall(done.stderr)
    new = sorted(set(keep.iterdir()) - before)
    if not told or "DONE" not in done.stderr or done.returncode:
        print(done.stdout[-2000:], done.stderr[-4000:])
        print(f"{name}: ended early, code {done.returncode}")
    if told:
        took = "" if same else f", {seconds} s"
        print(f"{name}: {told[-1][0]} executions, {told[-1][1]} edges{took}, {len(new)} found", flush=True)
    for path in new:
        print(f"  {path}")
    print(*re.findall(r"^FOUND .*(?:\n(?! *#).*)*?(?=\nEND)", done.stdout, re.MULTILINE), sep="\n")
    return int(bool(new) or not told or done.returncode != 0)


def _fuzz(name: str, seconds: int, seed: int, keep: Path, same: bool) -> int:
    """In the child: never returns but by the end of the process."""
    import atheris
    from mutations import WORDS, mutated
    from seeds import found, seeds

    with atheris.instrument_imports(include=_INSTRUMENTED.get(name, ["toolpaths"])):
        import targets

        sound = seeds(name)
        for each in sound:
            # What is imported late is imported now, which takes its time; and a seed that fails is no seed.
            with suppress(targets.TooSlow):
                targets.run(name, each)
            targets.run(name, each)

    known = set[str]()

    def one(data: bytes) -> None:
        try:
            targets.run(name, data)
        except Exception as error:
            frames = traceback.extract_tb(error.__traceback__)
            own = [frame for frame in frames if "toolpaths" in frame.filename or "same_motion" in frame.filename]
            last = (own or frames)[-1]
            place = f"{type(error).__name__}-{Path(last.filename).stem}-{last.lineno}"
            if place not in known:
                known.add(place)
                (keep / f"{place}.{name}").write_bytes(data)
                print(f"FOUND {place}: {error!r}"[:600], flush=True)
                traceback.print_exc(limit=-6, file=sys.stdout)
                print("END", flush=True)

    def edit(data: bytes, longest: int, at: int) -> bytes:
        random = Random(at)
        new = mutated(name, bytes(data), random) if random.random() < 0.8 else atheris.Mutate(data, longest)
        return bytes(new[:longest])

    with tempfile.TemporaryDirectory() as folder:
        corpus = Path(folder) / "corpus"
        corpus.mkdir()
        for number, each in enumerate([*sound, *(path.read_bytes() for path in found(name))]):
            (corpus / f"{number}").write_bytes(each)
        words = Path(folder) / "words"
        words.write_text("".join(f'"{word}"\n' for word in WORDS[name] if '"' not in word and "\\" not in word))
        options = [
            f"-runs={_RUNS[name]}" if same else f"-max_total_time={seconds}",
            f"-seed={seed}",
            f"-max_len={_LONGEST[name]}",
            f"-timeout={_HANGS}",
            f"-rss_limit_mb={_MOST_MEMORY}",
            f"-artifact_prefix={keep}{os.sep}died-",
            *([f"-dict={words}"] if WORDS[name] else []),
            str(corpus),
        ]
        atheris.Setup([name, *options], one, custom_mutator=edit)
        atheris.Fuzz()
    return 0


if __name__ == "__main__":
    sys.exit(main())
