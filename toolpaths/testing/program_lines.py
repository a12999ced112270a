"""Lines of a program as a failure shows them: numbered, the culprits with an arrow."""

from __future__ import annotations

from collections.abc import Collection

# Lines before and after a culprit.
_AROUND = 3
# Characters of a line; a comment may be long.
_LONGEST = 90


def lines_around(text: str, culprits: Collection[int]) -> list[str]:
    r"""The lines of a text around some of them, each with its number from 1 and an arrow where it is meant.

    >>> print(*lines_around("G21 G90\nG0 X1\nG1 Z-4 F300\nX9\nM2", [3]), sep="\n")
             1  G21 G90
             2  G0 X1
      -->    3  G1 Z-4 F300
             4  X9
             5  M2
    """
    lines = text.splitlines()
    wanted = {at for line in culprits for at in range(line - _AROUND, line + _AROUND + 1) if 0 < at <= len(lines)}
    shown: list[str] = []
    last = 0
    for at in sorted(wanted):
        if last and at > last + 1:
            shown.append("            ...")
        line = lines[at - 1]
        cut = line if len(line) <= _LONGEST else line[: _LONGEST - 4] + " ..."
        shown.append(f"  {'-->' if at in culprits else '   '}{at:>5}  {cut}".rstrip())
        last = at
    return shown
