"""Every planted fault is found on its line, and every code has at least two."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest
from planted import all_faults

import toolpaths

FAULTS = all_faults()
_CODE = re.compile(r'"([a-z]+(?:-[a-z]+)*)",\s+"(?:danger|damage|doubt)"')


@pytest.mark.parametrize("fault", FAULTS, ids=[f"{f.code}: {f.what}" for f in FAULTS])
def test_planted_fault_is_found_on_its_line(fault):
    report = fault.judge(fault.text)
    found = [finding for finding in report.findings if finding.code == fault.code]
    assert found, f"not found: {report}"
    if fault.line:
        assert any(fault.line in (finding.line, *finding.lines) for finding in found), str(report)
    assert all(finding.message for finding in found)
