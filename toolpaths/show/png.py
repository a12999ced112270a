"""A picture of grey values as a PNG file (ISO/IEC 15948), the same bytes on every machine.

Shaded wood is even over large areas, so that runs of equal pixels are most of it.
"""

from __future__ import annotations

import struct
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from toolpaths.show.deflated import deflated


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
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", header) + _chunk(b"IDAT", deflated(raw)) + _chunk(b"IEND", b"")


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", crc32(kind + data))
