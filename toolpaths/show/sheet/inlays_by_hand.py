"""What is done by hand with an inlay, and which edges must stay as sharp as they were cut for it."""

from __future__ import annotations

from typing import NamedTuple

from toolpaths.facts.inlaid import Inlaid
from toolpaths.show.lengths import Lengths


class InlayOnSheet(NamedTuple):
    """How an insert lies in its recess, and what the work on both is called."""

    laid: Inlaid
    work: tuple[str, ...]


def put_in(laid: Inlaid, lengths: Lengths) -> str:
    """How an insert is put into its recess, in a sentence or two."""
    if laid.turned_over:
        return (
            f"{laid.name}: break none of its edges. Turn the insert over and try it dry: its walls meet before its "
            "brim comes down to the face. Glue, press it in evenly until they do, and when the glue has set saw the "
            "brim off and plane it level."
        )
    proud = -laid.front_depth
    level = f"plane off the {lengths.said(proud)} that stand proud" if proud > 0 else "sand it level"
    return (
        f"{laid.name}: break none of its edges but the lower ones of the insert. Pare its tabs off flush, try it dry, "
        f"glue it in, and when the glue has set {level}."
    )
