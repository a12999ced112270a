"""What a notebook shows of each kind of value."""

from __future__ import annotations

from functools import singledispatch

from toolpaths.facts.part import Part
from toolpaths.judging.report import Judgement
from toolpaths.judging.wood.field import Wood
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.making.plan.setup import Setup
from toolpaths.show.markup import Markup, tag
from toolpaths.show.part_drawing import part_svg
from toolpaths.show.relief_picture import SeenFace
from toolpaths.show.side_plan import cutter_styles, side_plan, toolpath_svg


@singledispatch
def html_of(value: object) -> Markup:
    """As its repr, where there is no picture of it."""
    return tag("pre", repr(value))


@html_of.register
def _(setup: Setup) -> Markup:
    return side_plan(setup, cutter_styles([setup]))


@html_of.register
def _(part: Part) -> Markup:
    return part_svg(part)


@html_of.register
def _(path: Toolpath) -> Markup:
    return toolpath_svg(path)


@html_of.register
def _(found: Judgement) -> Markup:
    return tag("pre", str(found))


@html_of.register
def _(wood: Wood) -> Markup:
    return SeenFace(wood).image(repr(wood))
