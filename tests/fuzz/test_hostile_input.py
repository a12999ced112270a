"""Inputs on which a reader once failed, and others that are hostile on purpose: only documented errors, and in time.

Coverage-guided fuzzing is `python tests/fuzz/fuzz.py`; here its targets run without it.
"""

from __future__ import annotations

from pathlib import Path
from random import Random
from struct import pack
from zlib import compress, crc32

import pytest
import same_motion
import targets
from mutations import mutated
from seeds import PROVED, found, seeds

from toolpaths.judging.reader.read import read_all
from toolpaths.proving import read_pieces as proving
from toolpaths.proving.read_pieces import NotUnderstood, read_pieces

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">{}<path d="M0 0L1 1"/></svg>'


def _style(rules: str) -> bytes:
    return SVG.format(f"<style>{rules}</style>").encode()


def _png(width: int, height: int) -> bytes:
    chunks = [b"IHDR" + pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0), b"IDAT" + compress(b""), b"IEND"]
    sums = (pack(">I", len(each) - 4) + each + pack(">I", crc32(each)) for each in chunks)
    return b"\x89PNG\r\n\x1a\n" + b"".join(sums)


# Of several uses in each other each makes ten of the one before.
_USES = "<g id='a0'/>" + "".join(f"<g id='a{n + 1}'>{f'''<use href='#a{n}'/>''' * 10}</g>" for n in range(12))
HOSTILE = {
    "number that is infinite": ("text", ("T" + "9" * 400).encode()),
    "large circles, many chords": ("text", PROVED.replace("G0 Z10\nM5", "G2 X20 I999999999\n" * 20 + "M5").encode()),
    "number of a million digits": ("text", b"X" + b"9" * 1_000_000),
    "very many holes": ("text", b"F100 G91 G81 X1 Z-1 R0 L99999999\nM2"),
    "very many pecks": ("text", b"F100 G83 X1 Z-900000000 R1 Q.0000001\nM2"),
    "numbers in inches at the limit": ("text", b"G20 G1 X999999999 F999999999\nG2 X-999999999 I-999999999\nM2"),
    "open brackets": ("text", b"[" * 100_000),
    "open comments": ("text", b"(" * 100_000),
    "open comments in a style": ("svg", _style("/*" * 30_000)),
    "no rule in a style": ("svg", _style("a" * 100_000)),
    "open at-rules in a style": ("svg", _style("@" * 100_000)),
    "many at-rules in a style": ("svg", _style("@a;" * 50_000)),
    "uses of uses": ("svg", SVG.format(_USES + "<use href='#a12'/>").encode()),
    "use of itself": ("svg", SVG.format("<g id='r'><use href='#r'/></g>").encode()),
    "entities": ("svg", b'<!DOCTYPE a [<!ENTITY b "bb"><!ENTITY c "&b;&b;">]>' + SVG.format("&c;").encode()),
    "deep": ("svg", SVG.format("<g>" * 5_000 + "</g>" * 5_000).encode()),
    "scales without end": ("svg", SVG.format(f"<g transform='{'scale(1e30)' * 20}'><circle r='1'/></g>").encode()),
    "more pixels than memory": ("picture", _png(60_000, 60_000)),
    "most pixels": ("picture", _png(2**31 - 1, 2**31 - 1)),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_on_purpose(name: str) -> None:
    targets.run(*HOSTILE[name])


@pytest.mark.parametrize("path", [path for name in targets.TARGETS for path in found(name)], ids=lambda path: path.stem)
def test_what_fuzzing_found(path: Path) -> None:
    targets.run(path.parent.name, path.read_bytes())


@pytest.mark.sample(2, long=60)
@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("target", ["text", "svg", "dxf", "font", "picture"])
def test_an_edit_of_a_sound_input(target: str, seed: int) -> None:
    random = Random(seed)
    targets.run(target, mutated(target, random.choice(seeds(target)), random))


# What the targets look for, they find.


def test_another_way_of_the_proof_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    program = read_all(PROVED)
    assert same_motion.assert_proof_goes_where_the_reader_goes(PROVED, program)
    for codes in ({"G2": "anticlockwise", "G3": "clockwise"}, {"G0": "line"}, {"G1": "rapid"}, {"G81": "line"}):
        assert codes.keys() <= proving._MOTIONS.keys()
        monkeypatch.setattr(proving, "_MOTIONS", {**proving._MOTIONS, **codes})
        with pytest.raises((AssertionError, KeyError)):
            if not same_motion.assert_proof_goes_where_the_reader_goes(PROVED, program):
                raise AssertionError("refused")
        monkeypatch.undo()
    for old, new in (("X50", "X50.001"), ("Z-5", "Z-5.001"), ("I-5", "I-5.01"), ("T1 M6", "T2 M6"), ("Z-4", "Z-4.01")):
        with pytest.raises(AssertionError):
            same_motion.assert_proof_goes_where_the_reader_goes(PROVED.replace(old, new), program)


def test_an_undocumented_error_a_warning_and_a_hang_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise KeyError("layer")

    def warns(*_: object) -> None:
        import numpy as np

        np.float64(1) / np.float64(0)

    def mute(*_: object) -> None:
        raise targets.InputError("")

    for wrong, kind in ((fails, KeyError), (warns, RuntimeWarning), (mute, AssertionError)):
        monkeypatch.setattr(targets.tp, "read_svg", wrong, raising=False)
        with pytest.raises(kind):
            targets.run("svg", b"")
    monkeypatch.undo()
    with pytest.raises(targets.TooSlow), targets._in_time(most=-1.0):
        pass


def test_the_proof_refuses_what_is_too_large_to_be_a_program() -> None:
    for text in ("T" + "9" * 400, PROVED.replace("S18000", "S1000001"), PROVED.replace("I5 J0", "I5 J20000")):
        with pytest.raises(NotUnderstood):
            read_pieces([text])
