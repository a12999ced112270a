"""The transform attribute of SVG: a list of maps, the leftmost done last."""

from __future__ import annotations

import re
from collections.abc import Callable

from toolpaths.base.errors import InputError
from toolpaths.drawings.affine import Affine, moved, scaled, sheared, turned_by
from toolpaths.drawings.svg_units import numbers

_ONE = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)\s*", re.IGNORECASE)
_PX_OR_DEG = re.compile(r"(?<=[0-9])(px|deg)\b")


def _turned_about(angle: float, x: float = 0.0, y: float = 0.0) -> Affine:
    return moved(x, y).after(turned_by(angle)).after(moved(-x, -y))


# How many numbers each takes, and what it does.
_MAPS: dict[str, tuple[tuple[int, ...], Callable[..., Affine]]] = {
    "matrix": ((6,), Affine),
    "translate": ((1, 2), lambda x, y=0.0: moved(x, y)),
    "scale": ((1, 2), lambda x, y=None: scaled(x, x if y is None else y)),
    "rotate": ((1, 3), _turned_about),
    "skewx": ((1,), lambda angle: sheared(angle, 0.0)),
    "skewy": ((1,), lambda angle: sheared(0.0, angle)),
}


def transform(written: str) -> Affine:
    """The map that a transform attribute says.

    >>> transform("translate(10,0) scale(2)").of((1, 0)), transform("scale(2) translate(10,0)").of((1, 0))
    ((12.0, 0.0), (22.0, 0.0))

    Raises InputError for what is no list of transforms.
    """
    whole, at = Affine(), 0
    if written.strip() in ("", "none"):
        return whole
    while at < len(written):
        match = _ONE.match(written, at)
        if match is None:
            raise InputError(f"transform={written[:60]!r} is wrong at {written[at : at + 20]!r}.")
        counts, made = _MAPS[match[1].lower()]
        found = numbers("transform", _PX_OR_DEG.sub("", match[2]))
        if len(found) not in counts:
            raise InputError(f"transform={match[0].strip()[:60]!r} needs {' or '.join(map(str, counts))} numbers.")
        whole = whole.after(made(*found))
        at = match.end()
    return whole
