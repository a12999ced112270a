"""Everything public: its name, how it is called, its docstring; and the groups in which the index lists it."""

from __future__ import annotations

import inspect
import re
from typing import Any, NamedTuple

import toolpaths as tp

# "Shapes       rectangle circle": a heading begins at the margin and is parted by two blanks at least.
_HEADING = re.compile(r"^(\S(?:\S| (?! ))*)  +(.*)$")
_REST = "Named by others"
# Characters of a call that still go on one line.
_WIDE = 96


class Described(NamedTuple):
    """A name, how it is called or what it is worth, and its docstring; of a class its members too."""

    name: str
    call: str
    doc: str
    members: tuple[Described, ...] = ()


def groups() -> dict[str, list[str]]:
    """The public names as the index in the library's docstring lists them; at the end those that it does not list."""
    found: dict[str, list[str]] = {}
    heading, seen = "", set[str]()
    for line in (inspect.getdoc(tp) or "").splitlines():
        begun = _HEADING.match(line)
        if begun:
            heading, line = begun[1], begun[2]
        elif not line.startswith(" "):
            heading = ""
        if not heading:
            continue
        named = [name for name in dict.fromkeys(re.findall(r"\w+", line)) if name in tp.__all__ and name not in seen]
        seen.update(named)
        found.setdefault(heading, []).extend(named)
    rest = [name for name in tp.__all__ if name not in seen]
    return {heading: names for heading, names in {**found, _REST: rest}.items() if names}


def described(name: str) -> Described:
    """A public name."""
    thing = getattr(tp, name)
    if inspect.isclass(thing):
        return Described(name, _call(name, thing), inspect.getdoc(thing) or "", tuple(_members(name, thing)))
    if callable(thing):
        return Described(name, _call(name, thing), inspect.getdoc(thing) or "")
    return Described(name, f"{name} = {_value(thing)}", "")


def _members(name: str, thing: type) -> list[Described]:
    """Methods, properties and constants of a class that are its own or those of another class of the library."""
    found: dict[str, Described] = {}
    for owner in reversed(thing.__mro__):
        if not owner.__module__.startswith("toolpaths"):
            continue
        for key, value in vars(owner).items():
            if key.startswith("_") or not (made := _member(f"{name}.{key}", value)):
                continue
            found[key] = made
    return [found[key] for key in sorted(found)]


def _member(name: str, value: Any) -> Described | None:
    if isinstance(value, (staticmethod, classmethod)):
        return Described(
            name, _call(name, value.__func__, bound=isinstance(value, classmethod)), inspect.getdoc(value) or ""
        )
    if inspect.isfunction(value):
        return Described(name, _call(name, value, bound=True), inspect.getdoc(value) or "")
    function = value.fget if isinstance(value, property) else getattr(value, "func", None)
    if function is None or not (doc := inspect.getdoc(function)):
        return None
    return Described(name, name, doc)


def _call(name: str, thing: Any, bound: bool = False) -> str:
    try:
        signature = inspect.signature(thing)
    except ValueError:  # errors that are called as any exception is
        return f"{name}(message)"
    given = list(signature.parameters.values())[1 if bound else 0 :]
    shown = [_parameter(each) for each in given]
    for at, each in enumerate(given):
        if each.kind is each.KEYWORD_ONLY:
            if not any(other.kind is other.VAR_POSITIONAL for other in given):
                shown.insert(at, "*")
            break
    result = signature.return_annotation
    gives = "" if result in (signature.empty, None, "None") else f" -> {_annotation(result)}"
    line = f"{name}({', '.join(shown)}){gives}"
    return line if len(line) <= _WIDE else f"{name}(\n" + "".join(f"    {each},\n" for each in shown) + f"){gives}"


def _parameter(each: inspect.Parameter) -> str:
    stars = {each.VAR_POSITIONAL: "*", each.VAR_KEYWORD: "**"}.get(each.kind, "")
    kind = "" if each.annotation is each.empty else f": {_annotation(each.annotation)}"
    if each.default is each.empty:
        return f"{stars}{each.name}{kind}"
    default = _value(each.default)
    return f"{each.name}{kind} = {'made anew' if default == '<factory>' else default}"


def _annotation(said: Any) -> str:
    return said.strip("'") if isinstance(said, str) else getattr(said, "__name__", str(said))


def _value(thing: Any) -> str:
    """A value in the same words in every process: sets have no order of their own."""
    if isinstance(thing, (set, frozenset)):
        return f"{{{', '.join(sorted(map(repr, thing)))}}}"
    if isinstance(thing, dict):
        return "{\n" + "".join(f"    {key!r}: {value!r},\n" for key, value in thing.items()) + "}"
    return repr(thing)
