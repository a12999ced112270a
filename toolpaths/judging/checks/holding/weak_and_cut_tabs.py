"""The checks of what becomes of tabs: cut away later, too thin or too narrow; and a note of those that stand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.holding.standing_tabs import THINNEST, Tab, earlier_tabs, every_tab
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.trial.standing_tab import StandingTab

# Share of the board below which a tab is too thin, and mm below which it is too narrow (common practice, no source:
# tabs are 6 to 12 mm wide and 1.5 to 3 mm, or 15 to 25 % of the board, thick).
_THINNEST_SHARE, _NARROWEST = 0.15, 2.0


def tabs_hold(trial: Trial) -> Iterator[Finding | str | StandingTab]:
    """A tab that this program leaves, or an earlier one of its side, is cut away later, or is too thin or too narrow to
    hold; and those of this one that stand, as a note and each as a value."""
    found = every_tab(trial)
    yield from _lost(trial.case, trial.case, found, "the program leaves on line")
    for then, cut in earlier_tabs(trial):
        yield from _lost(trial.case, then, cut, "an earlier program of this side leaves on its line")
    stand = [tab for tab in found if tab.stands]
    yield from _counted(stand)
    for tab, place in zip(stand, _places(trial.case, stand).tolist() if stand else (), strict=True):
        yield StandingTab(place[0], place[1], tab.width, tab.thickness)


def _lost(case: Case, then: Case, found: list[Tab], left_by: str) -> Iterator[Finding]:
    """Those of the tabs that one program leaves which this one, or the same, cuts away or leaves weak."""
    removed: dict[int, list[Tab]] = defaultdict(list)
    weak: dict[tuple[int, bool, bool], list[Tab]] = defaultdict(list)
    thinnest = min(THINNEST, _THINNEST_SHARE * -case.fixture.underside_z)
    for tab in found:
        by = tab.gap.tool if tab.cut_by < 0 else int(case.moves.tool[tab.cut_by])
        if tab.cut_by >= 0 and not tab.stands:
            removed[by].append(tab)
        elif tab.thickness < thinnest - ROUNDING and tab.width > 0:
            weak[by, True, tab.cut_by >= 0].append(tab)
        elif tab.width < _NARROWEST - ROUNDING:
            weak[by, False, tab.cut_by >= 0].append(tab)
    for tool, some in removed.items():
        some.sort(key=lambda tab: tab.cut_by)
        yield folded(
            "tab-cut", "danger", case.moves.line[[tab.cut_by for tab in some]], _places(case, some),
            np.zeros(len(some)), some[0].left,
            f"{case.cutters[tool]} cuts away a tab that {left_by} {_lines(then, some)}; "
            f"nothing is left of {some[0].left:.2f} mm.",
        )  # fmt: skip
    for (tool, thin, later), some in weak.items():
        sizes = np.array([tab.thickness if thin else tab.width for tab in some])
        limit = thinnest if thin else _NARROWEST
        words = f"a tab is only {{amount}} mm {'thick' if thin else 'wide'}; less than {limit:g} mm does not hold"
        if sizes.min() <= 0:
            words = f"{case.cutters[tool]} rises for a tab and leaves none; what is left is {{amount}} mm wide"
        why = (
            f"{case.cutters[tool]} cuts into what {left_by} {_lines(then, some)}, "
            f"{some[0].left_width:.1f} mm wide and {some[0].left:.2f} mm thick."
            if later
            else f"A cutter leaves its own diameter, {case.cutters[tool].diameter:g} mm, less than the length over "
            "which it is raised."
        )
        lines = case.moves.line[[tab.cut_by if later else tab.gap.rise for tab in some]]
        yield folded("weak-tab", "damage", lines, _places(case, some), sizes, limit, f"{words}. {why}")


def _places(case: Case, some: list[Tab]) -> Floats:
    low = case.fixture.underside_z
    return case.work(np.array([[*tab.middle, low] for tab in some]))


def _lines(case: Case, some: list[Tab]) -> str:
    lines = sorted({int(case.moves.line[tab.gap.rise]) for tab in some})
    return ", ".join(str(line) for line in lines[:6]) + (" and others" if len(lines) > 6 else "")


def _counted(tabs: list[Tab]) -> Iterator[str]:
    """All the tabs that stand in a line: how many, how wide, how thick; nothing where there is none."""
    if tabs:
        number = f"{len(tabs)} tab{'s stand' if len(tabs) > 1 else ' stands'}"
        widths, heights = _from_to([tab.width for tab in tabs]), _from_to([tab.thickness for tab in tabs])
        yield f"{number}, {widths} mm wide and {heights} mm thick."


def _from_to(sizes: list[float]) -> str:
    # As fine as sizes in inches are read: 5/16 inch is 7.9375 mm.
    low, high = f"{round(min(sizes), 3):g}", f"{round(max(sizes), 3):g}"
    return low if low == high else f"{low} to {high}"
