"""Small sound inputs from which the fuzzing of each reader begins, made when they are asked for."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from pathlib import Path

_TESTS = Path(__file__).resolve().parents[1]
FOUND = Path(__file__).with_name("found")
# Heads that make a text one that the proof understands; what no program by hand holds.
PROVED = (
    "(T1: cutter)\nG17 G21 G40 G49 G54 G90 G94 G98\nT1 M6\nM3 S18000\nG0 Z10\nX20 Y20\nG1 Z-2 F400\n"
    "G2 X30 Y20 I5 J0\nG3 X30 Y20 Z-4 I-5\nG0 Z10\nG81 X40 Y30 Z-5 R2\nX50\nG83 Z-8 R1 Q3 X60 Y40\nG80\nM5\nM30\n"
)
_TEXTS = (
    PROVED, PROVED.replace("G21", "G20").replace("G98", "G99"), f"%\n{PROVED}%\n",
    "G18 G21 G2 X5 Z5 R5 F300\nG92 X0\nG91 G1 X1\nG92.1\nG28 Z0\nG53 G0 X0\nM2\n",
    "\n".join(f"G1 X{n} Y{n / 8} F500" for n in range(40)) + "\nM2\n",
)  # fmt: skip
_SVG = b"""<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="80mm" height="50mm"
 viewBox="0 0 80 50"><defs><g id="a"><circle r="3" cx="9" cy="9"/></g></defs><use xlink:href="#a" x="5" y="2"/>
<style>.c{fill:none;stroke:red}</style><g transform="translate(3,4) rotate(30) skewX(5) matrix(1 0 0 1 2 2)" class="c">
<path d="M10,10 h20 v10 H10 z m5 2 c1 1 2 2 3 0 s2 -2 3 0 q2 2 4 0 t4 0 a5 3 20 0 1 6 6 L4 40"/></g><polyline
 points="1,1 5,5 9,1"/><polygon points="20 30 25 30 22 35" fill-rule="evenodd"/><ellipse cx="50%" cy="20" rx="8"
 ry="4"/><line x1="0" y1="0" x2="10" y2="10"/><rect x="30" y="20" width="10" height="6" rx="1" style="display:inline"/>
<svg x="5" width="20" height="20" viewBox="0 0 10 10" preserveAspectRatio="xMinYMax slice"><path
 d="M0 0L5 5"/></svg></svg>"""


def _texts() -> Iterator[bytes]:
    yield from (text.encode() for text in _TEXTS)
    yield from (path.read_bytes() for path in sorted((_TESTS / "hand_written").glob("*.nc")))


def _svgs() -> Iterator[bytes]:
    yield _SVG
    yield from (path.read_bytes() for path in sorted((_TESTS.parent / "samples").glob("*.svg")))


def _dxfs() -> Iterator[bytes]:
    import ezdxf

    for version in ("R12", "R2000", "R2010"):
        document = ezdxf.new(version)
        document.header["$INSUNITS"] = 4
        block = document.blocks.new("B1")
        block.add_circle((1, 1), 2)
        space = document.modelspace()
        space.add_line((0, 0), (10, 0))
        space.add_arc((5, 5), 3, 10, 200)
        space.add_blockref("B1", (20, 5), {"xscale": 2, "yscale": 2, "rotation": 30})
        space.add_polyline2d([(0, 0, 0, 0, 0.5), (9, 0, 0, 0, 0), (9, 9, 0, 0, -1)], format="xyseb", close=True)
        if version != "R12":
            space.add_lwpolyline([(0, 0, 0.5), (9, 0, 0), (9, 9, -1)], format="xyb", close=True)
            space.add_ellipse((5, 5), (4, 1), 0.4, 0, 5)
            space.add_spline([(0, 0), (4, 4), (8, 0), (12, 4)])
            space.add_text("words")
            space.add_hatch().paths.add_polyline_path([(0, 0), (5, 0), (5, 5)])
        out = io.StringIO()
        document.write(out)
        yield out.getvalue().encode()
        entities = out.getvalue().index("  2\nENTITIES\n")
        # The same without tables and objects, so that edits fall on what is drawn.
        yield ("  0\nSECTION\n" + out.getvalue()[entities:]).encode()


def _pictures() -> Iterator[bytes]:
    import numpy as np
    from PIL import Image

    y, x = np.mgrid[:40, :60]
    grey = np.where(np.hypot(x - 30, y - 20) < 14, 20, 230).astype(np.uint8)
    plain = Image.fromarray(grey)
    for kind, image, more in (
        ("PNG", plain, {}), ("PNG", plain.convert("P"), {}), ("PNG", plain.convert("RGBA"), {}),
        ("PNG", Image.fromarray(grey.astype(np.uint16) * 257), {}), ("JPEG", plain, {}),
        ("JPEG", plain.convert("CMYK"), {}),
        ("TIFF", plain, {}), ("TIFF", plain.convert("RGB"), {"compression": "tiff_lzw"}),
        ("TIFF", plain.convert("1"), {}), ("TIFF", plain.convert("F"), {}), ("BMP", plain, {}),
        ("BMP", plain.convert("RGB"), {}), ("WEBP", plain, {}),
    ):  # fmt: skip
        out = io.BytesIO()
        image.save(out, kind, **more)
        yield out.getvalue()


def _fonts() -> Iterator[bytes]:
    from fontTools import subset
    from open_fonts import DEJAVU_SANS

    for text in ("HIEx fi", "H"):
        options = subset.Options(layout_features=["*"], hinting=False, notdef_outline=True)
        font = subset.load_font(str(DEJAVU_SANS), options)
        cutter = subset.Subsetter(options)
        cutter.populate(text=text)
        cutter.subset(font)
        out = io.BytesIO()
        font.save(out)
        yield out.getvalue()


_SEEDS: dict[str, Callable[[], Iterator[bytes]]] = {
    "text": _texts, "svg": _svgs, "dxf": _dxfs, "picture": _pictures, "font": _fonts,
}  # fmt: skip


def seeds(target: str) -> list[bytes]:
    return list(_SEEDS[target]())


def found(target: str) -> list[Path]:
    """Inputs on which that reader once failed."""
    return sorted((FOUND / target).glob("*"))
