"""What styles say of an element: attributes, rules of a <style> by name, class and id, and its own style; inherited.

Of CSS only what decides whether and how a thing is drawn is taken, and only plain selectors; others are said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

# What decides whether a thing is drawn, how it is filled and in which colour. Initial values of SVG 2.
INITIAL = {
    "display": "inline", "visibility": "visible", "fill": "black", "stroke": "none", "fill-rule": "nonzero",
    "color": "black", "transform": "", "clip-path": "none", "mask": "none",
}  # fmt: skip
_INHERITED = ("visibility", "fill", "stroke", "fill-rule", "color")
# Of geometry that SVG 2 lets styles say; it would be in another place.
GEOMETRY = frozenset({"x", "y", "cx", "cy", "r", "rx", "ry", "width", "height", "d", "transform-origin", "rotate",
                      "scale", "translate", "zoom"})  # fmt: skip
# Each goes through a sheet once, however hostile: none begins again where it failed. An open comment goes to the end.
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)|<!--|-->", re.S)
_AT_RULE = re.compile(r"@[^@;{]*(?:;|\{(?:[^{}]|\{[^{}]*\})*\})")
_RULE = re.compile(r"(?<![^{}])([^{}]*)\{([^{}]*)\}")
_PLAIN = re.compile(r"(\*|[A-Za-z_][\w-]*)?((?:[.#][A-Za-z_][\w-]*)*)")
_PART = re.compile(r"([.#])([\w-]+)")


@dataclass(frozen=True)
class Rule:
    """Declarations for elements of a name ("" for all), with classes and an id ("" for any)."""

    element: str
    classes: frozenset[str]
    id: str
    said: Mapping[str, str]

    @property
    def weight(self) -> tuple[int, int, int]:
        """Of two rules the heavier one counts."""
        return bool(self.id), len(self.classes), bool(self.element)

    def fits(self, element: str, classes: frozenset[str], id_: str) -> bool:
        return self.element in ("", element) and self.classes <= classes and self.id in ("", id_)


def rules(sheet: str) -> tuple[list[Rule], list[str]]:
    """The rules of a <style>, the lighter ones first; and the selectors that are not read."""
    found, unread = list[Rule](), list[str]()
    sheet = _COMMENT.sub("", sheet).replace("<![CDATA[", "").replace("]]>", "")
    unread += [match[0].split("{")[0].strip() for match in _AT_RULE.finditer(sheet)]
    sheet = _AT_RULE.sub("", sheet)
    for match in _RULE.finditer(sheet):
        said = declarations(match[2])
        for selector in match[1].split(","):
            plain = _PLAIN.fullmatch(selector.strip())
            ids = [name for mark, name in _PART.findall(plain[2]) if mark == "#"] if plain else []
            if plain is None or not selector.strip() or len(ids) > 1:
                unread.append(selector.strip())
                continue
            classes = frozenset(name for mark, name in _PART.findall(plain[2]) if mark == ".")
            element = "" if plain[1] in (None, "*") else plain[1]
            found.append(Rule(element, classes, ids[0] if ids else "", said))
    return sorted(found, key=lambda rule: rule.weight), unread


def declarations(written: str) -> dict[str, str]:
    """What "name: value; ..." says. What is marked important comes under its name with a "!" before it."""
    found = {}
    for each in _COMMENT.sub("", written).split(";"):
        name, colon, value = each.partition(":")
        if not colon:
            continue
        value, mark, _ = value.partition("!")
        found[("!" if mark else "") + name.strip().lower()] = value.strip()
    return found


@dataclass(frozen=True)
class Style:
    """What holds for an element.

    said : what its attributes, the rules and its own style say, by property
    """

    said: Mapping[str, str]

    def __getitem__(self, name: str) -> str:
        return self.said.get(name, INITIAL[name])

    def colour(self, name: str) -> str:
        """Of fill or stroke; "" where there is none."""
        value = self[name]
        if value.lower() == "currentcolor":
            value = self["color"]
        return "" if value.lower() in ("none", "transparent") else value


def style_of(element: str, attributes: Mapping[str, str], parent: Style | None, sheet: Iterable[Rule]) -> Style:
    """The style of an element: its attributes weigh least, then rules, its own style, what is important."""
    own = declarations(attributes.get("style", ""))
    classes = frozenset(attributes.get("class", "").split())
    fitting = [rule.said for rule in sheet if rule.fits(element, classes, attributes.get("id", ""))]
    layers: list[Mapping[str, str]] = [{name: attributes[name].strip() for name in INITIAL if name in attributes}]
    layers += [*fitting, own]
    layers += [{name[1:]: value for name, value in each.items() if name.startswith("!")} for each in layers]
    inherited = {} if parent is None else {name: parent.said[name] for name in _INHERITED if name in parent.said}
    said = dict(inherited)
    for layer in layers:
        for name, value in layer.items():
            if value == "inherit":
                if parent is not None and name in parent.said:
                    said[name] = parent.said[name]
            elif not name.startswith("!"):
                said[name] = value
    return Style(said)
