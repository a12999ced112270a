"""A limit of engagement costs no more length, air and short moves than the goals of limited_engagement.py."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.mark.long
@pytest.mark.parametrize("name", ["square", "circle"])
def test_a_limit_costs_little_in_a_wide_room(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(HERE))
    bench = runpy.run_path(str(HERE / "limited_engagement.py"))
    found = bench["figures"](bench["SHAPES"][name])

    # No step is wider than the limit lets, so that the length is at least that of rows so far apart.
    assert 1.0 < found.length <= bench["LENGTH"]
    assert found.air <= bench["AIR"]
    assert found.short <= bench["SHORT"]
