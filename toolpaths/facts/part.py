"""The part meant: which wood is to be removed and which is to stay, as facts of their own.

A Part says nothing of how a cutter moves. It is what a program is judged against, drawn from the front like
everything else, or taken from the setups with `intended_part`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from toolpaths.base.checks import between, instance, let_in, one_of, positive, sequence
from toolpaths.base.errors import InputError
from toolpaths.base.values import ShownInNotebooks, in_a_line
from toolpaths.facts.board import Board
from toolpaths.facts.contents import PartContent, contents_of_part
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.turning import SIDES, Side


def _features(name: str, given: Any) -> tuple[Feature, ...]:
    """What is cut from one side."""
    found = sequence(name, given, "a list of features")
    if not all(isinstance(feature, Feature) for feature in found):
        raise InputError(f"{name} must list features: Recess(...), CutAlong(...), Parting(...) and the like.")
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Part(ShownInNotebooks):
    """What is to come out of the board: features cut from the front and from the back.

    All shapes are seen from the front; depths count from the face of the side on which they are cut.
    contents : what goes into the finished part, as made by goes_in(), screwed_in() and turning_clip()
    within : mm that a wall or floor may be off, in height and sideways, to either side; a slope both ways at once, so a
        cone of 90 degrees may be sunk twice that too deep, which widens its mouth by four times that

    >>> from toolpaths import Board, Part, Recess, rectangle
    >>> board = Board(width=200, height=120, thickness=18, name="beech")
    >>> Part(board=board, front=[Recess(area=rectangle(40, 20, (50, 30)), depth=5)])
    <Part of beech: 1 feature on the front, 0 on the back>

    Raises InputError for no board, for what is no feature, and for a `within` of nothing or beyond the thickness.
    """

    board: Board
    front: Sequence[Feature] = ()
    back: Sequence[Feature] = ()
    within: float = 0.03
    contents: Sequence[PartContent] = ()

    def __post_init__(self) -> None:
        let_in(
            self, board=partial(instance, kind=Board), front=_features, back=_features, within=positive,
            contents=contents_of_part,
        )  # fmt: skip
        between("within", self.within, 0.0, self.board.thickness)

    def __repr__(self) -> str:
        count = f"{len(self.front)} feature{'s' if len(self.front) != 1 else ''}"
        return in_a_line(f"<Part of {self.board.name}: {count} on the front, {len(self.back)} on the back>")

    def cut_from(self, side: Side) -> tuple[Feature, ...]:
        """The features of one side, "front" or "back"."""
        return tuple(self.back if one_of("side", side, SIDES) == "back" else self.front)

    def partings(self, *sides: Side) -> tuple[Parting, ...]:
        """What parts the board, cut from these sides; from both if none is named."""
        features = [f for side in sides or ("front", "back") for f in self.cut_from(side)]
        return tuple(f for f in features if isinstance(f, Parting))
