"""The text of a rapid and of a cut: the words that change."""

from __future__ import annotations

from collections.abc import Mapping

from toolpaths.making.motion.toolpath import Move
from toolpaths.making.writer.arc_text import arc_words, printable
from toolpaths.making.writer.modal import Modal
from toolpaths.making.writer.style import Style


def write_rapid(modal: Modal, place: Mapping[str, str]) -> None:
    """Up before across, and across before down: never both at once."""
    up = "Z" in place and ("Z" not in modal.at or float(place["Z"]) > float(modal.at["Z"]))
    for letters in ("Z", "XY") if up else ("XY", "Z"):
        words = modal.changed({letter: word for letter, word in place.items() if letter in letters})
        if words:
            modal.move("G0", words)
            modal.at |= words


def write_cut(modal: Modal, move: Move, style: Style) -> None:
    """A line, or an arc as it can be printed; nothing where no digit changes."""
    numbers = style.numbers
    start = numbers.printed(modal.at) if move.sweep else (0.0, 0.0, 0.0)
    for part in printable(move, start, style):
        place = numbers.place(part.x, part.y, part.z)
        code, words = "G1", modal.changed(place)
        if part.sweep:
            code, words = arc_words(part, place, words, modal.at, numbers)
        if words:
            modal.move(code, words, feed=numbers.feed(part.feed_mm_min))
            modal.at |= place
