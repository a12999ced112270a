"""The reference that one command writes: all that is public stands in it, links lead on, pictures show something."""

from __future__ import annotations

import inspect
import os
import re
import subprocess
import sys
import zlib
from html.parser import HTMLParser
from pathlib import Path
from struct import unpack
from xml.etree import ElementTree

import numpy as np
import pytest

import toolpaths as tp

pytestmark = pytest.mark.long

ROOT = Path(__file__).resolve().parents[1]
COMMAND = ROOT / "reference" / "write_reference.py"


class _Page(HTMLParser):
    """What a page links to and shows, the places in it that can be linked to, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.ids: list[str] = []
        self.sources: list[str] = []
        self.tags: set[str] = set()
        self.open: list[str] = []
        self.said: dict[str, list[str]] = {}
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.tags.add(tag)
        if tag not in {"meta", "img", "br", "hr"}:
            self.open.append(tag)
        self.ids += [given["id"]] if "id" in given else []
        self.links += [given["href"]] if "href" in given else []
        self.sources += [given["src"]] if "src" in given else []

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.said.setdefault(self.ids[-1] if self.ids else "", []).append(data)

    def words(self, name: str) -> str:
        """All that stands below a place, up to the next, in words parted by a blank."""
        return f" {_words(' '.join(self.said.get(name, [])))} "


def _words(text: str) -> str:
    return re.sub(r"\W+", " ", text).strip()


@pytest.fixture(scope="module")
def names(tmp_path_factory: pytest.TempPathFactory) -> _Page:
    """The page of names alone, in a process of its own: pictures of no sample."""
    folder = tmp_path_factory.mktemp("reference")
    code = (
        f"import sys; sys.path.insert(0, {str(COMMAND.parent)!r})\nfrom pathlib import Path\n"
        f"from write_reference import write_reference\nwrite_reference(Path({str(folder)!r}), [])"
    )
    subprocess.run([sys.executable, "-c", code], check=True, env={**os.environ, "PYTHONPATH": str(ROOT)})
    assert {path.name for path in folder.iterdir()} == {"index.html", "samples.html"}
    return _Page((folder / "index.html").read_text("ascii"))


def test_every_public_name_stands_in_it_once_with_all_that_its_docstring_says(names: _Page) -> None:
    assert sorted(each for each in names.ids if "." not in each) == sorted(tp.__all__)
    assert len(names.ids) == len(set(names.ids))
    for name in tp.__all__:
        thing = getattr(tp, name)
        if not callable(thing):
            continue
        words = names.words(name)
        for line in (inspect.getdoc(thing) or "").splitlines():
            assert f" {_words(line)} ".replace("  ", " ") in words, (name, line)


def test_every_argument_stands_in_the_call(names: _Page) -> None:
    functions = [name for name in tp.__all__ if inspect.isfunction(getattr(tp, name))]
    assert len(functions) > 40
    for name in functions:
        call = next(text for text in names.said[name] if text.startswith(f"{name}("))
        for argument, each in inspect.signature(getattr(tp, name)).parameters.items():
            assert re.search(rf"[ (*]{argument}: ", call), (name, argument)
            assert each.default in (each.empty, None) or repr(each.default) in call


def test_methods_of_a_job_stand_in_it(names: _Page) -> None:
    assert {"Job.write", "Job.report", "Job.programs", "Fixture.turned_over"} <= set(names.ids)
    assert not [each for each in names.ids if "._" in each]


def test_links_lead_somewhere_and_nothing_comes_from_elsewhere(names: _Page) -> None:
    assert len(names.links) > len(tp.__all__)
    assert {link for link in names.links if not link.startswith("#")} == {"samples.html"}
    assert {link[1:] for link in names.links if link.startswith("#")} <= set(names.ids)
    assert not names.tags & {"script", "link", "iframe", "object"} and names.sources == []


def _pixels(data: bytes) -> np.ndarray:
    """The grey of each pixel of a PNG, its filters undone, by the standard (ISO/IEC 15948), not by a library."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, packed, size = 8, b"", (0, 0)
    while at < len(data):
        (length,), kind = unpack(">I", data[at : at + 4]), data[at + 4 : at + 8]
        body = data[at + 8 : at + 8 + length]
        assert unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + body)
        if kind == b"IHDR":
            assert body[8:] == bytes([8, 0, 0, 0, 0])  # a byte a pixel, grey
            size = unpack(">II", body[:8])
        packed += body if kind == b"IDAT" else b""
        at += 12 + length
    rows = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(size[1], size[0] + 1)
    assert set(np.unique(rows[:, 0])) <= {0}
    return rows[:, 1:]


def test_the_command_writes_pictures_of_all_samples_into_the_folder_alone(tmp_path: Path) -> None:
    """Each of them valid, and not blank."""
    folder = tmp_path / "reference"
    command = [sys.executable, "-B", str(COMMAND), str(folder)]
    surroundings = {**os.environ, "PYTHONPATH": str(ROOT)}
    before = {path for path in ROOT.rglob("*") if ".git" not in path.parts and "__pycache__" not in path.parts}
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path, env=surroundings)
    assert done.returncode == 0, done.stderr
    assert {path.name for path in tmp_path.iterdir()} == {"reference"}
    after = {path for path in ROOT.rglob("*") if ".git" not in path.parts and "__pycache__" not in path.parts}
    assert {path for path in after - before if "toolpaths" in path.parts or "samples" in path.parts} == set()
    files = {path.name for path in folder.iterdir()}
    assert f"{len(files)} files written" in done.stdout
    page = _Page((folder / "samples.html").read_text("ascii"))
    assert set(page.ids) == {path.stem for path in (ROOT / "samples").glob("*.py") if not path.stem.startswith("test_")}
    assert set(page.sources) == files - {"index.html", "samples.html"}
    assert page.links == ["index.html"] and "script" not in page.tags
    for file in page.sources:
        if file.endswith(".png"):
            grey = _pixels((folder / file).read_bytes())
            assert min(grey.shape) > 100 and len(np.unique(grey)) > 8 and grey.std() > 2, file
        else:
            drawing = ElementTree.parse(folder / file).getroot()
            assert drawing.tag == "{http://www.w3.org/2000/svg}svg"
            drawn = [each for each in drawing.iter() if each.tag.rpartition("}")[2] in {"path", "line", "text"}]
            assert len(drawn) > 5, file


def test_without_a_folder_the_command_says_how_it_is_called(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-B", str(COMMAND)], capture_output=True, text=True, check=False, cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode == 1 and "python reference/write_reference.py FOLDER" in done.stderr
    assert list(tmp_path.iterdir()) == []
