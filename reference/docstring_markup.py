"""A docstring as markup: paragraphs, what each argument means, examples."""

from __future__ import annotations

import re
from collections.abc import Iterator
from textwrap import dedent

from toolpaths.show.markup import Markup, joined, tag

# "depth, width : mm, of the pocket"; what goes on in the next line stands further in.
_MEANT = re.compile(r"^([\w*., ]+?) : (.*)$")


def docstring_markup(doc: str) -> Markup:
    """A docstring, cleaned of its margin, as markup."""
    return joined(_shown(block) for block in _blocks(doc))


def _blocks(doc: str) -> Iterator[list[str]]:
    """Lines that belong together: an example, or what stands between empty lines."""
    block: list[str] = []
    for line in doc.splitlines():
        begins_example = line.startswith(">>> ") and block and not block[0].startswith(">>> ")
        if block and (not line.strip() or begins_example):
            yield block
            block = []
        if line.strip():
            block.append(line.rstrip())
    if block:
        yield block


def _shown(block: list[str]) -> Markup:
    if block[0].startswith(">>> ") or all(line.startswith(" ") for line in block):
        return tag("pre", dedent("\n".join(block)), class_="example")
    if _MEANT.match(block[0]):
        return _meanings(block)
    at = next((number for number, line in enumerate(block) if _MEANT.match(line)), len(block))
    words = tag("p", " ".join(line.strip() for line in block[:at]))
    return joined([words, _meanings(block[at:]) if at < len(block) else None])


def _meanings(lines: list[str]) -> Markup:
    rows: list[tuple[str, list[str]]] = []
    for line in lines:
        meant = None if line.startswith(" ") else _MEANT.match(line)
        if meant:
            rows.append((meant[1], [meant[2]]))
        else:
            rows[-1][1].append(line.strip())
    return tag("dl", ([tag("dt", names), tag("dd", " ".join(said))] for names, said in rows))
