"""What a sample makes: the parts as drawn, each side as it is set up, and the wood as its programs leave it."""

from __future__ import annotations

from typing import NamedTuple

from sample_scripts import sample_script

import toolpaths as tp
from toolpaths.show.notebook import html_of


class SamplePictures(NamedTuple):
    """A sample by its name, what it says of itself, how it was judged, and its pictures.

    pictures : the end of a file's name, what it shows, and its bytes
    """

    name: str
    about: str
    judged: str
    pictures: tuple[tuple[str, str, bytes], ...]


def sample_pictures(name: str) -> SamplePictures:
    """A sample, planned and judged anew."""
    about, job = sample_script(name)
    report = job.report()
    found: list[tuple[str, str, bytes]] = []
    for number, part in enumerate(job.parts, 1):
        found.append(
            (f"part-{number}.svg", f"The part meant, {part.board.name or 'of the board'}", _svg(tp.part_svg(part)))
        )
    for called, setup, (_, judged) in zip(job.names, job.setups, report.sides):
        file = called.replace(" ", "-")
        found.append(
            (f"{file}-setup.svg", f"{called}: holding, zero and the ways of the cutters", _svg(html_of(setup)))
        )
        found.append((f"{file}-wood.png", f"{called}: the face as the programs leave it", tp.relief_png(judged.stock)))
    board = report.sides[-1][1].stock
    across = (0.0, job.boards[-1].height / 2), (job.boards[-1].width, job.boards[-1].height / 2)
    found.append(
        ("section.svg", "Cut through across the middle of the last board", _svg(tp.section_svg(board, *across)))
    )
    return SamplePictures(name, about, str(report), tuple(found))


def _svg(markup: str) -> bytes:
    """A drawing of a page as a file of its own."""
    return markup.encode("ascii", "xmlcharrefreplace")
