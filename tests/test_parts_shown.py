"""Many parts on paper: numbered on the plan, one line of the sheet for what is done alike to all of them."""

from __future__ import annotations

import re
from functools import cache

import pytest
import shapely
from test_layout import PLATE, T1, side

import toolpaths as tp
from toolpaths.making.plan.part_names import parts_in_words
from toolpaths.making.plan.work_lines import lines_over_parts, work_lines
from toolpaths.show.drawing import LETTERS, Frame, letters_wide
from toolpaths.show.part_labels import labels_of_parts, taken_by
from toolpaths.show.side_plan import cutter_styles, side_plan

GRIPPED = side(grips=(tp.rectangle(420, 300, (210, 150)),))
LAYOUT = tp.repeat_at(PLATE, tp.grid(3, 2, (120, 84), (60, 50)))
BEFORE = tp.bore([(20, 280)], 8, T1, depth=5, name="mark")


@cache
def front():
    return tp.Setup(GRIPPED, [BEFORE, LAYOUT.front])


@cache
def back():
    return tp.Setup(side().turned_over("left to right"), [LAYOUT.back], after=front())


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ([], ""),
        (["plate 1"], "plate 1"),
        (["plate 2", "plate 1"], "plate 1 and 2"),
        (["plate 3", "plate 2", "plate 1"], "plate 1 to 3"),
        (["plate 10", "rail 4", "plate 1", "plate 3", "plate 2", "rail 5"], "plate 1 to 3, 10, rail 4 and 5"),
        (["lid", "plate 2 1"], "lid, plate 2 1"),
    ],
)
def test_numbered_parts_in_words(names, words):
    assert parts_in_words(names) == words


def test_what_is_done_alike_to_all_parts_is_one_line():
    each, lines = work_lines(front(), front().steps), lines_over_parts(work_lines(front(), front().steps))
    assert [(line.first, line.last, line.says.own_title) for line in lines] == [
        (1, 1, "mark"), (2, 7, "holes"), (8, 13, "heads"), (14, 19, "outline"),
    ]  # fmt: skip
    assert [parts_in_words(line.part_names) for line in lines] == ["", *["plate 1 to 6"] * 3]
    # The head lists each step, since its name stands again where it begins, and restarts ask for it.
    assert len(each) == 19 and lines[0] == each[0]
    text = tp.program_text(front())
    assert all(text.count(f"({part.name}: outline)") == 1 for part in LAYOUT.parts)


@pytest.mark.long
def test_the_report_says_the_work_of_all_parts_at_once():
    words = tp.Job("Plates", [front()]).report(cell=1.0).work
    assert words == (
        "front, mm below the face before any work: mark 0 to 5; plate 1 to 6: holes 0 to 19.5, heads 0 to 4, "
        "outline 0 to 18.3.",
    )


@pytest.mark.parametrize("made", [front, back])
def test_each_part_has_its_name_or_number_within_it_off_what_is_cut(made):
    setup = made()
    frame = Frame(-20, -20, 440, 330, 3.0)
    labels = labels_of_parts(frame, setup)
    assert [label.text.rpartition(" ")[2] for label in labels] == ["1", "2", "3", "4", "5", "6"]
    for label, part in zip(labels, LAYOUT.parts, strict=True):
        wide, (x, y) = letters_wide(label.text, LETTERS) * 3.0, label.middle
        text = shapely.box(x - wide / 2, y - 1.5 * LETTERS, x + wide / 2, y + 1.5 * LETTERS)
        assert setup.fixture.place(part.kept).contains(text)
        for hole in shapely.get_parts(part.place.shape(shapely.MultiPoint([(-30, 0), (30, 0)]))):
            assert setup.fixture.place(hole).distance(text) > 2
        # What is taken for it lies all along it.
        taken = shapely.union_all(
            [shapely.Point(each.place).buffer(3 * each.radius) for each in taken_by(frame, [label])]
        )
        assert (
            shapely.intersection(taken, shapely.LineString([(x - wide / 2, y), (x + wide / 2, y)])).length > 0.99 * wide
        )


def test_the_plan_shows_every_name_and_one_circle_for_each_line():
    drawn = str(side_plan(front(), cutter_styles([front()])))
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", drawn)
    assert [text for text in texts if text.startswith("plate")] == [part.name for part in LAYOUT.parts]
    assert [text for text in texts if text in ("1", "2", "8", "14")] == ["1", "2", "8", "14"]
