"""The figures of hollows that the benchmark prints hold."""

from __future__ import annotations

import pytest
from hollows import figures


@pytest.mark.long
@pytest.mark.parametrize(("diameter", "depth"), [(100, 10), (150, 20)])
def test_a_dish_is_what_the_formulas_say(diameter: float, depth: float) -> None:
    assert figures(diameter, depth).met
