"""What the README's command tries is a sample: a share of the examples of each property, and of a test that is marked
`sample(n)` n of its cases. `.ci/run` tries the rest."""

from __future__ import annotations

from collections import defaultdict
from random import Random

import pytest
from hypothesis import settings

from samples import SAMPLE, WHOLE

settings.register_profile("whole", WHOLE)
settings.register_profile("sample", SAMPLE)
settings.load_profile("sample")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The cases of a test marked `sample` are marked `long` but for a few; its name says which, by lot."""
    cases: dict[str, list[pytest.Item]] = defaultdict(list)
    for item in items:
        if item.get_closest_marker("sample"):
            cases[item.nodeid.partition("[")[0]].append(item)
    for name, found in cases.items():
        (count,) = found[0].get_closest_marker("sample").args
        Random(name).shuffle(found)
        for item in found[count:]:
            item.add_marker("long")
