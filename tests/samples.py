"""How many examples of a property are tried: a sample with the README's command, all of them in `.ci/run`."""

from __future__ import annotations

from hypothesis import settings


def examples(whole: int) -> settings:
    """Set how many examples a property needs in the whole run; the sample takes the same share of all properties."""
    share = settings.default.max_examples / settings.get_profile("whole").max_examples
    return settings(max_examples=max(5, round(whole * share)))
