"""How many examples of a property are tried: a sample with the README's command, all of them in `.ci/run`.

No time limit on a single example, since test machines are noisy, and the same examples every time, so that a change is
judged by what it changes.
"""

from __future__ import annotations

from hypothesis import settings

WHOLE = settings(deadline=None, max_examples=50, derandomize=True, database=None)
SAMPLE = settings(WHOLE, max_examples=3)


def examples(whole: int) -> settings:
    """Set how many examples a property needs in the whole run; the sample takes the same share of all properties."""
    return settings(max_examples=max(2, round(whole * settings.default.max_examples / WHOLE.max_examples)))
