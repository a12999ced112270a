"""What a controller holds when it comes to a line of a program."""

from __future__ import annotations

from toolpaths.judging.reader.arc_geometry import Point3
from toolpaths.judging.reader.controller import ORIGIN, Controller
from toolpaths.judging.reader.interpret import Interpreter
from toolpaths.judging.reader.motions import Modes

_PLAIN = Controller()


def modes_before(text: str, line: int, *, start: Point3 = ORIGIN, controller: Controller = _PLAIN) -> Modes:
    """The modes in force before a line, from 1, of a program that `read` can read.

    start, controller : as for `read`

    >>> modes_before("G21 G90 G0 X10\\nG1 Y5 F600\\nX0\\nM2", 3)[5:10]
    ('G98', 'G1', (), 600.0, 0.0)
    """
    interpreter = Interpreter(start, controller)
    for number, content in enumerate(text.splitlines()[: line - 1], start=1):
        interpreter.run(number, content)
    return interpreter.modes
