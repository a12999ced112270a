"""What is counted of the figures of limits_named.py; the time of tracing is printed alone."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.mark.long
def test_figures_that_the_readme_names_are_no_larger(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(HERE))
    bench = runpy.run_path(str(HERE / "limits_named.py"))
    # Rows are many more in any case; more than named would be news.
    assert 5 < bench["rows_over_rings"](60, 6) <= bench["ROWS"]
    assert bench["way"](bench["ROOM"], 0.5) / bench["way"](bench["ROOM"], 0.44) <= bench["ISLANDS"]
