"""A picture of grey values as a PNG file (ISO/IEC 15948), the same bytes on every machine.

The pixels are stored, not packed: what a packer makes of them differs from one version of its library to the next.
"""

from __future__ import annotations

import struct
from zlib import adler32, crc32

import numpy as np
from numpy.typing import NDArray

# What a stored block of deflate holds at most (RFC 1951, 3.2.4).
_BLOCK = 65_535


def png(pixels: NDArray[np.uint8]) -> bytes:
    """The file of a picture.

    pixels : (rows, columns) 0 black to 255 white, the uppermost row first

    >>> png(np.zeros((2, 3), np.uint8))[:8]
    b'\\x89PNG\\r\\n\\x1a\\n'
    """
    rows, columns = pixels.shape
    # Each row begins with the number of its filter, 0 for none.
    raw = np.hstack([np.zeros((rows, 1), np.uint8), pixels]).tobytes()
    header = struct.pack(">IIBBBBB", columns, rows, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", header) + _chunk(b"IDAT", _stored(raw)) + _chunk(b"IEND", b"")


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", crc32(kind + data))


def _stored(raw: bytes) -> bytes:
    """As a zlib stream (RFC 1950) of stored blocks."""
    parts = [raw[at : at + _BLOCK] for at in range(0, len(raw), _BLOCK)] or [b""]
    blocks = [
        struct.pack("<BHH", number == len(parts) - 1, len(part), len(part) ^ 0xFFFF) + part
        for number, part in enumerate(parts)
    ]
    return b"\x78\x01" + b"".join(blocks) + struct.pack(">I", adler32(raw))
