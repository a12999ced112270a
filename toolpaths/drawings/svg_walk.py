"""The things that an SVG draws, in the units of its outermost element: groups, reuse and nested views walked out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from toolpaths.base.errors import InputError, Point
from toolpaths.drawings.affine import Affine, moved
from toolpaths.drawings.assemble import Thing
from toolpaths.drawings.drawing_colours import colour_name
from toolpaths.drawings.svg_file import DEEPEST, Element, attribute, local_name
from toolpaths.drawings.svg_shapes import SHAPES, NothingDrawn, px, shape_of
from toolpaths.drawings.svg_style import GEOMETRY, Rule, Style, rules, style_of
from toolpaths.drawings.svg_transform import transform
from toolpaths.drawings.svg_units import Viewport, fitted_view, view_box

# Elements drawn, each as often as it is used: more are a file that was made to choke its reader.
MOST_THINGS = 250_000
_GROUPS = ("g", "a", "svg", "switch", "use")
# What has no outline of its own here.
_NO_OUTLINE = {
    "text": "is text, which has no outline; turn it into paths",
    "image": "is a picture, which has no outline",
    "foreignObject": "is of another language and is left out",
}
# What SVG does not draw where it stands.
_NOT_DRAWN = frozenset({
    "defs", "symbol", "clipPath", "mask", "marker", "pattern", "title", "desc", "metadata", "style", "script",
    "linearGradient", "radialGradient", "meshgradient", "hatch", "solidcolor", "filter", "view", "cursor", "font",
    "font-face", "color-profile", "animate", "animateMotion", "animateTransform", "set", "",
})  # fmt: skip


@dataclass(frozen=True)
class _Here:
    """What holds where an element stands."""

    matrix: Affine
    viewport: Viewport
    style: Style | None = None
    names: tuple[str, ...] = ()
    layer: str = ""
    on_layer: bool = False
    depth: int = 0
    hidden: bool = False


@dataclass
class SvgWalk:
    """Gathers what an SVG draws.

    things : what is drawn; hidden, notes : see Drawing
    """

    root: Element
    things: list[Thing] = field(default_factory=list)
    hidden: list[tuple[str, Thing | None]] = field(default_factory=list)
    notes: list[tuple[str, Point | None]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.by_id: dict[str, Element] = {}
        sheet, self.rules = "", list[Rule]()
        for element in self.root.iter():
            if id_ := element.attrib.get("id", ""):
                self.by_id.setdefault(id_, element)
            if local_name(element) == "style":
                sheet += (element.text or "") + "\n"
        self.rules, unread = rules(sheet)
        for selector in dict.fromkeys(unread):
            self.notes.append((f"the style rule {selector[:60]!r} is not read", None))
        self._counts: dict[int, int | None] = {}
        if self._count(self.root, 0) > MOST_THINGS:
            raise InputError(f"The file draws more than {MOST_THINGS} things, each counted as often as it is used.")

    def draw(self, matrix: Affine, viewport: Viewport) -> None:
        """All that the outermost element draws.

        matrix, viewport : of its content
        """
        here = _Here(matrix, viewport, style_of("svg", self.root.attrib, None, self.rules))
        here = self._in(self.root, here, names=False)
        if self.root.attrib.get("display") == "none":
            here = replace(here, hidden=True)
        for child in self.root:
            self._element(child, here)

    # Counting, before anything is drawn.

    def _count(self, element: Element, depth: int) -> int:
        """Things that an element comes to where it is drawn."""
        key = id(element)
        if key in self._counts:
            found = self._counts[key]
            if found is None:
                raise InputError(f"{_called(element)} is used within itself, round and round.")
            return found
        if depth > 3 * DEEPEST:
            raise InputError("The file uses things that use others, too deep in each other.")
        self._counts[key] = None
        name = local_name(element)
        total = 1
        if name == "use":
            target = self._target(element)
            total += 0 if target is None else self._count(target, depth + 1)
        elif name in _GROUPS or name == "symbol":
            total += sum(self._count(child, depth + 1) for child in element if local_name(child) not in _NOT_DRAWN)
        self._counts[key] = total
        return total

    def _target(self, use: Element) -> Element | None:
        reference = attribute(use, "href").strip()
        return self.by_id.get(reference[1:]) if reference.startswith("#") else None

    # Drawing.

    def _element(self, element: Element, here: _Here) -> None:
        name = local_name(element)
        if name in _NOT_DRAWN:
            return
        if here.depth > 3 * DEEPEST:
            raise InputError("The file has things too deep in each other.")
        style = style_of(name, element.attrib, here.style, self.rules)
        matrix = here.matrix.after(transform(style["transform"] if style["transform"] else ""))
        here = self._in(element, replace(here, style=style, matrix=matrix, depth=here.depth + 1))
        self._doubts(element, style, here)
        if style["display"] == "none" and not here.hidden:
            self._hide(element, here, "display is none")
        elif name in SHAPES:
            self._shape(element, name, here)
        elif name in ("g", "a"):
            self._children(element, here)
        elif name == "switch":
            chosen = next((child for child in element if _is_chosen(child)), None)
            if chosen is not None:
                self._element(chosen, here)
        elif name == "svg":
            self._view(element, element.attrib, here)
        elif name == "use":
            self._use(element, here)
        elif name in _NO_OUTLINE:
            place = here.matrix.of((_number(element, "x", here), _number(element, "y", here)))
            if here.hidden or style["visibility"] != "visible":
                self.hidden.append((f"{_called(element)} {_NO_OUTLINE[name]}", None))
            else:
                self.notes.append((f"{_called(element)} {_NO_OUTLINE[name]}", place))
        else:
            self.notes.append((f"{_called(element)} is not known and is left out", here.matrix.of((0.0, 0.0))))

    def _in(self, element: Element, here: _Here, names: bool = True) -> _Here:
        """Names and layer of what stands in an element."""
        own = tuple(filter(None, (element.attrib.get("id", ""), attribute(element, "label"))))
        layer, on_layer = here.layer, here.on_layer
        if attribute(element, "groupmode") == "layer":
            layer, on_layer = attribute(element, "label") or element.attrib.get("id", ""), True
        elif local_name(element) == "g" and own and not on_layer:
            layer = own[0]
        if names:
            # A shape that is used keeps its own name first, then that of the use.
            here = replace(here, names=tuple(dict.fromkeys((*own, *here.names))))
        return replace(here, layer=layer, on_layer=on_layer)

    def _doubts(self, element: Element, style: Style, here: _Here) -> None:
        for name in ("clip-path", "mask"):
            if style[name] not in ("none", ""):
                self.notes.append((f"{_called(element)} is drawn whole: its {name} is not read", None))
        geometry = sorted(GEOMETRY & style.said.keys())
        if geometry:
            self.notes.append((f"{_called(element)} has {geometry[0]} in its style, which is not read", None))
        if "transform-origin" in element.attrib:
            raise InputError(f"{_called(element)} has a transform-origin, which is not read; it would be misplaced.")

    def _children(self, element: Element, here: _Here) -> None:
        for child in element:
            self._element(child, here)

    def _hide(self, element: Element, here: _Here, why: str) -> None:
        """Says that an element is there, and where, but does not draw it."""
        inner = replace_walk(self)
        try:
            inner._element(element, replace(here, hidden=True, matrix=here.matrix))
        except InputError:
            inner.hidden = []
        things = [thing for _, thing in inner.hidden if thing is not None]
        count = f", {len(things)} things" if len(things) > 1 else ""
        layer = f" on layer {here.layer!r}" if here.layer else ""
        self.hidden.append((f"{_called(element)}{layer}{count}: {why}", things[0] if things else None))

    def _shape(self, element: Element, name: str, here: _Here) -> None:
        style = here.style or Style({})
        try:
            found = shape_of(name, element.attrib, here.viewport)
        except NothingDrawn as why:
            self.notes.append((f"{_called(element)} is not drawn: {why}", None))
            return
        except InputError as error:
            raise InputError(f"{_called(element)}: {error}") from None
        fill = "" if name == "line" else style.colour("fill")
        thing = Thing(
            tuple(subpath.mapped(here.matrix) for subpath in found),
            here.names,
            here.layer,
            colour_name(style.colour("stroke") or fill),
            "evenodd" if style["fill-rule"] == "evenodd" else "nonzero",
            bool(fill),
        )
        if here.hidden:
            self.hidden.append((_called(element), thing))
        elif style["visibility"] != "visible":
            layer = f" on layer {here.layer!r}" if here.layer else ""
            self.hidden.append((f"{_called(element)}{layer}: visibility is {style['visibility']}", thing))
        else:
            self.things.append(thing)
            if not thing.colour:
                self.notes.append((f"{_called(element)} is neither filled nor stroked, and is taken", None))

    def _view(self, element: Element, said: Iterable[str] | object, here: _Here) -> None:
        """The content of a nested svg or a symbol in its own rectangle."""
        attributes = dict(element.attrib)
        if isinstance(said, dict):
            attributes |= said
        x, y = px(attributes, "x", here.viewport), px(attributes, "y", here.viewport)
        width, height = (px(attributes, name, here.viewport, "100%") for name in ("width", "height"))
        if width <= 0 or height <= 0:
            self.notes.append((f"{_called(element)} is not drawn: its view has no size", None))
            return
        inner = replace(here, viewport=Viewport(width, height), matrix=here.matrix.after(moved(x, y)))
        if "viewBox" in attributes:
            box = view_box(attributes["viewBox"])
            if box is None:
                self.notes.append((f"{_called(element)} is not drawn: its viewBox has no size", None))
                return
            how = attributes.get("preserveAspectRatio", "")
            matrix = here.matrix.after(fitted_view(box, x, y, width, height, how))
            inner = replace(here, viewport=Viewport(box.width, box.height), matrix=matrix)
        self._children(element, inner)

    def _use(self, element: Element, here: _Here) -> None:
        target = self._target(element)
        if target is None:
            reference = attribute(element, "href")[:60]
            self.notes.append((f"{_called(element)} is left out: it refers to {reference!r}, not in the file", None))
            return
        place = (_number(element, "x", here), _number(element, "y", here))
        inner = replace(here, matrix=here.matrix.after(moved(*place)))
        if local_name(target) not in ("symbol", "svg"):
            self._element(target, inner)
            return
        style = style_of(local_name(target), target.attrib, here.style, self.rules)
        inner = self._in(target, replace(inner, style=style, depth=here.depth + 1))
        inner = replace(inner, matrix=inner.matrix.after(transform(style["transform"])))
        sizes = {name: element.attrib[name] for name in ("width", "height") if name in element.attrib}
        if local_name(target) == "symbol":
            sizes = {"x": target.attrib.get("x", "0"), "y": target.attrib.get("y", "0"), **sizes}
        self._view(target, sizes, inner)


def replace_walk(walk: SvgWalk) -> SvgWalk:
    """Another walk over the same file that has gathered nothing."""
    other = object.__new__(SvgWalk)
    other.__dict__.update(walk.__dict__)
    other.things, other.hidden, other.notes = [], [], []
    return other


def _number(element: Element, name: str, here: _Here) -> float:
    written = element.attrib.get(name, "0").replace(",", " ").split()
    return px({name: written[0] if written else "0"}, name, here.viewport)


def _called(element: Element) -> str:
    name, id_ = local_name(element) or "an element", element.attrib.get("id", "")
    return f"{name} {id_[:60]!r}" if id_ else f"a {name}"


def _is_chosen(element: Element) -> bool:
    """Whether a switch draws it: what it needs beyond SVG is not there, and of languages none is preferred."""
    needs = element.attrib.get("requiredExtensions", "") + element.attrib.get("systemLanguage", "")
    return local_name(element) not in _NOT_DRAWN and not needs.strip()
