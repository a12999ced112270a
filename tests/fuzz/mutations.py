"""Edits of an input that keep to its structure: words of a line, elements of a tree, pairs of a group code and a value,
chunks and tables with their sums. Bytes alone rarely get past the first check of such a file."""

from __future__ import annotations

import re
from random import Random
from struct import pack, unpack
from zlib import crc32

NUMBERS = (
    "0", "-0", "1", "-1", ".", "-", "", "1e308", "-1e308", "1e-320", "nan", "inf", "999999999", "1000000000", "1e400",
    "0.0000001", "9" * 400, "2147483648", "-2147483649", "65536", "0x10", "1.2.3", "5,5", "\u0663", "50%", "3in",
)  # fmt: skip
WORDS = {
    "text": [f"G{n}" for n in (0, 1, 2, 3, 4, 17, 18, 19, 20, 21, 28, 30, 40, 43, 49, 53, 54, 55, 80, 81, 82, 83, 90,
             91, 92, 94, 98, 99)] + ["G92.1", "G92.2", "G92.3", "M0", "M1", "M2", "M3", "M4", "M5", "M6", "M30", "M60",
             "T1", "H1", "P1", "Q1", "R1", "L9999", "I1", "J1", "K1", "X1", "Y1", "Z-1", "F100", "S1", "N1", "O1", "%",
             "(MSG, a)", "(T1: a)", "/", ";", "#1", "[1]", "E1"],
    "svg": ["M", "m", "L", "h", "V", "c", "S", "q", "T", "A", "a", "z", "<use href='#a'/>", "<g>", "</g>", "transform=",
            "matrix(", "viewBox=", "width=", "rx=", "fill:none", "display:none", "xlink:href='#a'", "<!DOCTYPE a>",
            "<symbol id='a'>", "</symbol>", "<style>", "</style>", "<clipPath>", "points=", "rotate(", "skewX("],
    "dxf": ["SECTION", "ENDSEC", "EOF", "LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE",
            "VERTEX", "SEQEND", "INSERT", "BLOCK", "ENDBLK", "HATCH", "TEXT", "B1", "ENTITIES", "BLOCKS", "$INSUNITS"],
    "picture": [], "font": [],
}  # fmt: skip
_NUMBER = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")


def mutated(target: str, data: bytes, random: Random) -> bytes:
    """The input with one to four edits."""
    for _ in range(random.choice((1, 1, 2, 4))):
        data = _EDITS[target](data, random)
    return data


def _number(data: bytes, random: Random) -> bytes:
    places = list(_NUMBER.finditer(data))
    if not places:
        return data
    at = random.choice(places)
    if random.random() < 0.5:
        new = random.choice(NUMBERS).encode()
    else:
        new = f"{random.uniform(-100, 100):.{random.choice((0, 1, 3))}f}".encode()
    return data[: at.start()] + new + data[at.end() :]


def _units(units: list[bytes], random: Random) -> list[bytes]:
    """One of them, or some, left out, doubled, moved or changed for another."""
    if not units:
        return units
    at, other, length = random.randrange(len(units)), random.randrange(len(units)), random.choice((1, 1, 2, 8))
    run = units[at : at + length]
    kind = random.randrange(4)
    if kind == 0:
        return units[:at] + units[at + length :]
    if kind == 1:
        return units[:other] + run * random.choice((1, 1, 2, 30)) + units[other:]
    if kind == 2:
        units[at], units[other] = units[other], units[at]
        return units
    return units[:other] + run + units[other + length :]


def _word(target: str, data: bytes, random: Random) -> bytes:
    at = random.choice([match.end() for match in re.finditer(rb"[\s>]|$", data)])
    return data[:at] + random.choice(WORDS[target]).encode() + random.choice((b" ", b"\n", b"")) + data[at:]


def _text(data: bytes, random: Random) -> bytes:
    kind = random.randrange(4)
    if kind == 0:
        return _number(data, random)
    if kind == 1:
        return _word("text", data, random)
    if kind == 2:
        return b"\n".join(_units(data.split(b"\n"), random))
    return b" ".join(_units(data.split(b" "), random))


def _svg(data: bytes, random: Random) -> bytes:
    kind = random.randrange(5)
    if kind < 2:
        return _number(data, random)
    if kind == 2:
        return _word("svg", data, random)
    if kind == 3:
        # A whole attribute in another place.
        given = re.findall(rb"""[\w:]+=(?:"[^"]*"|'[^']*')""", data)
        ends = [match.start() for match in re.finditer(rb"/?>", data)]
        if given and ends:
            at = random.choice(ends)
            return data[:at] + b" " + random.choice(given) + data[at:]
        return data
    return b"".join(_units(_tags(data), random))


