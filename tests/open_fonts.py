"""Fonts under an open licence for the tests: those that a wheel of the test extra carries, found without loading it."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

_found = find_spec("matplotlib")
assert _found is not None
assert _found.origin is not None
DEJAVU_SANS = Path(_found.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
