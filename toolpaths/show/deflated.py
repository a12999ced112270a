"""Bytes packed as a zlib stream (RFC 1950, 1951) by runs of equal bytes alone, in the codes that the format fixes.

A packer of a library may pack otherwise in its next version; this one gives the same bytes for good. Of pictures with
large even areas it leaves little.
"""

from __future__ import annotations

import struct
from zlib import adler32

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
# The longest stretch that one code repeats, and the shortest.
_LONGEST, _SHORTEST = 258, 3
# Codes for lengths: the least length of each, and bits that say how much longer (RFC 1951, 3.2.5).
_EXTRA = np.array([0] * 8 + [bits for bits in range(1, 6) for _ in range(4)] + [0])
_LEAST = np.concatenate([_SHORTEST + np.r_[0, np.cumsum(1 << _EXTRA[:-2])], [_LONGEST]])
_END = 256
# One block, the last, in fixed codes; and the code for "one byte back", of five bits.
_HEADER, _HEADER_BITS, _ONE_BACK_BITS = 0b011, 3, 5


def deflated(data: bytes) -> bytes:
    """A zlib stream of these bytes.

    >>> import zlib
    >>> len(deflated(bytes(10_000))), zlib.decompress(deflated(b"aaaab")) == b"aaaab"
    (73, True)
    """
    values, bits = _codes(np.frombuffer(data, np.uint8))
    return b"\x78\x01" + _packed(values, bits) + struct.pack(">I", adler32(data))


def _codes(data: NDArray[np.uint8]) -> tuple[Ints, Ints]:
    """Numbers and how many bits of each, least first: the header, what stands for each run, the end."""
    begins = np.r_[0, np.flatnonzero(np.diff(data)) + 1] if len(data) else np.zeros(0, np.int64)
    runs = np.diff(np.r_[begins, len(data)])
    # Of each run its first byte, then whole stretches, and what is left: a shorter stretch, or the byte again.
    whole, left = np.divmod(runs - 1, _LONGEST)
    again = np.where(left < _SHORTEST, left, 0)
    stretched = (left >= _SHORTEST).astype(np.int64)
    counts = np.column_stack([np.ones_like(runs), whole, stretched, again])
    literal, literal_bits = _symbol(data[begins].astype(np.int64))
    longest, longest_bits = _stretch(np.full_like(runs, _LONGEST))
    shorter, shorter_bits = _stretch(np.maximum(left, _SHORTEST))
    rows = (
        np.column_stack([literal, longest, shorter, literal]),
        np.column_stack([literal_bits, longest_bits, shorter_bits, literal_bits]),
    )
    values, bits = (np.repeat(row.ravel(), counts.ravel()) for row in rows)
    end, end_bits = _symbol(np.array([_END]))
    return np.r_[_HEADER, values, end], np.r_[_HEADER_BITS, bits, end_bits]


def _symbol(symbols: Ints) -> tuple[Ints, Ints]:
    """The fixed code of each symbol, its bits in the order in which they stand (RFC 1951, 3.2.6)."""
    ranges = [symbols < 144, symbols < 256, symbols < 280]
    bits = np.select(ranges, [8, 9, 7], 8)
    code = np.select(ranges, [0x30 + symbols, 0x190 + symbols - 144, symbols - 256], 0xC0 + symbols - 280)
    turned = np.zeros_like(code)
    for nth in range(9):
        turned = np.where(nth < bits, turned << 1 | code >> nth & 1, turned)
    return turned, bits


def _stretch(lengths: Ints) -> tuple[Ints, Ints]:
    """So many bytes equal to the one before."""
    number = np.searchsorted(_LEAST, lengths, side="right") - 1
    code, bits = _symbol(_END + 1 + number)
    extra = _EXTRA[number]
    return code | (lengths - _LEAST[number]) << bits, bits + extra + _ONE_BACK_BITS


def _packed(values: Ints, bits: Ints) -> bytes:
    """Numbers one after the other, the least bit of each first."""
    ends = np.cumsum(bits)
    stream = np.zeros(int(ends[-1]), np.uint8)
    begins = ends - bits
    for nth in range(int(bits.max())):
        some = nth < bits
        stream[begins[some] + nth] = values[some] >> nth & 1
    return np.packbits(stream, bitorder="little").tobytes()
