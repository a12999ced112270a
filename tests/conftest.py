"""What the README's command tries is a sample: a share of the examples of each property, and of a test that is marked
`sample(n)` n of its cases. `.ci/run` tries the rest, of `sample(n, long=m)` m more; what is over is tried by hand."""

from __future__ import annotations

import gc
from collections import defaultdict
from random import Random

import pytest
from hypothesis import settings

from samples import SAMPLE, WHOLE

settings.register_profile("whole", WHOLE)
settings.register_profile("sample", SAMPLE)
settings.load_profile("sample")


def pytest_collection() -> None:
    """Nothing that is collected is garbage, and looking for it takes a fifth of the time."""
    gc.disable()


def pytest_collection_finish() -> None:
    gc.enable()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The cases of a test marked `sample` are marked `long` or `by_hand` but for a few; its name says which, by lot."""
    cases: dict[str, list[pytest.Item]] = defaultdict(list)
    for item in items:
        if item.get_closest_marker("sample"):
            cases[item.nodeid.partition("[")[0]].append(item)
    for name, found in cases.items():
        mark = found[0].get_closest_marker("sample")
        (count,) = mark.args
        end = count + mark.kwargs.get("long", len(found))
        Random(name).shuffle(found)
        for item in found[count:end]:
            item.add_marker("long")
        for item in found[end:]:
            item.add_marker("by_hand")
