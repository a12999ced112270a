"""The sheet: one page of HTML, drawn from the job, in which nothing that the user wrote is taken for a tag."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache, partial
from hashlib import sha256
from html.parser import HTMLParser
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

import toolpaths as tp
from toolpaths.show import ordinates
from toolpaths.show.markup import tag
from toolpaths.show.palette import PAPER, contrast, line_style
from toolpaths.show.side_plan import cutter_styles, side_plan

BOARD = tp.Board(width=200, height=140, thickness=18, name="oak & <b>ash</b>", wood="oak")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
T2 = tp.Cutter(2, tp.drill_point(3), feed_mm_min=300, spindle_rpm=9000)
T3 = tp.Cutter(3, tp.flat(4), feed_mm_min=900, spindle_rpm=18000, cutting_length=26)
TABS = partial(tp.Tabs, width=8, height=4)
DRIVE = "Drive 2 screws <now> & check"
FRONT = tp.Fixture(
    board=BOARD,
    screws=tp.screws([(12, 12), (188, 12)], head_diameter=9, height=3)
    + tp.screws([(100, 70)], head_diameter=8, height=2, driven_at=DRIVE),
    dowels=tp.dowels([(10, 70), (190, 70), (100, 128)], diameter=6, depth=6),
)
WORK = [
    tp.drill([(100, 70)], T2, depth=8, name="pilot"),
    tp.stop(DRIVE),
    *[tp.pocket(tp.rectangle(20, 20, (x, 40)), T1, depth=5, name='tray "small"') for x in (50, 100, 150)],
    tp.bore([(10, 70), (190, 70), (100, 128)], 6, T3,
            depth=tp.through(6), name="dowel holes"),
    tp.contour(tp.rectangle(150, 80, (100, 68)), T1, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=4)),
]  # fmt: skip


def job(title: str = "<script>alert</script> 'tray' & lid") -> tp.Job:
    front = tp.Setup(FRONT, WORK)
    back = tp.Setup(
        FRONT.turned_over("left to right", screws=tp.screws([(12, 12), (188, 12)], head_diameter=9, height=3)),
        [tp.pocket(tp.circle(30, (100, 90)), T1, depth=4, name="recess")],
        after=front,
    )
    return tp.Job(title, [front, back], afterwards=("Oil it </li><script>", "Füße ankleben"))


class Page(HTMLParser):
    """The tags that a page opens, their attributes, its text; and that each tag is closed in turn."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text = ""
        self.feed(text)
        self.close()
        assert not self.open, self.open

    def handle_starttag(self, name: str, attributes: list[tuple[str, str | None]]) -> None:
        self.tags.append((name, dict(attributes)))
        if name not in ("br", "meta", "input", "img"):
            self.open.append(name)

    def handle_endtag(self, name: str) -> None:
        assert self.open.pop() == name

    def handle_data(self, data: str) -> None:
        self.text += f" {data} "


@cache
def the_job():
    return job()


@cache
def its_report():
    return the_job().report(cell=1.0)


@cache
def its_text():
    return the_job().sheet(its_report())


@cache
def its_page():
    return Page(its_text())


@pytest.mark.long
def test_the_page_has_no_script_and_asks_for_nothing_from_elsewhere():
    names = {name for name, _ in its_page().tags}
    assert not names & {"script", "link", "iframe", "object", "embed", "b"}
    assert its_text().isascii() and "@import" not in its_text()
    for name, attributes in its_page().tags:
        assert not {"href", "style"} & set(attributes)
        assert ("src" in attributes) == (name == "img")
        assert (attributes.get("src") or "data:image/png;base64,").startswith("data:image/png;base64,")
        assert not any(name.startswith("on") for name in attributes)
    assert set(re.findall(r"https?://[^\"]*", its_text())) == {"http://www.w3.org/2000/svg"}


def test_what_the_user_wrote_stands_there_as_written():
    for said in (the_job().title, BOARD.name, DRIVE, 'tray "small"', *the_job().afterwards, the_job().identity):
        assert said in its_page().text, said


def test_every_step_cutter_file_and_hold_down_is_on_the_page():
    for name, text in the_job().programs().items():
        assert f" {name}.nc " in its_page().text
        assert sha256(text.encode("ascii")).hexdigest()[:16] in its_page().text
    for setup in the_job().setups:
        for cutter in setup.cutters:
            assert f"T{cutter.number} {cutter.profile}" in its_page().text
        for step in setup.steps:
            assert (getattr(step, "name", "") or getattr(step, "message", "")) in its_page().text
    assert "X12 Y12; X188 Y12" in its_page().text and "X100 Y70" in its_page().text
    assert "4 tabs" in its_page().text and 'tray "small", 3 times' in its_page().text


