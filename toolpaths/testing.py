"""For users' own tests: assertions about programs that print what a reader needs when they fail."""

from __future__ import annotations

from collections.abc import Iterable

from toolpaths.cutters import Cutter
from toolpaths.fixture import Fixture
from toolpaths.simulate import Report, Stock, simulate


def assert_safe(
    text: str, fixture: Fixture, cutters: Iterable[Cutter], *, cell: float = 0.25, stock: Stock | None = None
) -> Report:
    """The report of simulate(); an AssertionError that prints it if there is any finding."""
    report = simulate(text, fixture, cutters, cell=cell, stock=stock)
    if not report.ok:
        raise AssertionError(f"The {fixture.side} program is not safe.\n{report}")
    return report
