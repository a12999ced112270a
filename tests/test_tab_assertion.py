"""assert_tabs_stand tells how many tabs hold at the end, and how high they are, whatever cut them."""

from __future__ import annotations

import re

import pytest

import toolpaths as tp
from toolpaths.testing import SimulatedJob, assert_tabs_stand, simulated

BOARD = tp.Board(width=170, height=80, thickness=16)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=22, step_down=6)
SIDE = tp.Fixture(board=BOARD, screws=tp.screws([(8, 8), (162, 72)], head_diameter=8, height=3))
TABS = tp.Tabs(points=[(60, 40), (20, 40)], width=8, height=4)


def plates(*more: tp.Operation) -> tp.Job:
    """Two plates cut out of the front, the left one over two tabs, the right one over three; more on the back."""
    front = tp.Setup(SIDE, [
        tp.contour(tp.rectangle(40, 40, (40, 40)), T1, depth=tp.through(0.3), tabs=TABS, name="left"),
        tp.contour(tp.circle(44, (125, 40)), T1, depth=tp.through(0.3), tabs=tp.Tabs(count=3, width=8, height=5),
                   name="right"),
    ])  # fmt: skip
    back = [tp.Setup(SIDE.turned_over("left to right", screws=SIDE.screws), list(more), after=front)] if more else []
    return tp.Job("Plates", [front, *back])


@pytest.fixture(scope="module")
def made() -> SimulatedJob:
    return simulated(plates(), cell=0.5)


def failed(job: tp.Job | SimulatedJob, **wanted: object) -> str:
    with pytest.raises(AssertionError) as error:
        assert_tabs_stand(job, **wanted)  # type: ignore[arg-type]
    return " ".join(str(error.value).split())


def test_tabs_are_counted_of_all_pieces_and_of_one(made: SimulatedJob) -> None:
    assert_tabs_stand(made, count=5, height=4, width=8)
    assert_tabs_stand(made, count=2, height=4, piece=(40, 40), program="front")
    assert_tabs_stand(made, count=3, height=5, piece=(120, 45))
    said = failed(made, count=4)
    assert "4 tabs are to hold what is cut out of Plates, and 5 tabs do: X" in said and "line" in said
    assert "2 tabs do" in failed(made, count=1, piece=(40, 40))
    assert "0.500 mm too low" in failed(made, count=3, height=5.5, piece=(125, 40))
    assert "2.00 mm too narrow" in failed(made, count=2, width=10, piece=(40, 40))
    with pytest.raises(tp.InputError, match="lies in no piece that is cut out"):
        assert_tabs_stand(made, count=1, piece=(82, 40))


def test_a_tab_that_the_text_lowers_or_cuts_away_is_said_with_its_line(made: SimulatedJob) -> None:
    """Of the tab at X20 every pass has to go lower; the last one is that which the error shows."""
    text = made.texts["front"]
    rise = re.compile(r"Z-12\nY33\n")
    assert len(rise.findall(text)) == 1

    def changed(z: str) -> SimulatedJob:
        return simulated(made.job, texts={"front": rise.sub(f"Z{z}\nY33\n", text)}, cell=0.5)

    said = failed(changed("-13.2"), count=2, height=4, piece=(40, 40))
    line = text[: rise.search(text).start()].count("\n") + 1  # type: ignore[union-attr]
    assert "one is 2.800 mm high, 1.200 mm too low: X17 Y40" in said and f"front, line {line}" in said, said
    said = failed(changed("-16.3"), count=2, piece=(40, 40))
    assert "2 tabs are to hold" in said and "and 1 tab does" in said


@pytest.mark.parametrize("depth, height", [(1, 3), (2.5, 1.5)])
def test_a_tab_thinned_from_the_back_is_as_high_as_is_left_at_the_end(depth: float, height: float) -> None:
    """Of 4 mm the back takes `depth`: 4 - depth are left, and on the front alone it is as high as ever."""
    job = simulated(plates(tp.pocket(tp.rectangle(20, 30, (17, 40)), T1, depth=depth, name="recess")), cell=0.5)
    assert_tabs_stand(job, count=2, piece=(40, 40), height=height)
    assert f"{0.5:.3f} mm too low" in failed(job, count=2, piece=(40, 40), height=height + 0.5)
    gone = simulated(plates(tp.pocket(tp.rectangle(20, 30, (17, 40)), T1, depth=4.5)), cell=0.5)
    said = failed(gone, count=2, piece=(40, 40))
    assert "and 1 tab does" in said and "Cut away again: X17 Y40" in said
