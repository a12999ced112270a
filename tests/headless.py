"""A browser without a window, driven as a user would: Debian's chromium and its driver."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from shutil import which
from typing import Any

HOW_TO_INSTALL = (
    "The replay is tried in a browser, and there is none: `apt-get install chromium chromium-driver`, and "
    "`pip install '.[test]'` for the client that drives it."
)


@contextmanager
def opened(width: int = 1200, height: int = 900) -> Iterator[Any]:
    """Raises RuntimeError where no browser is installed, and says how that is done."""
    try:
        from selenium.webdriver import Chrome, ChromeOptions
        from selenium.webdriver.chrome.service import Service
    except ImportError as error:
        raise RuntimeError(HOW_TO_INSTALL) from error
    program, driver = which("chromium"), which("chromedriver")
    if program is None or driver is None:
        raise RuntimeError(HOW_TO_INSTALL)
    options = ChromeOptions()
    options.binary_location = program
    for switch in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(switch)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    browser = Chrome(options=options, service=Service(driver))
    try:
        browser.set_window_size(width, height)
        yield browser
    finally:
        browser.quit()
