"""The pages: every public name with its call, its docstring and its examples; and what each sample makes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.metadata import PackageNotFoundError, version

from docstring_markup import docstring_markup
from public_names import Described, described, groups
from sample_pictures import SamplePictures

from toolpaths.show.markup import Content, Markup, joined, plain_ascii, tag
from toolpaths.show.palette import GREY, INK, PALE, PAPER

NAMES, PICTURES = "index.html", "samples.html"

_STYLE = f"""
* {{ box-sizing: border-box; }}
body {{ font: 16px/1.45 sans-serif; color: {INK}; background: {PAPER}; }}
body {{ margin: 0 auto; padding: 0 14px 4em; max-width: 62em; }}
h1 {{ font-size: 1.7em; margin: .5em 0 .2em; }}
h2 {{ font-size: 1.35em; border-top: 3px solid {INK}; padding-top: .3em; margin: 1.8em 0 .4em; }}
h3 {{ font: bold 1.1em monospace; margin: 1.6em 0 .3em; }}
h4 {{ font: bold 1em monospace; margin: 1em 0 .2em; }}
p {{ margin: .4em 0; max-width: 48em; }}
pre {{ background: {PALE}; padding: .5em .8em; margin: .4em 0; overflow-x: auto; font-size: .88em; }}
pre.call {{ background: {PAPER}; border: 1px solid {GREY}; }}
dl {{ display: grid; grid-template-columns: minmax(6em, max-content) 1fr; gap: .15em 1em; margin: .4em 0; }}
dt {{ font-family: monospace; }}
dd {{ margin: 0; max-width: 46em; }}
a {{ color: {INK}; }}
nav ul {{ list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .1em 1.1em; margin: .2em 0 .8em; }}
nav li {{ font-family: monospace; }}
.member {{ border-left: 3px solid {PALE}; padding-left: 1em; }}
figure {{ margin: 1em 0; }}
figcaption {{ color: {GREY}; }}
img {{ max-width: 100%; height: auto; }}
@media (max-width: 640px) {{ dl {{ grid-template-columns: 1fr; }} dd {{ margin-left: 1.2em; }} }}
"""


def names_page() -> str:
    """Every public name."""
    listed = groups()
    ways = [
        [tag("p", tag("strong", heading)), tag("ul", (tag("li", _link(name)) for name in names))]
        for heading, names in listed.items()
    ]
    shown = [[tag("h2", heading), [_section(described(name)) for name in names]] for heading, names in listed.items()]
    cautions = tag("p", "The work can hurt: the machine's manual, local codes and qualified practice come first.")
    units = tag("p", "All lengths are millimetres; other units stand in the names of arguments.")
    pictures = tag("p", tag("a", "What each sample makes", href=PICTURES))
    return _page(f"toolpaths {_version()}: everything public", cautions, units, pictures, tag("nav", ways), shown)


def pictures_page(samples: Sequence[tuple[SamplePictures, Mapping[str, str]]]) -> str:
    """What each sample makes. samples: each, with the file names of its pictures by what they show"""
    shown = [
        [
            tag("h2", sample.name, id=sample.name),
            docstring_markup(sample.about),
            tag("pre", sample.judged),
            [_figure(what, file) for what, file in files.items()],
        ]
        for sample, files in samples
    ]
    back = tag("p", tag("a", "Everything public", href=NAMES))
    said = tag("p", "Simulated from the text of the programs; a wooden part has its own grain, knots and moisture.")
    return _page("toolpaths: what each sample makes", back, said, shown)


def _figure(what: str, file: str) -> Markup:
    return tag("figure", tag("img", src=file, alt=what, loading="lazy"), tag("figcaption", what))


def _section(each: Described) -> Markup:
    members = [
        tag("div", tag("h4", one.name, id=one.name), _said(one), class_="member") for one in each.members if one.doc
    ]
    return tag("section", tag("h3", each.name, id=each.name), _said(each), members)


def _said(each: Described) -> Markup:
    call = tag("pre", each.call, class_="call") if each.call != each.name else None
    return joined([call, docstring_markup(each.doc)])


def _link(name: str) -> Markup:
    return tag("a", name, href=f"#{name}")


def _page(title: str, *contents: Content) -> str:
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", name_="viewport", content="width=device-width, initial-scale=1"),
        tag("title", title),
        tag("style", Markup(_STYLE)),
    )
    return (
        "<!DOCTYPE html>\n" + plain_ascii(tag("html", head, tag("body", tag("h1", title), contents), lang="en")) + "\n"
    )


def _version() -> str:
    try:
        return version("toolpaths")
    except PackageNotFoundError:
        return ""
