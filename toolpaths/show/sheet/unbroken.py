"""Numbers that no line ends in: one whose minus stays behind on the line above reads as another number."""

from __future__ import annotations

import re

from toolpaths.show.markup import Markup, tag

# Drawings, which have no lines to break, and tags; what is left is text.
_NO_TEXT = re.compile(r"(<svg.*?</svg>|<[^>]*>)", re.DOTALL)
# With the letter of its axis and the marks about it; "X-r" where a radius is meant.
_MINUS = re.compile(r"(?<![\w;&-])\(?[XYZ]?-(?:\d[\d.]*|r\b)[.,;:)]*")


def unbroken(page: Markup) -> Markup:
    """The same, each number with a minus kept on one line.

    >>> unbroken(tag("p", "enter Z-0.5. "))
    '<p>enter <span class="number">Z-0.5.</span> </p>'
    """
    parts = _NO_TEXT.split(page)
    parts[::2] = [_MINUS.sub(lambda found: tag("span", Markup(found[0]), class_="number"), part) for part in parts[::2]]
    return Markup("".join(parts))