def test_sizes_are_those_that_a_calliper_reads():
    """A bevel 2 deep of 90 degrees is 4 wide at the face: its mouth is its middle line and 4 more. Holes in rows are
    said as such, with their number."""
    bevel = tp.Cutter(9, tp.v_point(12, 90), feed_mm_min=900, spindle_rpm=18000)
    board = tp.Board(width=200, height=140, thickness=18)
    line = shapely.LineString(tp.rectangle(79, 40, (100, 70)).exterior)
    work = [
        tp.groove(line, bevel, depth=2, name="edge"),
        tp.drill([(20 + 9 * i, 120 + 8 * j) for j in (0, 1) for i in range(12)], T2, depth=3, name="peg holes"),
    ]
    made = tp.Job("Sizes", [tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), work)])
    page = made.sheet(made.report(cell=2.0))
    assert "4 wide, its middle 79 &#215; 40" in page
    assert "peg holes (24)" in page and "2 rows of 12 from X20 Y120: 9 apart along X, rows 8 apart" in page


def test_what_would_shorten_a_time_is_of_the_time_in_the_table():
    found = re.findall(r"(\w+): T(\d) a fifth faster at feed, [^:]*: [^:]* of its ([^:.]*) saved", its_page().text)
    assert found
    times = its_page().text[
        its_page().text.index("Where the time goes") : its_page().text.index("What would shorten it")
    ]
    for side, number, taken in found:
        assert re.search(rf" {side} +T{number} [^T]* {taken} ", times), (side, number, taken)


def test_afterwards_the_board_is_taken_off_before_its_tabs_are_sawn():
    said = its_page().text[its_page().text.index("Afterwards") :]
    off = said.index("Take out or off: 2 screws. Lift the board off. ")
    tabs = said.index("Off the machine, free the part from 4 tabs")
    assert off < tabs < said.index("break lightly by hand") < said.index("Oil it")


def test_the_signs_of_a_drawing_are_those_that_are_in_it():
    """A hole for a pin looked like a screw and was not in the key: a screw could have gone into it."""
    front, back = its_page().text.split("2 of 2")
    assert "Crossed ring: screw, dashed if it is driven at a stop." in front
    assert "Ring in a square: hole for a pin, made here; no screw goes in." in front and "Filled disc" not in front
    assert "Filled disc: pin." in back and "Ring in a square" not in back and "Crossed ring: screw." in back
    plain = tp.Job("Plain", [tp.Setup(tp.Fixture(board=BOARD), [tp.drill([(50, 50)], T2, depth=3)])])
    page = plain.sheet(plain.report(cell=2.0))
    assert "Dotted: crossings" in page and not re.search("Crossed ring|Filled|in a square|Dashed grey", page)


@pytest.mark.long
def test_what_goes_in_is_listed_with_its_size_room_and_place():
    pane = tp.goes_in(tp.circle(29, (100, 90)), 4, fit=0.5, face="back", name="dial & glass", below=-0.5)
    contents = [pane, tp.screwed_in([(60, 40), (90, 40)], 9.5, above=1.5, name="hinge screws"),
                tp.turning_clip((100, 110), 14, pane, name="clip")]  # fmt: skip
    made = replace(job(), contents=contents)
    page = made.sheet(made.report(cell=4.0))
    for said in ("dial &amp; glass", "0.5 of room all round, 0.5 above the face", "29 &#215; 4 thick",
                 "2 hinge screws", "8 of it in the wood, 2 to stay beyond: X35 Y12; X65 Y12",
                 "turns about X75 Y82, reaches over dial &amp; glass"):  # fmt: skip
        assert said in page
    assert "What goes in" not in job().sheet(job().report(cell=2.0))


@pytest.mark.long
def test_the_same_job_makes_the_same_page_and_another_report_is_refused():
    assert job().sheet(its_report()) == its_text()
    other = replace(the_job(), setups=the_job().setups[:1])
    with pytest.raises(tp.InputError, match="report is of another job"):
        other.sheet(its_report())
    with pytest.raises(tp.InputError, match="report"):
        other.sheet("fine")


@pytest.mark.parametrize("afterwards", ["Oil it", [""], [3]])
def test_what_is_done_afterwards_is_a_list_of_texts(afterwards):
    with pytest.raises(tp.InputError, match="afterwards"):
        replace(the_job(), afterwards=afterwards)


