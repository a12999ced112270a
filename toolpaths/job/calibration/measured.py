"""What the readings of a test cut, and of finished pieces, say of cutter, axes and zeros."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from math import degrees
from typing import Any

import numpy as np

from toolpaths.base.checks import Floats, between, flag, instance, length, let_in, sequence, shown
from toolpaths.base.errors import InputError, UnitsError
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.cutter import Cutter
from toolpaths.job.calibration.gauge_piece import GaugePiece
from toolpaths.job.calibration.least_squares import (
    Estimate,
    Solution,
    largest_chi_square,
    solve,
    undetermined,
)
from toolpaths.job.calibration.size import UNKNOWNS, Measure, Size

# A reading farther off its nominal is of something else: mm, and a share of it. Axes of small routers are off by a
# hundredth at most, cutters by tenths of a mm (common practice, no source).
_FARTHEST_OFF, _FARTHEST_SHARE = 1.0, 0.02
_INCH = 25.4
# mm: what a calliper is good for lies between these (common practice, no source).
_FINEST, _COARSEST = 0.001, 1.0
_WORDS = {
    "wider": "the width of the cutter", "scale_x": "the scale of X", "scale_y": "the scale of Y",
    "scale_z": "the scale of Z", "zero_z": "Z0", "back_x": "how far the back lies off along X",
    "back_y": "how far the back lies off along Y", "back_turn": "by how much the back lies turned",
}  # fmt: skip

Readings = tuple[tuple[str, float], ...]
Finished = tuple[tuple[Size, float], ...]


@dataclass(frozen=True, repr=False)
class Measured(PickledByFields):
    """Facts from readings, each with its uncertainty; made by measured().

    What no reading tells is None: cutter_diameter, mm, with run-out; scale_x, scale_y, scale_z, a share of each length
    (+0.001: 1 mm too much in a metre); zero_z, mm by which Z0 lay too high; back_x, back_y, mm by which the back lies
    to the right of the front and up, seen from the front; flip_line, half of that across the line of turning;
    flip_angle_deg, degrees by which that line is turned anticlockwise, seen from the front: half of what the back is.
    """

    piece: GaugePiece
    readings: Readings
    finished: Finished = ()
    calliper: float = 0.02

    def __post_init__(self) -> None:
        let_in(
            self, piece=partial(instance, kind=GaugePiece), readings=_readings, finished=_finished,
            calliper=partial(between, low=_FINEST, high=_COARSEST),
        )  # fmt: skip
        if not self.readings and not self.finished:
            raise InputError(f"readings holds none; give some of {self._names()}.")
        known = {measure.name for measure in self.piece.measures}
        for name, _ in self.readings:
            if name not in known:
                raise InputError(f"readings names {shown(name)}, which the test cut has not; it has {self._names()}.")
        for measure, value in self._rows:
            _check_near(measure, value)
        self._check_determined()
        self._check_agree()

    def _names(self) -> str:
        return ", ".join(repr(measure.name) for measure in self.piece.measures)

    @cached_property
    def _rows(self) -> list[tuple[Measure, float]]:
        """Each reading with what it is of. A finished piece may have been cut as another width was written: what counts
        is the true one, so that its nominal is what that width makes where the cutter is as the test cut had it."""
        by_name = {measure.name: measure for measure in self.piece.measures}
        rows = [(by_name[name], value) for name, value in self.readings]
        return rows + [(self._as_cut(size), value) for size, value in self.finished]

    def _as_cut(self, size: Size) -> Measure:
        measure = size.measure
        thinner = self.piece.cutter.diameter - size.cutter.diameter
        return measure._replace(nominal=measure.nominal + measure.changes["wider"] * thinner)

    @cached_property
    def _touched(self) -> list[str]:
        """The unknowns of which some reading knows."""
        return [name for name in UNKNOWNS if any(measure.changes.get(name) for measure, _ in self._rows)]

    def _matrix(self, measures: Iterable[Measure]) -> Floats:
        return np.array([[m.changes.get(name, 0.0) for name in self._touched] for m in measures])

    def _check_determined(self) -> None:
        unknown = undetermined(self._matrix(measure for measure, _ in self._rows))
        if not unknown:
            return
        names = [self._touched[number] for number in unknown]
        read = {name for name, _ in self.readings}
        more = [m.name for m in self.piece.measures if m.name not in read and any(m.changes.get(n) for n in names)]
        raise InputError(
            f"The readings do not tell {' and '.join(_WORDS[name] for name in names)} apart; read also some of "
            f"{', '.join(map(repr, more)) or 'what other pieces have'}."
        )

    def _check_agree(self) -> None:
        degrees = self.degrees_of_freedom
        if not degrees or self.chi_square <= largest_chi_square(degrees):
            return
        worst = int(np.argmax(np.abs(self._solution.off)))
        measure, value = self._rows[worst]
        raise InputError(
            f"The readings do not agree: {measure.name!r}, {value:g}, is {abs(self._solution.off[worst]):.0f} times as "
            f"far off what the others say as a calliper good for {self.calliper:g} mm explains. Read it again, more "
            "than once; if all of them are sound, enter a larger calliper=."
        )

    @cached_property
    def _solution(self) -> Solution:
        readings = np.array([value - measure.nominal for measure, value in self._rows])
        return solve(self._matrix(measure for measure, _ in self._rows), readings, self.calliper)

    @property
    def chi_square(self) -> float:
        """How far the readings disagree: about `degrees_of_freedom` where the calliper is as good as was said."""
        return self._solution.chi_square

    @property
    def degrees_of_freedom(self) -> int:
        """Readings more than there are unknowns: that many check the others."""
        return len(self._rows) - len(self._touched)

    def _of(self, name: str) -> Estimate | None:
        if name not in self._touched:
            return None
        number = self._touched.index(name)
        value, variance = self._solution.values[number], self._solution.covariance[number, number]
        return Estimate(float(value), float(variance**0.5))

    @property
    def cutter_diameter(self) -> Estimate | None:
        wider = self._of("wider")
        return None if wider is None else wider._replace(value=self.piece.cutter.diameter + wider.value)

    @property
    def scale_x(self) -> Estimate | None:
        return self._of("scale_x")

    @property
    def scale_y(self) -> Estimate | None:
        return self._of("scale_y")

    @property
    def scale_z(self) -> Estimate | None:
        return self._of("scale_z")

    @property
    def zero_z(self) -> Estimate | None:
        return self._of("zero_z")

    @property
    def back_x(self) -> Estimate | None:
        return self._of("back_x")

    @property
    def back_y(self) -> Estimate | None:
        return self._of("back_y")

    @property
    def flip_line(self) -> Estimate | None:
        """mm by which the line about which the board is turned lies too far right, or up."""
        if self.piece.back is None:
            return None
        off = self.back_x if self.piece.back.turned == "left to right" else self.back_y
        return None if off is None else Estimate(off.value / 2, off.uncertainty / 2)

    @property
    def flip_angle_deg(self) -> Estimate | None:
        """Degrees by which the line about which the board is turned is askew, anticlockwise as seen from the front."""
        turn = self._of("back_turn")
        return None if turn is None else Estimate(degrees(turn.value) / 2, degrees(turn.uncertainty) / 2)

    def cutter(self, cutter: Cutter) -> Cutter:
        """The cutter with its true diameter, to a thousandth of a mm, and its body as it was.

        Raises InputError for another cutter than that of the test cut, and where its width was not measured.
        """
        instance("cutter", cutter, Cutter)
        if (cutter.number, cutter.profile) != (self.piece.cutter.number, self.piece.cutter.profile):
            raise InputError(f"cutter={cutter} is not the one that was measured, {self.piece.cutter}.")
        if self.cutter_diameter is None:
            raise InputError("No reading tells the width of the cutter; read 'slot width'.")
        shank = cutter.body.shank_diameter
        edges, stick_out = cutter.body.cutting_length, cutter.body.stick_out
        profile = replace(cutter.profile, diameter=round(self.cutter_diameter.value, 3))
        return replace(
            cutter, profile=profile, cutting_length=edges, stick_out=stick_out, shank_diameter=shank,
            step_down=cutter.running.step_down, deepest_pass=cutter.bears.deepest_pass,
        )  # fmt: skip

    def ranges(self, *, corrected: bool = False) -> dict[str, float]:
        """Half ranges for Job.study() and tolerance_study(), as job.study(**found.ranges()): what was read, in mm
        and degrees.

        corrected : whether the job has the cutter of .cutter(), and Z0 and the flip line were set right at the
            machine: then only how sure the readings are is left; else also all that was found off
        """
        flag("corrected", corrected)
        found = {
            "cutter_diameter": self._of("wider"), "flip_line": self.flip_line, "zero_z": self.zero_z,
            "flip_angle_deg": self.flip_angle_deg,
        }  # fmt: skip
        return {
            name: each.half_range + (0.0 if corrected else abs(each.value))
            for name, each in found.items()
            if each is not None
        }

    def foretold(self, size: Size) -> Estimate:
        """The size of the next piece, mm, if it is cut as these were; what wood does later is not in it.

        Raises InputError for a size cut by another cutter, and where readings do not tell what it depends on.
        """
        return self._combined([(self._measure_of("size", size), 1.0)])

    def clearance(self, hole: Size, peg: Size) -> Estimate:
        """How much wider a hole comes out than what goes into it, mm; below 0 it has to be pressed in.

        Raises InputError for sizes that are no hole and no peg, and as foretold() does.
        """
        for name, size, kind in (("hole", hole, "walls"), ("peg", peg, "outsides")):
            if instance(name, size, Size).between != kind:
                raise InputError(f"{name}={size} is not between={kind!r}.")
        return self._combined([(self._measure_of("hole", hole), 1.0), (self._measure_of("peg", peg), -1.0)])

    def _measure_of(self, name: str, size: Size) -> Measure:
        if instance(name, size, Size).cutter.number != self.piece.cutter.number:
            raise InputError(f"{name}={size} is cut by {size.cutter}; what was measured is {self.piece.cutter}.")
        measure = self._as_cut(size)
        missing = [_WORDS[unknown] for unknown in measure.changes if unknown not in self._touched]
        if missing:
            raise InputError(f"No reading tells {' nor '.join(missing)}, on which {size} depends.")
        return measure

    def _combined(self, sizes: list[tuple[Measure, float]]) -> Estimate:
        weights = np.array([weight for _, weight in sizes])
        row = weights @ self._matrix(measure for measure, _ in sizes)
        nominal = sum(weight * measure.nominal for measure, weight in sizes)
        variance = float(row @ self._solution.covariance @ row)
        return Estimate(float(nominal + row @ self._solution.values), max(variance, 0.0) ** 0.5)

    def __repr__(self) -> str:
        return in_a_line(f"<Measured: {self.piece.cutter}, {len(self._rows)} readings>")

    def __str__(self) -> str:
        found = {
            "cutter, with run-out, mm": self.cutter_diameter, "X is off, mm in a metre": _in_a_metre(self.scale_x),
            "Y is off, mm in a metre": _in_a_metre(self.scale_y), "Z is off, mm in a metre": _in_a_metre(self.scale_z),
            "Z0 too high, mm": self.zero_z, "flip line too far right or up, mm": self.flip_line,
            "flip line turned left, degrees": self.flip_angle_deg,
        }  # fmt: skip
        lines = [f"{words:34} {e.value:9.3f} +- {e.half_range:.3f}" for words, e in found.items() if e is not None]
        checks = f"{self.degrees_of_freedom} more readings than unknowns, chi-square {self.chi_square:.1f}."
        caution = "Cut again and measure after a change of cutter, collet or wood; no number replaces a dry run."
        return "\n".join([*lines, "+- holds in 95 of 100 cases.", checks, caution])


def _in_a_metre(share: Estimate | None) -> Estimate | None:
    return None if share is None else Estimate(1000 * share.value, 1000 * share.uncertainty)


def _readings(name: str, given: Any) -> Readings:
    """(name, mm) for each reading, from a mapping of names to one or several, or from such pairs."""
    pairs = list(given.items()) if isinstance(given, Mapping) else sequence(name, given, "a dict of names and mm")
    found: list[tuple[str, float]] = []
    for pair in pairs:
        if not isinstance(pair, tuple) or len(pair) != 2 or not isinstance(pair[0], str):
            raise InputError(f"{name} holds {shown(pair)}; give the name of each measure and what was read, in mm.")
        who, value = f"{name}[{shown(pair[0])}]", pair[1]
        several = sequence(who, value, "mm, one or several") if isinstance(value, (list, tuple)) else [value]
        if not several:
            raise InputError(f"{who} lists no reading; leave it out, or give it in mm.")
        found += [(pair[0], length(who, one)) for one in several]
    return tuple(found)


def _finished(name: str, given: Any) -> Finished:
    """(size, mm) for each."""
    found = []
    for pair in sequence(name, given, "pairs (Size(...), mm)"):
        if not isinstance(pair, tuple) or len(pair) != 2 or not isinstance(pair[0], Size):
            raise InputError(f"{name} holds {shown(pair)}; give pairs (Size(...), what was read in mm).")
        found.append((pair[0], length(f"{name}: {pair[0].name}", pair[1])))
    return tuple(found)


def _check_near(measure: Measure, value: float) -> None:
    farthest = _FARTHEST_OFF + _FARTHEST_SHARE * measure.nominal
    if abs(value - measure.nominal) <= farthest:
        return
    if abs(value * _INCH - measure.nominal) <= farthest:
        raise UnitsError(
            f"{measure.name!r} reads {value:g} where {measure.nominal:g} mm is meant: is that in inches? Write "
            f"inch({value:g})."
        )
    raise InputError(
        f"{measure.name!r} reads {value:g} where {measure.nominal:g} mm is meant: that is {measure.how}. More than "
        f"{farthest:.1f} mm off is no small error; read it again, and look whether it is this one."
    )


def measured(
    piece: GaugePiece,
    readings: Mapping[str, float | list[float]],
    *,
    finished: Iterable[tuple[Size, float]] = (),
    calliper: float = 0.02,
) -> Measured:
    """What was read on a test cut, as facts with their uncertainty.

    piece : of test_cut(), as it was cut
    readings : mm by the names of its measures, one or a list of several; what is left out is not known
    finished : (Size(...), mm) of pieces that the same cutter cut since
    calliper : mm, standard uncertainty of one reading: how far readings of one place scatter (0.02 on wood: common
        practice, no source)

    The cutter is known as it cuts this wood, run-out and give of the machine among it. An error that all readings
    share, such as a calliper whose zero is off, is not found: close its jaws and look first.

    >>> import toolpaths as tp
    >>> scrap = tp.Board(width=200, height=140, thickness=18)
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
    >>> piece = tp.test_cut(T1, tp.Fixture(board=scrap))
    >>> found = tp.measured(piece, {"slot width": [5.91, 5.93], "between slots X": 133.21, "over slots X": 145.05})
    >>> round(found.cutter_diameter.value, 2), round(found.scale_x.value, 4)
    (5.92, 0.0009)
    >>> found.cutter(T1).diameter < 6, sorted(found.ranges())
    (True, ['cutter_diameter'])

    Raises InputError for names that the piece has not, readings that cannot be or do not agree, and such as do not tell
    what they depend on apart; UnitsError for readings in inches.
    """
    pairs = _readings("readings", readings)
    return Measured(piece, pairs, tuple(sequence("finished", finished, "pairs (Size(...), mm)")), calliper)
