"""A replay of a carved surface of 100,000 lines: how large its page is, and how long a browser takes for each frame.

python tests/benchmarks/replay_frames.py [LINES]
"""

from __future__ import annotations

import sys
from math import cos, sin
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

import numpy as np

import toolpaths as tp
from toolpaths.judging.simulate import read_for, run_on, uncut
from toolpaths.judging.trial.case import make_case
from toolpaths.show.replay.page import ReplayPage

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from headless import opened

BOARD = tp.Board(width=300, height=200, thickness=20)
BALL = tp.Cutter(1, tp.ball(6), feed_mm_min=3000, spindle_rpm=18000)
# Asked of the browser: how long it takes from frame to frame while it runs, and to go to a hundred lines by lot.
FRAMES = """
const done = arguments[0], times = [], begun = performance.now();
document.getElementById("rate").value = "20";
document.getElementById("run").click();
document.getElementById("says").textContent = "";
let last = performance.now();
requestAnimationFrame(function next(now) {
  times.push(performance.now() - last); last = performance.now();
  if (last - begun < 5000) requestAnimationFrame(next); else {
    document.getElementById("run").click(); done(times); }
});
"""
JUMPS = """
const slider = document.getElementById("moment"), times = [];
for (let nth = 1; nth <= 100; nth++) {
  slider.value = slider.max * ((nth * 0.618) % 1);
  const begun = performance.now();
  slider.dispatchEvent(new Event("input"));
  times.push(performance.now() - begun);
}
return times;
"""


def carved(lines: int) -> str:
    """A wavy surface in rows, as a carving program writes it."""
    across = 500
    rows = -(-lines // across)
    text = ["G21 G90 G17", "T1 M6", "M3 S18000", "G0 X0 Y0 Z5", "G1 Z-1 F1500", "F3000"]
    for number in range(lines):
        row, at = divmod(number, across)
        x = (at if row % 2 == 0 else across - 1 - at) * BOARD.width / (across - 1)
        y = row * BOARD.height / max(rows - 1, 1)
        text.append(f"X{x:.3f} Y{y:.3f} Z{-6 - 4 * sin(x / 17) * cos(y / 23):.3f}")
    return "\n".join([*text, "G0 Z5", "M30"]) + "\n"


def page_of(text: str) -> ReplayPage:
    fixture, cell = tp.Fixture(board=BOARD), 1.1  # as Job.replay() chooses for so many lines
    trial = run_on(uncut(fixture, cell), make_case(read_for(text, fixture), fixture, [BALL]), None, 0.0)
    return ReplayPage("Waves", "0", "front", text, trial, ())


def main(lines: int) -> None:
    page = page_of(carved(lines))
    begun = perf_counter()
    text, notes = page.html()
    print(f"{lines} lines: a page of {len(text) / 1e6:.2f} MB in {perf_counter() - begun:.1f} s. {' '.join(notes)}")
    with TemporaryDirectory() as folder, opened() as browser:
        (file := Path(folder) / "page.html").write_text(text, "ascii")
        begun = perf_counter()
        browser.get(file.as_uri())
        print(f"opened in {perf_counter() - begun:.1f} s")
        for what, script in (("frame", FRAMES), ("jump", JUMPS)):
            times = browser.execute_async_script(script) if what == "frame" else browser.execute_script(script)
            low, mid, high = np.percentile(times, [50, 95, 100])
            print(f"each {what}, {len(times)}: {low:.1f} ms in the middle, {mid:.1f} ms at most of 95 %, {high:.1f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