def test_times_of_the_work_add_up_to_the_whole_by_kind_and_cutter():
    for name, report in its_report().sides:
        assert sum(time.seconds for time in report.times) == pytest.approx(report.seconds, rel=1e-9)
        assert [time.operation for time in report.times] == [
            step.name for step in the_job().setups[the_job().names.index(name)].steps if hasattr(step, "path")
        ]
        for time in report.times:
            assert time.cutter and min(time[3:]) >= 0
    drilled = its_report().sides[0][1].times[0]
    assert drilled.cutting_s == 0 and drilled.entries_s >= 8 / 300 * 60 and drilled.waits_s > 0


def test_tabs_of_the_report_stand_where_the_contour_was_cut():
    (_, front), (_, back) = its_report().sides
    assert len(front.tabs) == 4 and not back.tabs
    wall = tp.rectangle(150, 80, (100, 68)).buffer(3).boundary
    for tab in front.tabs:
        assert wall.distance(box(tab.x, tab.y, tab.x, tab.y).centroid) < 0.1
        assert tab.thickness == pytest.approx(4, abs=1e-3) and tab.width == pytest.approx(8, abs=0.01)


def test_a_drawing_of_very_many_moves_stays_small():
    rows = [(10 + 0.5 * (n % 2), 10 + 0.02 * n) for n in range(4600)]
    groove = tp.groove(rows, T1, depth=1)
    setup = tp.Setup(tp.Fixture(board=BOARD), [groove])
    assert sum(len(step.path.moves) for step in setup.steps if hasattr(step, "path")) > 4500
    assert len(side_plan(setup, cutter_styles([setup]))) < 200_000


@pytest.mark.long
def test_a_drawing_of_a_part_of_very_many_points_stays_small_and_true():
    """A line of thirty thousand points, and an area of as many: drawn within what a printer shows."""
    n = np.arange(30_000)
    wavy = np.column_stack([20 + n * 260 / 3e4, 60 + 20 * np.sin(n / 3e3) + 0.2 * np.sin(n)])
    rough = np.column_stack(
        [90 + (30 + 0.1 * np.sin(n)) * np.cos(n * 2e-5 * np.pi), 60 + 30 * np.sin(n * 2e-5 * np.pi)]
    )
    part = tp.Part(
        board=tp.Board(width=300, height=120, thickness=18),
        front=[tp.CutAlong(line=shapely.LineString(wavy), profile=tp.flat(3), depth=2)],
        back=[tp.Recess(area=shapely.Polygon(rough).buffer(0), depth=2)],
    )
    assert len(tp.part_svg(part)) < 400_000  # of 900,000 with every point


