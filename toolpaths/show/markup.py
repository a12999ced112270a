"""Text for HTML and SVG in which nothing that a user wrote can be taken for a tag."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import Union


class Markup(str):
    """Text that is markup already; every other text is escaped where it is put in."""

    __slots__ = ()


Content = Union[str, float, "Markup", Iterable["Content"], None]

# Elements that hold nothing and have no end tag.
_EMPTY = frozenset({"br", "hr", "img", "input", "meta"})


def tag(name: str, *contents: Content, **attributes: str | float | bool | None) -> Markup:
    """An element.

    contents : texts, which are escaped; markup, which is not; numbers; None for nothing; and rows of such
    attributes : `_` in a name stands for `-`, one at its end for nothing (class_, for_); True for an attribute
        without a value, None and False for none

    >>> tag("p", "1 < 2", class_="sum")
    '<p class="sum">1 &lt; 2</p>'
    """
    said = "".join(_attribute(key, value) for key, value in attributes.items())
    if name in _EMPTY:
        return Markup(f"<{name}{said}>")
    return Markup(f"<{name}{said}>{joined(contents)}</{name}>")


def joined(contents: Content) -> Markup:
    """Contents one after the other; see tag().

    >>> joined(["a & b", tag("br"), 3])
    'a &amp; b<br>3'
    """
    if contents is None:
        return Markup("")
    if isinstance(contents, Markup):
        return contents
    if isinstance(contents, str):
        return Markup(escape(contents))
    if isinstance(contents, (int, float)):
        return Markup(f"{contents:g}")
    return Markup("".join(joined(each) for each in contents))


def plain_ascii(markup: Markup) -> str:
    """The same in ASCII: characters beyond it as references, which read alike whatever coding a reader assumes.

    >>> plain_ascii(joined("5 °"))
    '5 &#176;'
    """
    return markup.encode("ascii", "xmlcharrefreplace").decode("ascii")


def _attribute(key: str, value: str | float | bool | None) -> str:
    name = key.rstrip("_").replace("_", "-")
    if value is None or value is False:
        return ""
    if value is True:
        return f" {name}"
    said = value if isinstance(value, str) else f"{value:g}"
    return f' {name}="{escape(said)}"'
