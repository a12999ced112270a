"""A DXF file as ezdxf reads it, strictly: what is cut off, has no end or is too long is refused, never mended."""

from __future__ import annotations

import io
import re
from typing import Any

from toolpaths.base.errors import InputError
from toolpaths.drawings.dxf_units import MM_BY_CODE
from toolpaths.drawings.file_bytes import library

# Lines of the file; 50,000 lines drawn as such take a sixth of it.
MOST_LINES = 6_000_000
_BINARY = b"AutoCAD Binary DXF"
_END = re.compile(rb"(?:^|\n)[ \t]*0[ \t]*\r?\n[ \t]*EOF[ \t]*(?:\r?\n|$)")
# R12 and what was before it: none says its units.
_OLD = "AC1009"


def dxf_document(data: bytes) -> Any:
    """The document of ezdxf.

    Raises InputError for what is no DXF, is cut off or damaged.
    """
    ezdxf = library("ezdxf")
    binary = data.startswith(_BINARY)
    if not binary and data.count(b"\n") + data.count(b"\r") > 2 * MOST_LINES:
        raise InputError(f"The file has more than {MOST_LINES} lines.")
    if not binary and (b"SECTION" not in data or not _END.search(data)):
        what = "is no DXF: it has no sections" if b"SECTION" not in data else "is cut off: its end, EOF, is missing"
        raise InputError(f"The file {what}.")
    try:
        if binary:
            tags = library("ezdxf.lldxf.tagger").binary_tags_loader(data, errors="surrogateescape")
            return library("ezdxf.document").Drawing.load(tags)
        info = library("ezdxf.filemanagement").dxf_stream_info(io.StringIO(data.decode("utf-8", errors="ignore")))
        text = data.decode(info.encoding, errors="surrogateescape")
        return ezdxf.read(io.StringIO(text.replace("\r\n", "\n").replace("\r", "\n")))
    except Exception as error:  # a damaged file makes the library fail in any way
        raise damaged(error) from None


def damaged(error: Exception) -> InputError:
    """What is said of a file on which the library failed."""
    # It may name bytes of the file, which no terminal prints.
    said = "".join(letter if letter.isprintable() else "?" for letter in " ".join(str(error).split()))
    words = said[:200].rstrip(" .:")
    return InputError(f"The file is no sound DXF: {words or type(error).__name__}.")


def mm_per_unit(document: Any, data: bytes) -> float | None:
    """What the file says of its units; None where it says nothing, or is so old that it cannot."""
    if document.dxfversion <= _OLD:
        return None
    if not data.startswith(_BINARY) and b"$INSUNITS" not in data:
        return None  # the library says metres then
    return MM_BY_CODE.get(int(document.header.get("$INSUNITS", 0)))