@pytest.mark.by_hand
def test_a_sheet_of_two_hundred_operations_and_of_very_many_lines_stays_small():
    """Twenty equal operations are a line; the sheet has less than 5 MB. A fifth of a million lines stands for more:
    beyond some thousand moves a drawing keeps its size."""
    holes = [tp.bore([(12 + 14 * (i % 20), 12 + 11 * (i // 20))], 8, T1, depth=4) for i in range(180)]
    others = [tp.drill([(12 + 14 * i, 112)], T2, depth=1 + i / 40, name=f"dowel hole {i}") for i in range(20)]
    board = tp.Board(width=300, height=120, thickness=18)
    side = tp.Fixture(board=board, grips=(board.outline,))
    many = tp.Job("Perforated board", [tp.Setup(side, [*holes, *others])])
    sheet = many.sheet(many.report(cell=2.0))
    assert len(sheet) < 2_000_000
    assert "1 to 180" in sheet
    rows = 100 + np.random.default_rng(1).random((40_000, 2)) * [1, 0.2]
    rows[:, 0] = np.linspace(5, 295, 40_000)
    long = tp.Job(
        "Rough line", [tp.Setup(side, [tp.groove(shapely.LineString(rows), replace(T1, step_down=0.1), depth=1)])]
    )
    assert len(long.sheet(long.report(cell=2.0))) < 2_000_000


@pytest.mark.by_hand
def test_the_sheet_of_a_program_of_a_million_lines_has_less_than_five_megabytes():
    """12,500 vertices, a hundred times over."""
    board = tp.Board(width=1500, height=600, thickness=18)
    count = 12_500
    rough = np.stack([np.linspace(5, 1495, count), 300 + np.random.default_rng(1).random(count) * 0.2], axis=1)
    line = tp.groove(shapely.LineString(rough), replace(T1, step_down=0.01), depth=1)
    job = tp.Job("Rough line", [tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), [line])])
    assert job.programs()["front"].count("\n") >= 1_000_000
    assert len(job.sheet(job.report(cell=2.0))) < 5_000_000


def test_lines_are_told_apart_without_colour_and_stand_out_from_paper():
    styles = [line_style(number) for number in range(25)]
    assert len(set(styles)) == 25
    assert len({style.dash for style in styles[:5]}) == 5
    assert all(contrast(style.colour, PAPER) >= 3 for style in styles)


@pytest.mark.parametrize(("one", "ratio"), [("#767676", 4.5422), ("#777777", 4.4781), ("#0000FF", 8.5925)])
def test_contrast_is_that_of_the_published_formula(one, ratio):
    """WCAG 2.2, relative luminance; the pairs on white of the usual tables."""
    assert contrast(one, "#FFFFFF") == pytest.approx(ratio, abs=5e-5)


@given(st.lists(st.floats(0, 100), max_size=30), st.floats(0.1, 5))
def test_letters_are_never_nearer_than_asked_and_moved_no_more_than_need_be(places, apart):
    places = sorted(places)
    spread = ordinates._spread(places, apart)
    assert all(b - a >= apart - 1e-9 for a, b in pairwise(spread))
    if all(b - a >= apart for a, b in pairwise(places)):
        assert spread == pytest.approx(places)
    # No group of neighbours that touch can be moved to be nearer on the whole: the mean of what they are off is 0.
    touching, groups = [], []
    for number, place in enumerate(spread):
        if touching and place - spread[touching[-1]] > apart + 1e-6:
            groups.append(touching)
            touching = []
        touching.append(number)
    groups += [touching] if touching else []
    for group in groups:
        assert sum(spread[n] - places[n] for n in group) == pytest.approx(0, abs=1e-6)


_AWKWARD = st.text("<>&\"'/= ab\0\u00e9\u2028", max_size=20)


@given(_AWKWARD, _AWKWARD)
def test_no_text_gets_out_of_its_place(inside, value):
    page = Page(tag("p", inside, title=value))
    assert [name for name, _ in page.tags] == ["p"]
    assert page.tags[0][1]["title"] is not None


def test_z0_is_found_again_on_a_place_that_the_programs_leave():
    found = re.findall(
        r"Z0 can be found again on the top of the board at X(\S+) Y(\S+), which stays uncut", its_page().text
    )
    assert len(found) == 2
    for place, setup, (_, report) in zip(found, the_job().setups, its_report().sides, strict=True):
        (x, y), wood = map(float, place), report.stock
        assert BOARD.outline.buffer(-5).covers(shapely.Point(x, y)) and x % 5 == y % 5 == 0
        for dx, dy in ((0, 0), (4, 0), (-4, 0), (0, 4), (0, -4)):
            assert wood.top[wood.cell_at(x + dx, y + dy)] == 0
        assert all(thing.outline.distance(shapely.Point(x, y)) > 14 for thing in setup.fixture.standing())


def test_two_cutters_are_never_drawn_alike():
    styles = cutter_styles(the_job().setups)
    assert all(a != b for a, b in combinations(styles.values(), 2))


def test_what_comes_free_is_held_by_its_own_tabs_skins_and_screws():
    """All tabs of a side stood in every line, a skin was nothing, and a screw in an opening held the part round it."""
    mill = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=24)
    board = tp.Board(width=300, height=140, thickness=18)
    side = tp.Fixture(board=board, screws=tp.screws([(8, 8), (292, 132), (60, 70)], head_diameter=8, height=3))
    through = tp.through(0.3)
    work = [
        tp.contour(tp.circle(30, (60, 70)), mill, depth=through, side="inside", name="hole"),
        tp.contour(tp.rectangle(80, 80, (60, 70)), mill, depth=through, name="three", tabs=TABS(count=3)),
        tp.contour(tp.rectangle(60, 80, (150, 70)), mill, depth=through, name="four", tabs=TABS(count=4)),
        tp.contour(tp.rectangle(60, 80, (245, 70)), mill, depth=tp.through(), skin=0.5, name="skinned"),
    ]
    loose = tp.contour(tp.rectangle(80, 80, (60, 70)), mill, depth=through, name="loose")
    text = tp.Job("Four", [tp.Setup(side, work)]).sheet(tp.Job("Four", [tp.Setup(side, work)]).report(cell=1.0))
    free = text[text.index("What comes free") :]
    rows = re.findall(r"<tr><td>(\d)</td><td>([^<]*)</td><td>([^<]*)</td></tr>", free)
    assert rows[0][:2] == ("1", "the piece within hole")
    # One screw is an axle.
    assert rows[0][2].startswith("the screw at X60 Y70 alone: it can turn about that")
    assert rows[1:] == [
        ("2", "the part, three", "3 tabs, 8 wide and 4 thick"), ("3", "the part, four", "4 tabs, 8 wide and 4 thick"),
        ("4", "the part, skinned", "a skin of 0.5 mm, to be cut by hand"),
    ]  # fmt: skip
    assert ">7 tabs" not in text
    assert "Cut through the skin of 0.5 mm round the part, skinned, and level what stands of it." in text
    job = tp.Job("Loose", [tp.Setup(side, [work[0], loose])])
    assert "<td>the part, loose</td><td>nothing: it may be thrown" in job.sheet(job.report(cell=1.0))


@pytest.mark.parametrize(
    ("long", "said"),
    [
        (None, "longer than the 18 of the board and shorter than 36"),
        (16, "16 long: it ends in the board, 2 above the spoilboard"),
        (30, "30 long: 12 of it in the spoilboard<"),
        (38, "38 long: 20 of it in the spoilboard, and 2 out below it"),
    ],
)
def test_screws_are_listed_with_what_they_have_in_the_spoilboard(long, said):
    screws = tp.screws([(12, 12)], head_diameter=9, height=3, length=long)
    side = tp.Fixture(board=BOARD, screws=screws, spoilboard_thickness=18)
    work = [tp.contour(tp.rectangle(100, 60, (100, 70)), T1, depth=tp.through(), tabs=TABS(count=4))]
    page = tp.Job("Plate", [tp.Setup(side, work)]).sheet()
    assert said in page
    assert "The part takes 100 &#215; 60" in page and "21 % of its face; the least margin round it is 40 mm." in page
    assert "Across the grain it is 60 wide, and moves 0.09 (quarter sawn) to 0.22 mm (flat sawn)" in page


def test_a_job_in_inches_has_a_sheet_in_inches():
    """Its programs were in inches, and its sheet in mm: 18 typed where 0.7087 was meant is a crash."""
    made = replace(the_job(), units="inch")
    page = Page(made.sheet(made.report(cell=1.0)))
    said = page.text[page.text.index("Set ") :]
    assert " All lengths in inches, as the programs are. " in said and " All lengths in mm" in its_page().text
    assert not re.search(r"\bmm2?\b|cm2", said.replace("width: 100%", ""))
    size = " \N{MULTIPLICATION SIGN} ".join(("7.874", "5.5118", "0.7087"))
    for inches in (size, "X0.4724 Y0.4724; X7.4016 Y0.4724",
                   "drill 0.1181 118 deg", "Size, inch", "1:2, inch", "2.7559", "X3.937 Y2.7559", "59.06", "inch/min",
                   "Z-0.9449", "0.315 inch wide and 0.1575 inch thick", "square inch to finish"):  # fmt: skip
        assert inches in said, inches
    # What stands out of the collet is set with a rule: 34 mm are 1.3386 inch. One number wherever it is said.
    assert said.count("1.35 out") >= 4 and said.count("out 1.35") == 3 and "1.3386" not in said
    higher = [float(each) for each in re.findall(r"has to go ([\d.]+) higher", said)]
    assert len(higher) == 2 and all(0.3 < each < 3 for each in higher)
    # What the sheet and the head of a program say of a place are the same digits.
    assert "X0.4724 Y0.4724" in made.programs()["front"]


def test_no_line_ends_between_a_minus_and_its_number():
    """Z-0.0312 was printed as Z- and 0.0312 on the next line."""
    shown = re.sub(r"<svg.*?</svg>|<style.*?</style>", "", its_text(), flags=re.DOTALL)
    kept = re.findall(r'<span class="number">([^<]*)</span>', shown)
    assert {"Z-24,", "X-r,"} <= set(kept) and ".number { white-space: nowrap; }" in its_text()
    left = re.sub(r'<span class="number">[^<]*</span>', "", shown)
    assert not re.search(r"[\s>][XYZ]?-[\dr]", re.sub("<[^>]*>", " ", left))


def test_nobody_who_reads_the_sheet_has_to_know_the_language_of_the_script():
    assert not re.search(r"\w_\w|\w=|\w\(", its_page().text[its_page().text.index("Set ") :])
