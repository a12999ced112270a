"""Colours as files write them, each as one name: "#rrggbb"."""

from __future__ import annotations

import re

# The sixteen of HTML 4 and orange, as in CSS 2.1; other names stay as they are written.
_NAMED = {
    "black": "#000000", "silver": "#c0c0c0", "gray": "#808080", "grey": "#808080", "white": "#ffffff",
    "maroon": "#800000", "red": "#ff0000", "purple": "#800080", "fuchsia": "#ff00ff", "magenta": "#ff00ff",
    "green": "#008000", "lime": "#00ff00", "olive": "#808000", "yellow": "#ffff00", "navy": "#000080",
    "blue": "#0000ff", "teal": "#008080", "aqua": "#00ffff", "cyan": "#00ffff", "orange": "#ffa500",
}  # fmt: skip
_SHORT = re.compile(r"#([0-9a-f])([0-9a-f])([0-9a-f])")
_PARTS = re.compile(r"rgb\(\s*(\d{1,3})(%?)[\s,]+(\d{1,3})%?[\s,]+(\d{1,3})%?\s*\)")


def colour_name(written: str) -> str:
    """One name for a colour however it is written.

    >>> colour_name("Red"), colour_name("#F00"), colour_name("rgb(255, 0, 0)")
    ('#ff0000', '#ff0000', '#ff0000')
    """
    said = written.strip().lower()
    if match := _SHORT.fullmatch(said):
        return "#" + "".join(2 * digit for digit in match.groups())
    if match := _PARTS.fullmatch(said):
        share = 2.55 if match[2] else 1.0
        return "#" + "".join(f"{min(255, round(int(match[k]) * share)):02x}" for k in (1, 3, 4))
    return _NAMED.get(said, said)
