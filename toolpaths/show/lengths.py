"""Lengths as the person at the machine reads them: in the unit of the programs, as fine as can be measured in wood."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import ceil

from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.cutter import Cutter
from toolpaths.making.writer.number_format import Units

# Of inches so many that a thirty-second is told from its neighbours, and places read as in the head of a program.
_DECIMALS = {"mm": 2, "inch": 4}
# mm to which a length is set with a rule.
_BY_HAND = {"mm": 1.0, "inch": MM_PER_INCH / 20}
_IN_WORDS = re.compile(r"(?:(\d+(?:\.\d+)?) to )?(\d+(?:\.\d+)?) mm(2?)\b")


@dataclass(frozen=True, slots=True)
class Lengths:
    """How lengths, given in mm, are read.

    units : of the programs
    """

    units: Units = "mm"

    def of(self, mm: float) -> str:
        """A length without its unit, nor zeros at its end.

        >>> Lengths().of(14.0), Lengths().of(-0.001), Lengths().of(106.375), Lengths("inch").of(19.05)
        ('14', '0', '106.38', '0.75')
        """
        value = self._value(mm)
        return f"{round(value, _DECIMALS[self.units]) + 0.0:g}" if abs(value) < 1e5 else f"{value:.0f}"

    def said(self, mm: float) -> str:
        """With its unit.

        >>> Lengths().said(12), Lengths("inch").said(12.7)
        ('12 mm', '0.5 inch')
        """
        return f"{self.of(mm)} {self.units}"

    def at_least(self, mm: float) -> str:
        """What is set by hand and may be more, rounded up to 1 mm or a twentieth of an inch.

        >>> Lengths().at_least(42), Lengths().at_least(22.7), Lengths("inch").at_least(22.7)
        ('42', '23', '0.9')
        """
        step = _BY_HAND[self.units]
        return self.of(ceil(mm / step - 1e-6) * step)

    def feed(self, mm_min: float) -> str:
        """A feed, by the minute.

        >>> Lengths().feed(1500), Lengths("inch").feed(1500)
        ('1500', '59.06')
        """
        return f"{round(self._value(mm_min), 2):g}"

    def place(self, x: float, y: float) -> str:
        """As a program counts it.

        >>> Lengths().place(14, 106.5), Lengths("inch").place(25.4, -12.7)
        ('X14 Y106.5', 'X1 Y-0.5')
        """
        return f"X{self.of(x)} Y{self.of(y)}"

    def box(self, left: float, right: float, low: float, high: float) -> str:
        """A box with its sides along X and Y, as a program counts it.

        >>> Lengths().box(-3, 12.5, 0, 40)
        'X-3 to X12.5 and Y0 to Y40'
        """
        return f"X{self.of(left)} to X{self.of(right)} and Y{self.of(low)} to Y{self.of(high)}"

    def by(self, *mm: float) -> str:
        """Sizes along the axes.

        >>> Lengths().by(40, 20.5).split()[::2]
        ['40', '20.5']
        """
        return " \N{MULTIPLICATION SIGN} ".join(map(self.of, mm))

    def area(self, mm2: float) -> str:
        """An area with its unit.

        >>> Lengths().area(12000), Lengths("inch").area(12000)
        ('120 cm2', '18.6 square inch')
        """
        return f"{mm2 / 100:.0f} cm2" if self.units == "mm" else f"{mm2 / MM_PER_INCH**2:.3g} square inch"

    def cutter(self, cutter: Cutter) -> str:
        """What it is: its kind and its sizes.

        >>> import toolpaths as tp
        >>> Lengths("inch").cutter(tp.Cutter(1, tp.flat(12.7), feed_mm_min=1500, spindle_rpm=18000))
        'flat 0.5'
        """
        return cutter.profile.text(self._value(1.0), _DECIMALS[self.units])

    def in_words(self, text: str) -> str:
        """A sentence of the judging, which says lengths in mm, each with its unit.

        >>> Lengths("inch").in_words("4 tabs stand, 12.7 mm wide: 129 mm2 of wood.")
        '4 tabs stand, 0.5 inch wide: 0.2 square inch of wood.'
        >>> Lengths("inch").in_words("2 tabs stand, 6.35 to 12.7 mm wide"), Lengths().in_words("7.998 to 8.0 mm wide")
        ('2 tabs stand, 0.25 to 0.5 inch wide', '8 mm wide')
        """
        return _IN_WORDS.sub(self._converted, text)

    def _converted(self, found: re.Match[str]) -> str:
        """A size, a range of sizes, or an area; areas in mm2 stay, as they are of tabs and the like."""
        least, most, squared = found.groups()
        if squared:
            return found[0] if self.units == "mm" else self.area(float(most))
        first = f"{self.of(float(least))} to " if least and self.of(float(least)) != self.of(float(most)) else ""
        return first + self.said(float(most))

    def _value(self, mm: float) -> float:
        return mm if self.units == "mm" else mm / MM_PER_INCH


MM = Lengths()
