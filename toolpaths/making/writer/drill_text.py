"""The text of drilled holes: canned cycles (NISTIR 6556, 3.5.16), or the same strokes spelled out."""

from __future__ import annotations

from toolpaths.making.motion.toolpath import CUT, RAPID, Hole, Move
from toolpaths.making.writer.modal import Cycle, Modal
from toolpaths.making.writer.moves_text import write_cut, write_rapid
from toolpaths.making.writer.number_format import plain
from toolpaths.making.writer.style import Style


def write_hole(modal: Modal, move: Move, hole: Hole, style: Style) -> None:
    """One hole, reached at the height at which the cutter stands, and left at the height at which the move ends."""
    # No cycle of the subset both pecks and dwells.
    if style.cycles == "spelled out" or (hole.peck and hole.dwell_s):
        _write_strokes(modal, move, hole, style)
    else:
        _write_cycle(modal, move, hole, style)


def _write_strokes(modal: Modal, move: Move, hole: Hole, style: Style) -> None:
    write_rapid(modal, style.numbers.across(move.x, move.y))
    for kind, z in hole.strokes():
        if kind == RAPID:
            write_rapid(modal, {"Z": style.numbers.z(z)})
        else:
            write_cut(modal, Move(CUT, move.x, move.y, z, move.feed_mm_min), style)
    if hole.dwell_s:
        modal.line(f"G4 P{plain(hole.dwell_s, 3)}")
    write_rapid(modal, {"Z": style.numbers.z(move.z)})


def _write_cycle(modal: Modal, move: Move, hole: Hole, style: Style) -> None:
    """Cycles go on from hole to hole while they end at one height. Where the way to the next hole is higher, they end,
    and a lift is written out."""
    code = "G83" if hole.peck else "G82" if hole.dwell_s else "G81"
    numbers = style.numbers
    across, leave = numbers.across(move.x, move.y), numbers.z(move.z)
    cycle = modal.cycle
    if cycle and cycle.hole == hole and float(leave) >= float(cycle.end):
        words = modal.changed(across) or {"X": across["X"]}
    else:
        cycle = _begin_cycle(modal, across, leave, code, hole, style)
        words = {**across, "Z": numbers.z(hole.bottom), "R": numbers.z(hole.clear)}
        if hole.peck:
            words["Q"] = numbers.at_least(hole.peck)
        elif hole.dwell_s:
            words["P"] = plain(hole.dwell_s, 3)
    modal.move(code, words, feed=numbers.feed(move.feed_mm_min))
    modal.cycle = cycle
    modal.at |= {**across, "Z": cycle.end}
    if float(leave) > float(cycle.end):
        modal.end_cycle()
        write_rapid(modal, {"Z": leave})


def _begin_cycle(modal: Modal, across: dict[str, str], leave: str, code: str, hole: Hole, style: Style) -> Cycle:
    """The code of the height at which each hole ends: R (G99), or that at which the first began (G98)."""
    clear = style.numbers.z(hole.clear)
    stays_up = float(clear) < float(leave) <= float(modal.at["Z"])
    if stays_up and leave != modal.at["Z"]:
        modal.end_cycle()
        write_rapid(modal, {**across, "Z": leave})
    back = "G98" if stays_up else "G99"
    for needed in (code, back):
        style.need(needed, "cycles='spelled out'")
    modal.line(back)
    return Cycle(hole, leave if stays_up else clear)
