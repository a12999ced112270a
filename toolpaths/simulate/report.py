"""What the simulation found, as values and as a page for the terminal."""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import wrap

from toolpaths.simulate.field import Stock
from toolpaths.simulate.findings import Finding

_WIDTH = 100
NOT_JUDGED = "Not judged: the part meant, pieces that come loose, load on the cutter, hold-down."


@dataclass(frozen=True, slots=True, eq=False)
class Report:
    """The judgement of one program.

    findings : gravest first, then in the order of the program
    stock : the wood as it stands afterwards
    seconds : time the motions take at the speeds asked for, dwells included. A lower bound: it knows
        no acceleration and no stops for the operator
    cutting_mm, rapid_mm : length of the way at feed and at rapid
    """

    findings: tuple[Finding, ...]
    stock: Stock
    seconds: float
    cutting_mm: float
    rapid_mm: float

    @property
    def ok(self) -> bool:
        """Whether nothing at all was found."""
        return not self.findings

    def codes(self) -> tuple[str, ...]:
        """The codes found, each once, gravest first."""
        return tuple(dict.fromkeys(finding.code for finding in self.findings))

    def __str__(self) -> str:
        minutes, seconds = divmod(round(self.seconds), 60)
        summary = (
            f"{self.cutting_mm / 1000:.2f} m of cutting, {self.rapid_mm / 1000:.2f} m of rapids, "
            f"at least {minutes} min {seconds:02d} s; {self.stock.removed() / 1000:.1f} cm3 of the board are gone."
        )
        if self.ok:
            return f"Nothing found against the program.\n{summary}\n{NOT_JUDGED}"
        number = len(self.findings)
        lines = [f"{number} finding{'s' if number > 1 else ''}:"]
        for finding in self.findings:
            lines += wrap(str(finding), _WIDTH, initial_indent="  ", subsequent_indent="      ")
        return "\n".join([*lines, summary, NOT_JUDGED])
