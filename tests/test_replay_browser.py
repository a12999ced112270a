"""The replay in a browser: driven by mouse and by keyboard, and held against the judge."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from headless import opened
from restart_job import FRONT
from restart_job import job as tray

import toolpaths as tp

pytestmark = pytest.mark.browser


@cache
def count() -> int:
    """Lines of the program that is played."""
    return len(tray().programs()["front"].splitlines())


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with opened() as found:
        yield found


@pytest.fixture(scope="module")
def address(tmp_path_factory) -> str:
    return written(tmp_path_factory.mktemp("replay"), tray())


def written(folder: Path, job: tp.Job) -> str:
    job.replay("front", report=job.report(cell=2.0)).write(folder / "front.html")
    return (folder / "front.html").as_uri()


@pytest.fixture
def page(browser, address) -> Iterator[Page]:
    browser.get(address)
    found = Page(browser)
    yield found
    # What the browser says of how often the tests look at the drawing is none of the page.
    assert [each for each in browser.get_log("browser") if each["source"] != "rendering"] == []
    assert browser.execute_script("return performance.getEntriesByType('resource').length") == 0


class Page:
    """What a user sees, and what a user does."""

    def __init__(self, browser: Any) -> None:
        self.browser = browser

    def find(self, name: str) -> Any:
        return self.browser.find_element("id", name)

    def now(self, name: str) -> str:
        return self.find(f"now-{name}").text

    @property
    def line(self) -> int:
        number, of, lines = self.now("line").split()
        assert (of, int(lines)) == ("of", count())
        return int(number)

    @property
    def seconds(self) -> int:
        minutes, _, seconds, *_ = self.now("time").split()
        return 60 * int(minutes) + int(seconds)

    @property
    def says(self) -> str:
        return self.find("says").text

    def press(self, *keys: str) -> None:
        from selenium.webdriver.common.action_chains import ActionChains
        from selenium.webdriver.common.keys import Keys

        ActionChains(self.browser).send_keys(*(getattr(Keys, key, key) for key in keys)).perform()

    def click_on_board(self, x: float, y: float) -> None:
        """The place is found from the figures at the corners of the drawing, as an eye does it."""
        from selenium.webdriver.common.action_chains import ActionChains

        board = self.find("board")
        left, right, top, bottom = 44, 12, 12, 26  # of the margins, px
        wide, tall = board.size["width"] - left - right, board.size["height"] - top - bottom
        across = left + x / FRONT.board.width * wide - board.size["width"] / 2
        down = top + (1 - y / FRONT.board.height) * tall - board.size["height"] / 2
        ActionChains(self.browser).move_to_element_with_offset(board, round(across), round(down)).click().perform()

    def wait_for(self, true: Any) -> None:
        from selenium.webdriver.support.wait import WebDriverWait

        WebDriverWait(self.browser, 20, 0.02).until(lambda _: true())


@cache
def depth_before(line: int, x: float, y: float) -> float:
    """mm cut away at a place by the lines before one, as the judge has it."""
    text = "".join(tray().programs()["front"].splitlines(keepends=True)[: line - 1])
    wood = tp.simulate(text, FRONT, tray().setups[0].cutters, cell=0.31).stock
    return -float(wood.top[wood.cell_at(x, y)])


def test_it_is_stepped_by_keys(page):
    page.press("ARROW_RIGHT", "ARROW_RIGHT", "ARROW_RIGHT", "ARROW_LEFT")
    assert page.line == 3
    page.press("END")
    assert page.line == count() and page.now("time").split(" of ")[0] == page.now("time").split(" of ")[1]
    page.press("HOME", "ARROW_LEFT")
    assert page.line == 1 and page.seconds == 0
    page.press("PAGE_DOWN", "PAGE_DOWN", "PAGE_DOWN")
    assert "M0" in page.says
    page.press("PAGE_DOWN", "PAGE_DOWN")
    assert "(tray)" in page.says
    page.press("PAGE_UP", "PAGE_UP")
    assert page.says == f"Line {page.line}: M0"


def test_all_that_a_mouse_can_do_is_reached_by_tab(page):
    """Each control has a name, and shows that it has the focus."""
    seen = []
    for _ in range(12):
        page.press("TAB")
        focus = page.browser.switch_to.active_element
        assert focus.accessible_name, focus.get_attribute("outerHTML")
        assert focus.value_of_css_property("outline-style") == "solid"
        seen.append(focus.get_attribute("id") or focus.tag_name)
    wanted = ["run", "back", "on", "first", "last", "moment", "rate", "place-x", "place-y", "button", "text"]
    assert seen[: len(wanted)] == wanted


def test_it_runs_in_the_machines_time_until_the_machine_waits(page):
    page.press("+", "+", "+", " ")
    assert page.find("run").text == "Hold it"
    page.wait_for(lambda: "Drive the screws" in page.says)
    stop = page.line
    assert tray().programs()["front"].splitlines()[stop - 1] == "M0"
    assert page.find("run").text == "Let it run"
    page.press(" ", " ")
    assert page.says.startswith("Held at line")


def test_time_goes_by_as_often_as_asked_for(page):
    """A second of the clock on the wall is a second of the machine, or twenty."""
    page.find("marks").find_elements("tag name", "button")[-1].click()
    for rate in (1, 20):
        page.find("rate").find_element("css selector", f"[value='{rate}']").click()
        gone = page.browser.execute_async_script(
            """const done = arguments[0], moment = document.getElementById("moment");
            const run = document.getElementById("run");
            run.click();
            requestAnimationFrame(() => { const begun = performance.now(), from = Number(moment.value);
              setTimeout(() => requestAnimationFrame((now) => { const until = Number(moment.value); run.click();
                done([until - from, (performance.now() - begun) / 1000]); }), 900); });"""
        )
        assert gone[0] == pytest.approx(rate * gone[1], abs=0.25 * rate)


def test_a_click_on_the_board_goes_to_the_line_that_cuts_there(page):
    """The judge finds more wood at the place before that line than after it; and none is cut before the first."""
    x, y = 50.0, 45.0
    page.click_on_board(x, y)
    first = page.line
    assert "is cut by line" in page.says and depth_before(first, x, y) == 0 < depth_before(first + 1, x, y)
    page.click_on_board(x, y)
    second = page.line
    assert second > first and depth_before(second, x, y) < depth_before(second + 1, x, y)
    page.click_on_board(6, 45)  # nothing is cut there
    assert page.says.startswith("Nothing is cut at") and page.line == second


def test_a_place_is_asked_for_by_keys(page):
    page.press("END")
    for name, value in (("place-x", "90"), ("place-y", "45")):
        page.find(name).send_keys(value)
    page.press("ENTER")
    assert "X90 Y45 is cut by line" in page.says
    assert depth_before(page.line, 90, 45) == 0 < depth_before(page.line + 1, 90, 45)


def test_the_wood_under_the_cutter_is_the_judges_at_any_line_forwards_and_back(page):
    lines = tray().programs()["front"].splitlines()
    for line in (count(), 60, 120, 90, 219, 61, 200):
        page.browser.execute_script(
            "const list = document.getElementById('text'); list.scrollTop = (arguments[0] - 5) * 22;", line
        )
        rows = f"//*[@id='rows']/div[@id='row-{line - 1}']"
        page.wait_for(lambda rows=rows: page.browser.find_elements("xpath", rows))
        page.browser.find_element("xpath", rows).click()
        assert page.line == line and page.says == f"Line {line}: {lines[line - 1]}"
        x, y = float(page.now("x")), float(page.now("y"))
        if not (0 <= x < FRONT.board.width and 0 <= y < FRONT.board.height):
            assert page.now("wood") == "beside the board"
            continue
        depth = depth_before(line + 1, x, y)
        through = depth >= FRONT.board.thickness
        assert page.now("wood") == "cut through" if through else abs(float(page.now("wood").split()[0]) - depth) < 0.03


def test_the_drawing_is_the_same_whichever_way_a_line_is_come_to(page):
    """Cut on line by line, gone back to, or gone to at once; and deeper is darker than the face."""
    drawn = "return document.getElementById('board').toDataURL()"
    met = {}
    while page.line < count():
        page.browser.execute_script("for (let n = 0; n < 23; n++) document.getElementById('on').click()")
        met[page.line] = page.browser.execute_script(drawn)
    assert len(set(met.values())) > 10
    for line in sorted(met, key=lambda line: line * 7 % count()):
        page.browser.execute_script("document.getElementById('text').scrollTop = (arguments[0] - 5) * 22;", line)
        rows = f"//*[@id='rows']/div[@id='row-{line - 1}']"
        page.wait_for(lambda rows=rows: page.browser.find_elements("xpath", rows))
        page.browser.find_element("xpath", rows).click()
        assert page.browser.execute_script(drawn) == met[line], line


def test_deeper_is_darker(page):
    def grey(x: float, y: float) -> int:
        return page.browser.execute_script(
            """const board = document.getElementById("board"), [x, y] = arguments;
               const sharp = board.width / board.clientWidth, wide = board.clientWidth - 56;
               const across = 44 + x * wide, down = 12 + (1 - y) * (board.clientHeight - 38);
               const found = board.getContext("2d").getImageData(across * sharp, down * sharp, 1, 1).data;
               if (found[0] !== found[1] || found[1] !== found[2]) throw new Error("not grey");
               return found[0];""",
            x / FRONT.board.width, y / FRONT.board.height,
        )  # fmt: skip

    assert grey(50, 45) == grey(6, 45) == 238
    page.press("END")
    assert 110 < grey(50, 45) < 220 and grey(6, 45) == 238


def test_the_list_leads_to_its_lines_and_the_slider_to_its_moment(page):
    buttons = page.find("marks").find_elements("tag name", "button")
    for button in reversed(buttons):
        button.click()
        assert str(page.line) == button.text
    page.find("moment").click()  # in its middle
    share = page.seconds / float(page.find("moment").get_attribute("max"))
    assert 0.4 < share < 0.6


def test_little_motion_means_steps_only(page):
    page.browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-reduced-motion", "value": "reduce"}]}
    )
    try:
        page.browser.refresh()
        assert not page.find("run").is_enabled() and "step by line" in page.says
        page.press(" ", "ARROW_RIGHT")
        assert page.line == 2 and page.seconds == 0
    finally:
        page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})


def test_it_fits_a_phone(page):
    page.browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride", {"width": 360, "height": 720, "deviceScaleFactor": 2, "mobile": True}
    )
    try:
        page.browser.refresh()
        assert page.browser.execute_script("return document.documentElement.scrollWidth") <= 360
        page.click_on_board(50, 45)
        assert "is cut by line" in page.says
    finally:
        page.browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_only_the_rows_in_view_are_in_the_page(page):
    page.press("END")
    rows = page.find("rows").find_elements("tag name", "div")
    assert len(rows) < 40 and rows[-1].text.split(maxsplit=1)[0] == str(count())


def test_titles_are_text(browser, tmp_path):
    title = """</script><script>document.title='changed'</script><b>"tray" & 'lid'"""
    job = tp.Job(title.replace("(", "").replace(")", ""), tray().setups)
    browser.get(written(tmp_path, job))
    assert browser.title == f"{job.title}, front, replay"
    assert browser.find_element("tag name", "h1").text == f"{job.title}: front"
    assert "1 of" in browser.find_element("id", "now-line").text