def _tags(data: bytes) -> list[bytes]:
    return re.findall(rb"<[^>]*>|[^<]+|<", data)


def _dxf(data: bytes, random: Random) -> bytes:
    lines = data.split(b"\n")
    pairs = [b"\n".join(lines[n : n + 2]) for n in range(0, len(lines), 2)]
    kind = random.randrange(5)
    if kind == 0:
        return b"\n".join(_units(pairs, random))
    if kind == 1:
        # A whole entity or section mark: from one pair with the code 0 up to the next.
        starts = [n for n, pair in enumerate(pairs) if pair.split(b"\n")[0].strip() == b"0"]
        things = [b"\n".join(pairs[a:b]) for a, b in zip(starts, [*starts[1:], len(pairs)])]
        return b"\n".join(_units(things, random))
    at = random.randrange(len(pairs))
    code, _, value = pairs[at].partition(b"\n")
    if kind == 2:
        code = str(random.choice((0, 1, 2, 3, 5, 8, 10, 20, 30, 40, 41, 42, 50, 62, 66, 67, 70, 71, 90, 100, 210, 230,
                                  330, 999, 1071, -1, 99999))).encode()  # fmt: skip
    elif random.random() < 0.6:
        value = random.choice(NUMBERS).encode()
    else:
        value = random.choice(WORDS["dxf"]).encode()
    pairs[at] = code + b"\n" + value
    return b"\n".join(pairs)


def _bytes(data: bytes, random: Random) -> bytes:
    """A number of one, two or four bytes written anew."""
    if not data:
        return data
    raw, size = bytearray(data), random.choice((1, 2, 4))
    at = random.randrange(max(1, len(raw) - size + 1))
    old = int.from_bytes(raw[at : at + size], "big")
    new = random.choice(
        (0, 1, 2 ** (8 * size) - 1, 2 ** (8 * size - 1), old + 1, old - 1, random.getrandbits(8 * size))
    )
    raw[at : at + size] = (new % 2 ** (8 * size)).to_bytes(size, random.choice(("big", "little")))
    return bytes(raw)


def _picture(data: bytes, random: Random) -> bytes:
    if not data.startswith(b"\x89PNG\r\n\x1a\n"):
        return _bytes(data[:80], random) + data[80:] if random.random() < 0.6 else _bytes(data, random)
    chunks, at = list[bytes](), 8
    while at + 8 <= len(data):
        size = unpack(">I", data[at : at + 4])[0]
        chunks.append(data[at + 4 : at + 8 + size])
        at += 12 + size
    if chunks and random.random() < 0.7:
        nth = random.randrange(len(chunks))
        chunks[nth] = chunks[nth][:4] + _bytes(chunks[nth][4:], random)
    else:
        chunks = _units(chunks, random)
    # With sums that are right, so that the edit is read at all.
    return data[:8] + b"".join(pack(">I", max(0, len(each) - 4)) + each + pack(">I", crc32(each)) for each in chunks)


def _font(data: bytes, random: Random) -> bytes:
    if len(data) < 12:
        return _bytes(data, random)
    count = unpack(">H", data[4:6])[0]
    entries = [data[12 + 16 * n : 28 + 16 * n] for n in range(min(count, 40))]
    tables = list[tuple[bytes, bytes]]()
    for entry in entries:
        if len(entry) == 16:
            name, _, offset, size = unpack(">4sIII", entry)
            tables.append((name, data[offset : offset + size]))
    if not tables or random.random() < 0.05:
        return _bytes(data, random)
    nth, kind = random.randrange(len(tables)), random.random()
    name, table = tables[nth]
    if kind < 0.75:
        # Counts and offsets stand first.
        head = random.choice((16, 64, len(table)))
        tables[nth] = (name, _bytes(table[:head], random) + table[head:])
    elif kind < 0.82:
        del tables[nth]
    elif kind < 0.9:
        tables[nth] = (name, random.choice(tables)[1])
    else:
        tables[nth] = (name, table[: random.randrange(len(table) + 1)])
    head, body, at = data[:4] + pack(">H", len(tables)) + data[6:12], b"", 12 + 16 * len(tables)
    for name, table in tables:
        head += pack(">4sIII", name, 0, at + len(body), len(table))
        body += table + bytes(-len(table) % 4)
    return head + body


_EDITS = {"text": _text, "svg": _svg, "dxf": _dxf, "picture": _picture, "font": _font}
