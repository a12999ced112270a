"""Many plain lines at once: found in a text, and their words read, numbers to the last bit as float() does.

A plain line has, besides blanks, at most a line number, one of G0 to G3, and X, Y, Z, I, J and F words with
ordinary numbers, each letter once. Whatever breaks a rule, or means anything else, is no plain line.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import Ints
from toolpaths.judging.reader.tokens import LONGEST_LINE

Words = NDArray[np.uint64]
Bytes = NDArray[np.uint8]
Flags = NDArray[np.bool_]

# Characters looked at together: enough to make numpy's calls cheap, few enough to stay near the processor.
_PORTION = 400_000

# Classes of bytes. Those from _DOT on begin something; those from _F on have a number of any kind.
_DIGIT, _SIGN, _BLANK, _OTHER, _DOT, _END, _N, _G, _F, _I, _J, _X, _Y, _Z = range(14)
_CLASS = np.full(256, _OTHER, np.uint8)
for _characters, _class in (
    (b"0123456789", _DIGIT), (b"+-", _SIGN), (b" \t", _BLANK), (b".", _DOT), (b"\n", _END), (b"Nn", _N),
    (b"Gg", _G), (b"Ff", _F), (b"Ii", _I), (b"Jj", _J), (b"Xx", _X), (b"Yy", _Y), (b"Zz", _Z),
):  # fmt: skip
    _CLASS[list(_characters)] = _class

# A number of at most 15 digits is a whole number below 2**53 divided by a power of ten that a float64
# holds exactly, so that the one division rounds as float() does.
_MOST_DIGITS = 15
_MOST_ON_A_SIDE = 8  # of the point, as fit in a word
_POWER = np.array([10**n for n in range(_MOST_ON_A_SIDE + 1)], np.int64)
# Of a word's eight bytes, the last in the text are the highest; these keep the last n of them.
_KEEP = np.array([(2**64 - 1) ^ (2 ** (8 * (8 - n)) - 1) for n in range(9)], np.uint64)


class Lines(NamedTuple):
    """n lines of a text, and what the plain ones say.

    text, first : the text, and the number of the first of these lines
    begins, ends : (n,) where each line begins, and where its line end stands
    odd : (m,) which lines are not plain, in order
    busy : (n,) the first line from each on that has a code or an axis word, n if there is none
    codes : (n,) 0 to 3 of a line with one of G0 to G3, else -1
    x, y, z, i, j, f : (n,) the numbers as written, NaN where a line has none; None if no line has one
    """

    text: str
    first: int
    begins: Ints
    ends: Ints
    odd: Ints
    busy: Ints
    codes: NDArray[np.int8]
    x: Floats | None
    y: Floats | None
    z: Floats | None
    i: Floats | None
    j: Floats | None
    f: Floats | None


def portions(text: str) -> Iterator[Lines]:
    """The lines of a text, in which each line ends with a line feed, some thousand at a time."""
    at, number = 0, 1
    while at < len(text):
        end = text.find("\n", at + _PORTION) + 1 or len(text)
        if end - at > 2 * _PORTION:
            # A very long line comes alone, and is not looked at.
            end = text.rfind("\n", at, at + _PORTION) + 1
        if end > at:
            lines = _read(text, at, end, number)
        else:
            end = text.find("\n", at) + 1 or len(text)
            last = end - 1 if text[end - 1] == "\n" else end
            nothing = np.full(1, -1, np.int8)
            this = np.array([0])
            lines = Lines(text, number, this + at, this + last, this, this, nothing, *[None] * 6)
        yield lines
        at, number = end, number + len(lines.begins)


def _read(text: str, at: int, end: int, number: int) -> Lines:
    # One byte for one character: what is not in Latin-1 becomes "?", which makes a line odd as well.
    # Eight digits before, so that every word of eight bytes that ends with a number can be taken.
    raw = np.frombuffer(b"00000000" + text[at:end].encode("latin-1", "replace") + b"\n", np.uint8)
    if text[end - 1] == "\n":
        raw = raw[:-1]
    ends = np.flatnonzero(raw == 10) + (at - 8)
    begins = np.concatenate([[at], ends[:-1] + 1])
    odd = ends - begins > LONGEST_LINE
    kinds = _CLASS[raw]
    blank = kinds == _BLANK
    if blank.any():
        raw, kinds = raw[~blank], kinds[~blank]
    found = np.flatnonzero(kinds >= _DOT)
    # What begins there, and with two line ends more, so that the next but one always is there.
    what = np.concatenate([kinds[found], np.array([_END, _END], np.uint8)])
    found = np.concatenate([found, [len(raw), len(raw)]])
    closing = what == _END
    line = np.cumsum(closing) - closing
    _mark_strangers(odd, kinds, found, what)
    codes = _codes(odd, raw, found, what, line)
    _check_line_numbers(odd, found, what, line)

    words = np.flatnonzero(what >= _F)
    letters, where = what[words], line[words]
    values, unsound = _numbers(raw, kinds, found, what, words)
    odd[where[unsound]] = True
    odd[where[(letters == _F) & np.signbit(values)]] = True
    columns: list[Floats | None] = []
    axes, offsets = np.zeros(len(odd), bool), np.zeros(len(odd), bool)
    for letter in (_X, _Y, _Z, _I, _J, _F):
        which = np.flatnonzero(letters == letter)
        if not len(which):
            columns.append(None)
            continue
        rows = where[which]
        odd[rows[1:][rows[1:] == rows[:-1]]] = True
        column = np.full(len(odd), np.nan)
        column[rows] = values[which]
        columns.append(column)
        if letter >= _X:
            axes[rows] = True
        elif letter != _F:
            offsets[rows] = True
    odd |= ((codes >= 0) | offsets) & ~axes
    index = np.where(axes | (codes >= 0), np.arange(len(odd)), len(odd))
    busy = np.minimum.accumulate(index[::-1])[::-1]
    return Lines(text, number, begins, ends, np.flatnonzero(odd), busy, codes, *columns)


def _mark_strangers(odd: Flags, kinds: Bytes, found: Ints, what: Bytes) -> None:
    """Lines with other characters, signs that do not follow a letter, or numbers and points without one."""
    line_ends = np.flatnonzero(what[:-2] == _END)
    strange = np.flatnonzero((kinds == _OTHER) | (kinds == _SIGN))
    if len(strange):
        stray = strange[(kinds[strange] == _OTHER) | (kinds[strange - 1] < _F)]
        odd[np.searchsorted(found[line_ends], stray)] = True
    if found[0] != 8 or what[0] == _DOT:
        odd[0] = True
    after = line_ends[:-1] + 1
    odd[1:] |= (found[after] != found[line_ends[:-1]] + 1) | (what[after] == _DOT)


def _codes(odd: Flags, raw: Bytes, found: Ints, what: Bytes, line: Ints) -> NDArray[np.int8]:
    """(n,) 0 to 3 for G0, G00, G1, G01 and so on; lines with any other G word, or two, are odd."""
    codes = np.full(len(odd), -1, np.int8)
    which = np.flatnonzero(what == _G)
    if not len(which):
        return codes
    begin, rows = found[which], line[which]
    long = found[which + 1] - begin == 3
    first, last = raw[begin + 1], raw[begin + 1 + long]
    sound = (last | 3 == 51) & (~long | (first == 48)) & (found[which + 1] - begin == 2 + long)
    sound &= what[which + 1] != _DOT
    odd[rows[~sound]] = True
    odd[rows[1:][rows[1:] == rows[:-1]]] = True
    codes[rows] = last & 3
    return codes


def _check_line_numbers(odd: Flags, found: Ints, what: Bytes, line: Ints) -> None:
    """N comes first on its line, with one to five digits."""
    which = np.flatnonzero(what == _N)
    if len(which):
        digits = found[which + 1] - found[which] - 1
        begins = (which == 0) | (what[which - 1] == _END)
        odd[line[which[~(begins & (digits >= 1) & (digits <= 5) & (what[which + 1] != _DOT))]]] = True


def _numbers(raw: Bytes, kinds: Bytes, found: Ints, what: Bytes, words: Ints) -> tuple[Floats, Flags]:
    """The numbers of these words, and which of them are not sound, or too long to be read so."""
    begin, middle = found[words], found[words + 1]
    sign = raw[begin + 1]
    begin = begin + 1 + (kinds[begin + 1] == _SIGN)
    pointed = what[words + 1] == _DOT
    end = found[words + 1 + pointed]
    before, after = middle - begin, end - middle - pointed
    unsound = (before > _MOST_ON_A_SIDE) | (after > _MOST_ON_A_SIDE)
    unsound |= (before + after > _MOST_DIGITS) | (before + after < 1) | (pointed & (what[words + 2] == _DOT))
    before, after = np.clip(before, 0, _MOST_ON_A_SIDE), np.clip(after, 0, _MOST_ON_A_SIDE)
    # Any eight bytes in a row, as one word; the first byte of the text is the lowest.
    eights = np.ndarray((len(raw) - 7,), "<u8", raw, strides=(1,))
    power = _POWER[after]
    whole = _whole(eights, middle, before) * power + _whole(eights, end, after)
    values = whole / power
    return np.where(sign == 45, -values, values), unsound


def _whole(eights: Words, end: Ints, digits: Ints) -> Ints:
    """The numbers that stand in so many digits, at most eight, before these places.

    Neighbours are joined at once in all of a word: digits to pairs, pairs to fours, fours to eight.
    """
    word = eights[end - 8] & np.uint64(0x0F0F0F0F0F0F0F0F) & _KEEP[digits]
    word = word * np.uint64(10 * 2**8 + 1) >> np.uint64(8) & np.uint64(0x00FF00FF00FF00FF)
    word = word * np.uint64(100 * 2**16 + 1) >> np.uint64(16) & np.uint64(0x0000FFFF0000FFFF)
    word = word * np.uint64(10000 * 2**32 + 1) >> np.uint64(32)
    return word.view(np.int64)
