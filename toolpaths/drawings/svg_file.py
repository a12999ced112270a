"""The tree of an SVG file, read without entities and without what lies outside of it; no deeper than a drawing is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Protocol

from toolpaths.base.errors import InputError
from toolpaths.drawings.file_bytes import library

SVG = "{http://www.w3.org/2000/svg}"
# Elements in each other; drawings have a few.
DEEPEST = 100


class Element(Protocol):
    """What is used of an element of the standard library's trees."""

    tag: str
    text: str | None
    attrib: Mapping[str, str]

    def __iter__(self) -> Iterator[Element]: ...

    def iter(self) -> Iterator[Element]: ...


def svg_tree(data: bytes) -> Element:
    """The outermost element.

    Raises InputError for what is no SVG, is cut off, declares entities, or has elements too deep in each other.
    """
    reader = library("defusedxml.ElementTree")
    if data[:2] == b"\x1f\x8b":
        raise InputError("The file is compressed (svgz); unpack it first.")
    try:
        root: Element = reader.fromstring(data)
    except library("defusedxml.common").DefusedXmlException as error:
        raise InputError(
            f"The file declares entities, which are not read ({type(error).__name__}); save it as a plain SVG."
        ) from None
    except (reader.ParseError, ValueError, LookupError) as error:
        raise InputError(f"The file is no sound XML: {error}.") from None
    if local_name(root) != "svg":
        raise InputError(f"The file is no SVG: its outermost element is {local_name(root)[:40]!r}.")
    level: list[Any] = [root]
    for _ in range(DEEPEST):
        level = [child for element in level for child in element]
        if not level:
            return root
    raise InputError(f"The file has elements more than {DEEPEST} deep in each other.")


def local_name(element: Element) -> str:
    """The name of an SVG element; "" for one of another language."""
    tag = str(element.tag)
    if tag.startswith(SVG):
        return tag[len(SVG) :]
    return "" if tag.startswith("{") else tag


def attribute(element: Element, local: str) -> str:
    """An attribute of whatever namespace, by its local name; "" where there is none."""
    if local in element.attrib:
        return element.attrib[local]
    return next((value for name, value in element.attrib.items() if name.endswith(f"}}{local}")), "")
