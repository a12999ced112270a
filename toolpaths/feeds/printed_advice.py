"""A suggestion as it is printed: each number with where it comes from and what limited it, then the notes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from toolpaths.feeds.figure import NOT_LIMITED, YOURS, Figure

CAUTION = (
    "Start low, listen, and go up from there. What the makers of cutter and machine say comes first; no cutter turns",
    "faster than is marked on it. No chart knows a dull edge, a weak hold-down or a knot.",
)


def table(title: str, figures: Mapping[str, Figure], notes: Iterable[str]) -> Iterator[str]:
    """Line by line."""
    yield title
    for name, figure in figures.items():
        text = f"{figure.value:.3f}" if name == "chip_mm" else f"{round(figure.value, 3 if figure.value < 10 else 1):g}"
        yield f"  {name:<18}{text:>7}  {figure.source}"
        if figure.limit not in (YOURS, NOT_LIMITED):
            yield f"{'':29}limited by {figure.limit}"
    yield from (f"Note: {note}" for note in notes)
    yield from CAUTION
