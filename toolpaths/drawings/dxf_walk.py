"""The things that the model space of a DXF draws: blocks inserted, also in rows, layers and colours inherited."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from toolpaths.base.errors import InputError, Point
from toolpaths.drawings.affine import Affine
from toolpaths.drawings.assemble import Thing
from toolpaths.drawings.drawing_curve import Note
from toolpaths.drawings.dxf_curves import Tilted, curve_of_entity
from toolpaths.drawings.file_bytes import library
from toolpaths.drawings.svg_walk import MOST_THINGS

# Blocks in each other.
_DEEPEST = 60
_BY_BLOCK, _BY_LAYER = 0, 256
# A direction whose Z is less than this lies flat.
_FLAT = 1e-9
# Units above which a height is said.
_HIGH = 1e-6


@dataclass(frozen=True)
class _Here:
    """What holds where a block is inserted: its map (None in the world itself), names, and what is inherited."""

    matrix: Any = None
    names: tuple[str, ...] = ()
    layer: str = "0"
    colour: str = ""
    hidden: str = ""
    depth: int = 0


@dataclass
class DxfWalk:
    """Gathers what a DXF draws, in its own units; see SvgWalk."""

    document: Any
    things: list[Thing] = field(default_factory=list)
    hidden: list[tuple[str, Thing | None]] = field(default_factory=list)
    notes: list[tuple[str, Point | None]] = field(default_factory=list)

    def draw(self) -> None:
        """All of the model space, counted first."""
        self._counts: dict[str, int | None] = {}
        self._others: dict[tuple[str, str], list[Point | None]] = {}
        self._vector = library("ezdxf.math").Vec3
        self._colours = library("ezdxf.colors")
        space = self.document.modelspace()
        if self._count(space, 0) > MOST_THINGS:
            raise InputError(f"The file draws more than {MOST_THINGS} things, those in blocks as often as inserted.")
        for entity in space:
            self._entity(entity, _Here())
        for (kind, layer), places in self._others.items():
            many = f"{len(places)} of them, the first" if len(places) > 1 else "it"
            self.notes.append((f"{kind} on layer {layer!r} has no outline and is left out: {many}", places[0]))
        on_paper = sum(len(layout) for layout in self.document.layouts if not layout.is_modelspace)
        on_paper -= sum(len(layout.query("VIEWPORT")) for layout in self.document.layouts if not layout.is_modelspace)
        if on_paper > 0:
            self.notes.append((f"{on_paper} things on paper layouts are no part of the model and are left out", None))

    def _count(self, block: Any, depth: int) -> int:
        if depth > _DEEPEST:
            raise InputError(f"The file has blocks more than {_DEEPEST} deep in each other.")
        total = 0
        for entity in block:
            total += 1
            if entity.dxftype() != "INSERT":
                continue
            name = entity.dxf.name
            key = name.lower()
            if key not in self._counts:
                self._counts[key] = None
                self._counts[key] = self._count(self._block(name), depth + 1)
            within = self._counts[key]
            if within is None:
                raise InputError(f"Block {name[:60]!r} is inserted within itself, round and round.")
            total += _cell_count(entity) * within
            if total > MOST_THINGS:
                return total
        return total

    def _block(self, name: str) -> Any:
        block = self.document.blocks.get(name)
        if block is None:
            raise InputError(f"Block {name[:60]!r} is inserted and is not in the file.")
        if block.block is not None and block.block.is_xref:
            raise InputError(f"Block {name[:60]!r} stands in another file, which is not read; bind it.")
        return block

    def _entity(self, entity: Any, here: _Here) -> None:
        kind = entity.dxftype()
        own = str(entity.dxf.get("layer", "0"))
        layer = here.layer if own == "0" else own
        hidden = here.hidden or self._why_hidden(entity, layer)
        colour = self._colour(entity, layer, here)
        if kind == "INSERT":
            self._insert(
                entity, replace(here, layer=layer, colour=colour, hidden=self._block_hidden(here, layer, entity))
            )
            return
        try:
            found = curve_of_entity(entity)
            if found is None:
                if hidden:
                    self.hidden.append((f"{kind} on layer {layer!r}: {hidden}", None))
                else:
                    self._others.setdefault((kind, layer), []).append(self._place(entity, here))
                return
            by = self._flat_map(entity, here, found.height, found.in_object)
        except Tilted:
            self.notes.append((f"{kind} on layer {layer!r} does not lie flat and is left out", None))
            return
        except InputError as error:
            raise InputError(f"{kind} on layer {layer!r}: {error}.") from None
        if not found.subpath.segments:
            self.notes.append((f"{kind} on layer {layer!r} has no vertex and is left out", None))
            return
        names = tuple(filter(None, (str(entity.dxf.get("handle", "") or ""), *here.names)))
        thing = Thing((found.subpath.mapped(by) if by != Affine() else found.subpath,), names, layer, colour)
        if hidden:
            self.hidden.append((f"{kind} on layer {layer!r}: {hidden}", thing))
            return
        self.things.append(thing)
        if found.doubt:
            self.notes.append((f"{kind} on layer {layer!r} {found.doubt}", None))

    def _flat_map(self, entity: Any, here: _Here, height: float, in_object: bool) -> Affine:
        """The map from an entity's coordinates to those of the world, seen from above."""
        matrix = here.matrix
        if in_object and entity.dxf.hasattr("extrusion") and entity.dxf.extrusion.xyz != (0.0, 0.0, 1.0):
            ocs = entity.ocs().matrix
            matrix = ocs if matrix is None else ocs * matrix
        if matrix is None:
            if abs(height) > _HIGH:
                self._high(height)
            return Affine()
        (a, b, up_x, _), (c, d, up_y, _), (over, under, up_z, _), (e, f, z, _) = (matrix.get_row(k) for k in range(4))
        if abs(up_x) > _FLAT or abs(up_y) > _FLAT:
            raise Tilted
        if abs(height * up_z + z) > _HIGH:
            self._high(height * up_z + z)
        return Affine(a, b, c, d, e + height * over, f + height * under)

    def _high(self, height: float) -> None:
        said = ("some of the drawing lies at another height than 0; all of it is taken flat", None)
        if said not in self.notes:
            self.notes.append(said)

    def _insert(self, entity: Any, here: _Here) -> None:
        block = self._block(entity.dxf.name)
        matrix = entity.matrix44()
        names = (str(entity.dxf.name), *here.names)
        if here.depth > _DEEPEST:
            raise InputError(f"The file has blocks more than {_DEEPEST} deep in each other.")
        origin = self._vector(matrix.get_row(3)[:3])
        for across, up in _cells(entity):
            cell = matrix.copy()
            offset = entity.ocs().to_wcs(self._vector(across, up, 0).rotate_deg(entity.dxf.rotation))
            cell.set_row(3, (origin + offset).xyz)
            whole = cell if here.matrix is None else cell * here.matrix
            inner = replace(here, matrix=whole, names=names, depth=here.depth + 1)
            for each in block:
                self._entity(each, inner)
        for each in entity.attribs:
            self._entity(each, here)

    # Layers and colours.

    def _layer(self, name: str) -> Any:
        return self.document.layers.get(name) if name in self.document.layers else None

    def _why_hidden(self, entity: Any, layer: str) -> str:
        if entity.dxf.get("invisible", 0):
            return "invisible"
        found = self._layer(layer)
        if found is None:
            return ""
        return "the layer is off" if found.is_off() else "the layer is frozen" if found.is_frozen() else ""

    def _block_hidden(self, here: _Here, layer: str, entity: Any) -> str:
        """Why all of an insert is hidden: a layer that is off hides only what is on it, one that is frozen all."""
        if here.hidden or entity.dxf.get("invisible", 0):
            return here.hidden or "in a block that is invisible"
        found = self._layer(layer)
        return "in a block on a frozen layer" if found is not None and found.is_frozen() else ""

    def _colour(self, entity: Any, layer: str, here: _Here) -> str:
        if entity.dxf.hasattr("true_color"):
            red, green, blue = self._colours.int2rgb(entity.dxf.true_color)
            return f"#{red:02x}{green:02x}{blue:02x}"
        index = entity.dxf.get("color", _BY_LAYER)
        if index == _BY_BLOCK:
            return here.colour or self._of_index(7)
        if index == _BY_LAYER:
            found = self._layer(layer)
            if found is not None and found.dxf.hasattr("true_color"):
                red, green, blue = self._colours.int2rgb(found.dxf.true_color)
                return f"#{red:02x}{green:02x}{blue:02x}"
            index = 7 if found is None else abs(found.dxf.color)
        return self._of_index(abs(index))

    def _of_index(self, index: int) -> str:
        """The colour of an index; 7, black on white and white on black, is black here."""
        if index == 7 or not 1 <= index <= 255:
            return "#000000"
        red, green, blue = self._colours.aci2rgb(index)
        return f"#{red:02x}{green:02x}{blue:02x}"

    def _place(self, entity: Any, here: _Here) -> Point | None:
        for name in ("insert", "location", "center", "start", "text_midpoint", "defpoint"):
            if entity.dxf.is_supported(name) and entity.dxf.hasattr(name):
                place = self._vector(entity.dxf.get(name))
                if here.matrix is not None:
                    place = here.matrix.transform(place)
                return place.x, place.y
        return None


def _cell_count(insert: Any) -> int:
    """Copies that an insert makes; those with no spacing lie on each other and are one."""
    columns = max(1, insert.dxf.column_count) if insert.dxf.column_spacing else 1
    rows = max(1, insert.dxf.row_count) if insert.dxf.row_spacing else 1
    return int(columns) * int(rows)


def _cells(insert: Any) -> list[Point]:
    """Where the copies of an insert lie from the first, before its rotation."""
    columns = max(1, insert.dxf.column_count) if insert.dxf.column_spacing else 1
    rows = max(1, insert.dxf.row_count) if insert.dxf.row_spacing else 1
    across, up = insert.dxf.column_spacing, insert.dxf.row_spacing
    return [(column * across, row * up) for row in range(rows) for column in range(columns)]


def unit_note(said: float | None, given: float) -> list[Note]:
    """That the file says another unit than the user does."""
    if said is None or abs(said - given) <= 1e-9 * said:
        return []
    return [Note(f"the file says that its unit is {said:g} mm; {given:g} mm is taken, as given")]
