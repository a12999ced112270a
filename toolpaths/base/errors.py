"""Every error the library raises: what is wrong, where, and what would work."""

from __future__ import annotations

Point = tuple[float, float]


class ToolpathsError(Exception):
    """Root of all errors raised by this library."""


class InputError(ToolpathsError, ValueError):
    """A number, name or choice that cannot be used; the message says which would."""


class UnitsError(InputError):
    """Sizes that look like inches given as millimetres, or the reverse. Nothing is written."""


class PlacedError(ToolpathsError, ValueError):
    """An error that has a place: `point` in mm (x, y), or None where there is no single one."""

    def __init__(self, message: str, point: Point | None = None) -> None:
        super().__init__(message, point)
        self.message = message
        self.point = point

    def __str__(self) -> str:
        return self.message


class ShapeError(PlacedError):
    """A shape that does not describe wood: open, crossing itself, empty."""


class DoesNotFitError(PlacedError):
    """A cutter, entry or tab for which there is no room; the message says what would fit."""


class NotSafeError(ToolpathsError):
    """Programs in which danger or damage was found, and which were not written; `report` has every finding."""

    def __init__(self, message: str, report: object = None) -> None:
        super().__init__(message, report)
        self.message = message
        self.report = report

    def __str__(self) -> str:
        return self.message


class ProgramError(ToolpathsError, ValueError):
    """Text that breaks a rule of the language (NISTIR 6556), with its line and column, from 1.

    `code` is a stable short name of the rule, for instance "zero-feed" or "arc-radius".
    """

    def __init__(self, message: str, *, line: int, column: int = 1, code: str = "syntax") -> None:
        super().__init__(message, line, column, code)
        self.message = message
        self.line = line
        self.column = column
        self.code = code

    def __reduce__(self) -> tuple[object, ...]:
        return (_program_error, (self.message, self.line, self.column, self.code))

    def __str__(self) -> str:
        return f"line {self.line}, column {self.column}: {self.message}"


def _program_error(message: str, line: int, column: int, code: str) -> ProgramError:
    return ProgramError(message, line=line, column=column, code=code)
