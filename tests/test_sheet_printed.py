"""The sheet as a browser prints it: no more than two pages for each side, and one before all sides."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Iterator
from typing import Any

import pytest
from headless import opened
from restart_job import job as tray
from test_weather_station import job as weather_station

import toolpaths as tp

pytestmark = pytest.mark.browser
_PAGE = re.compile(rb"/Type\s*/Page\b")
_SIZE = re.compile(r"/MediaBox \[0 0 ([^\]]+)\]")
# cm across and up, and the whole points of that.
PAPER = {"A4": (21.0, 29.7, "595 841"), "letter": (21.59, 27.94, "612 792")}
_SHOW = """
const articles = [...document.querySelectorAll('body > article')];
for (const each of document.body.children)
  each.style.display = (arguments[0] < 0 ? !articles.includes(each) : each === articles[arguments[0]]) ? '' : 'none';
"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with opened() as found:
        yield found


def printed(browser: Any, paper: str) -> bytes:
    from selenium.webdriver.common.print_page_options import PrintOptions

    options = PrintOptions()
    options.page_width, options.page_height, _ = PAPER[paper]
    options.margin_left = options.margin_right = options.margin_top = options.margin_bottom = 1.2
    return b64decode(browser.print_page(options))


JOBS = {"reference": lambda: weather_station().job, "one side": lambda: tray("M6", "inch")}


@pytest.mark.parametrize("paper", PAPER)
@pytest.mark.parametrize("made", JOBS.values(), ids=JOBS)
def test_each_side_takes_two_printed_pages_at_most(browser, made, paper, tmp_path):
    job: tp.Job = made()
    page = tmp_path / "sheet.html"
    page.write_text(job.sheet(report=job.report(cell=1.0)), encoding="ascii")
    browser.get(page.as_uri())
    headings = [each.text for each in browser.find_elements("css selector", "body > article > h2")]
    assert len(headings) == len(job.setups) + 1 and headings[-1] == "Finished"
    whole = printed(browser, paper)
    sizes = {
        " ".join(str(int(float(each))) for each in found.split()) for found in _SIZE.findall(whole.decode("latin-1"))
    }
    assert sizes == {PAPER[paper][2]}
    pages = []
    for number in range(-1, len(headings)):
        browser.execute_script(_SHOW, number)
        pages.append(len(_PAGE.findall(printed(browser, paper))))
    assert pages[0] == 1, "what is needed, before all sides"
    assert all(1 <= each <= 2 for each in pages[1:]), dict(zip(headings, pages[1:], strict=True))
    assert len(_PAGE.findall(whole)) == sum(pages)
