"""The benchmark of outlines runs, and its outlines are what they say."""

from __future__ import annotations

import pytest
from outline_speed import KINDS, bare, main, plan


@pytest.mark.parametrize("kind", KINDS)
def test_outlines_are_planned_and_offset(kind: str) -> None:
    shape = KINDS[kind](120)
    assert shape.is_valid and len(shape.exterior.coords) == 121
    bare(shape)
    assert plan(shape).steps


def test_it_says_goal_and_figure(capsys: pytest.CaptureFixture[str]) -> None:
    main(100)
    assert capsys.readouterr().out.count("bare offsets") == len(KINDS)
