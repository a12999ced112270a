"""The parts of a layout by their names on the drawing of a side: the whole name where it has room, else the number."""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.making.plan.setup import Setup
from toolpaths.show.balloons import Taken
from toolpaths.show.drawing import LETTERS, Frame, letters_wide, words
from toolpaths.show.markup import Markup, joined

# mm on paper between a name and what is drawn beside it.
_BESIDE = 0.6
# Places that are tried, as shares of a part's width and height off its middle: those nearest to it first.
_OFF = (0.0, 0.1, -0.1, 0.2, -0.2, 0.3, -0.3, 0.4, -0.4)
_SHARES = sorted(((x, y) for x in _OFF for y in _OFF), key=lambda at: (abs(at[0]) + abs(at[1]), -at[1], at[0]))


class PartLabel(NamedTuple):
    """A name, or a number, and the middle of where it stands on the board as it lies."""

    text: str
    middle: Point


def labels_of_parts(frame: Frame, setup: Setup) -> list[PartLabel]:
    """Of all parts on which this side, or one before it, works: each off what is cut, where there is room."""
    found = []
    for name, (outline, cut) in _parts(setup).items():
        free = shapely.difference(outline, shapely.buffer(cut, _BESIDE * frame.scale))
        found.append(_label(frame, name, setup.fixture.place(outline), setup.fixture.place(free)))
    return found


def _label(frame: Frame, name: str, outline: BaseGeometry, free: BaseGeometry) -> PartLabel:
    """The name, or its number, at the first of places all over the part that has room; the number in the middle where
    none has."""
    left, low, right, high = outline.bounds
    middle, number = ((left + right) / 2, (low + high) / 2), name.rpartition(" ")[2]
    for text in (name, number):
        wide, tall = letters_wide(text, LETTERS) / 2 * frame.scale, LETTERS / 2 * frame.scale
        for across, up in _SHARES:
            x, y = middle[0] + across * (right - left), middle[1] + up * (high - low)
            if shapely.covers(free, shapely.box(x - wide, y - tall, x + wide, y + tall)):
                return PartLabel(text, (x, y))
    return PartLabel(number, middle)


def part_labels(frame: Frame, labels: list[PartLabel]) -> Markup:
    return joined([
        words(frame, *label.middle, label.text, size=LETTERS, down=0.35 * LETTERS, anchor="middle", halo=True)
        for label in labels
    ])  # fmt: skip


def taken_by(frame: Frame, labels: list[PartLabel]) -> list[Taken]:
    """Where no balloon goes for them: all along each text."""
    found = []
    for label in labels:
        wide = letters_wide(label.text, LETTERS)
        count, (x, y) = ceil(wide / LETTERS), label.middle
        offs = [(number + 0.5) * wide / count - wide / 2 for number in range(count)]
        found += [Taken((x + off * frame.scale, y), LETTERS / 2) for off in offs]
    return found


def _parts(setup: Setup) -> dict[str, tuple[BaseGeometry, BaseGeometry]]:
    """By the name of each part its outline, or what lies about its work, and where work is done within, as seen from
    the front."""
    outlines, cuts = dict[str, list[BaseGeometry]](), dict[str, list[BaseGeometry]]()
    for each in (setup, *setup.earlier):
        for operation, features in each.features:
            for feature in features if operation.part_name else ():
                outlines.setdefault(operation.part_name, [])
                cuts.setdefault(operation.part_name, [])
                if feature.waste_side == "outside":
                    outlines[operation.part_name].append(feature.shape)
                else:
                    cuts[operation.part_name].append(shapely.buffer(feature.shape, feature.reach))
    return {
        name: (
            shapely.union_all(outlines[name]) if outlines[name] else shapely.union_all(cuts[name]).convex_hull,
            shapely.union_all(cuts[name]),
        )
        for name in outlines
    }
