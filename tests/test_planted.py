"""Every planted fault is found on its line, every code has at least two, and no sound text is blamed."""

from __future__ import annotations

import re
from collections import Counter
from difflib import SequenceMatcher
from functools import cache
from pathlib import Path

import pytest
from planted import all_faults

import toolpaths
from toolpaths.judging.trial.findings import SEVERITIES

FAULTS = all_faults()
EDITED = [fault for fault in FAULTS if fault.sound]
_CODE = re.compile(r'"([a-z]+(?:-[a-z]+)*)",\s+"(?:danger|damage|doubt)"')


@cache
def judged(fault):
    return fault.judge(fault.text)


@pytest.mark.sample(82)
@pytest.mark.parametrize("fault", FAULTS, ids=[f"{f.code}: {f.what}" for f in FAULTS])
def test_planted_fault_is_found_on_its_line(fault):
    report = judged(fault)
    found = [finding for finding in report.findings if finding.code == fault.code]
    assert found, f"not found: {report}"
    if fault.line:
        assert any(fault.line in (finding.line, *finding.lines) for finding in found), str(report)
    assert all(finding.message for finding in found)


def _files_of() -> dict[str, set[str]]:
    """The files of the checks that give each code, by their sources."""
    found: dict[str, set[str]] = {}
    for path in (Path(toolpaths.__file__).parent / "judging" / "checks").rglob("*.py"):
        for code in _CODE.findall(path.read_text()):
            found.setdefault(code, set()).add(path.stem)
    return {code: files for code, files in found.items() if code not in SEVERITIES}


def _codes() -> set[str]:
    """Every code that the simulator can give."""
    return set(_files_of())


def test_every_code_is_given_by_one_file():
    assert {code: files for code, files in _files_of().items() if len(files) > 1} == {}
    assert _files_of()["rapid-in-wood"] == {"rapid_in_wood"}


def test_every_code_has_two_planted_faults_and_all_together_sixty():
    planted = Counter(fault.code for fault in FAULTS)
    assert {code: planted[code] for code in _codes() if planted[code] < 2} == {}
    assert set(planted) <= _codes(), "a fault waits for a code that no source gives"
    assert len(FAULTS) >= 60


@pytest.mark.long
def test_no_code_escapes_the_count():
    """A code given by a report but not seen in the sources would need no planted faults."""
    assert {finding.code for fault in FAULTS for finding in judged(fault).findings} <= _codes()


def test_no_two_faults_are_the_same():
    assert len({(fault.code, fault.text, fault.judge) for fault in FAULTS}) == len(FAULTS)


SOUND = {(fault.sound, fault.judge): fault for fault in EDITED}


@pytest.mark.sample(40)
@pytest.mark.parametrize("fault", SOUND.values(), ids=[f"before {f.code}: {f.what}" for f in SOUND.values()])
def test_text_before_the_edit_is_sound(fault):
    report = fault.judge(fault.sound)
    assert report.ok, str(report)


@pytest.mark.parametrize("fault", EDITED, ids=[f"{f.code}: {f.what}" for f in EDITED])
def test_fault_is_one_small_edit(fault):
    """The lines that differ are few, and stand together or are a slip of one kind."""
    before, after = fault.sound.splitlines(), fault.text.splitlines()
    same = sum(block.size for block in SequenceMatcher(None, before, after, autojunk=False).get_matching_blocks())
    assert 0 < max(len(before), len(after)) - same <= 8, "that is a different program"


def test_every_code_is_explained_once():
    """What help and README point to knows all codes and no other."""
    assert set(toolpaths.CODES) == _codes()
