"""A job as a value: equal, pickled, judged before it is written, written whole or not at all."""

from __future__ import annotations

import pickle
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from shapely import box

import toolpaths as tp
from toolpaths.facts.head_lines import IN_SET

BOARD = tp.Board(width=200, height=140, thickness=18, name="tray", wood="oak")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
T2 = tp.Cutter(2, tp.flat(3), feed_mm_min=800, spindle_rpm=20000, step_down=1.5)
DOWELS = tuple(tp.Dowel(x=x, y=70, diameter=8, depth=6) for x in (15, 185))
FRONT = tp.Fixture(board=BOARD, dowels=DOWELS, grips=(BOARD.outline,))
BACK = FRONT.turned_over("left to right", grips=FRONT.grips)
RECESS = tp.rectangle(80, 50, (100, 70), corner_radius=2)


def two_sides(**more) -> tp.Job:
    """Made from nothing but numbers each time."""
    front = tp.Setup(
        FRONT,
        [
            tp.bore([(15, 70), (185, 70)], 8, T1, depth=tp.through(6), name="dowel holes"),
            tp.pocket(RECESS, [T1, T2], depth=7, name="recess"),
        ],
    )
    back = tp.Setup(BACK, [tp.groove([(40, 120), (160, 120)], T1, depth=4, name="groove")], after=front)
    return tp.Job("Tray", [front, back], **more)


# Its maker gives it less depth at once than it is run at: damage.
WEAK = replace(T1, step_down=2, deepest_pass=1)


def overloaded(**more) -> tp.Job:
    return tp.Job("Deep", [tp.Setup(FRONT, [tp.pocket(RECESS, WEAK, depth=12, name="recess")])], **more)


def loose(**more) -> tp.Job:
    """An opening whose slug nothing holds, as far as the facts say."""
    side = tp.Fixture(board=BOARD, screws=tp.screws([(10, 10), (190, 130)], head_diameter=9, height=3))
    opening = tp.contour(tp.circle(60, (100, 70)), T1, depth=tp.through(0.3), side="inside", name="opening")
    return tp.Job("Ring", [tp.Setup(side, [opening])], **more)


@pytest.fixture(scope="module")
def job() -> tp.Job:
    return two_sides()


@pytest.fixture(scope="module")
def report(job) -> tp.JobReport:
    return job.report(cell=1.0)


def test_a_job_is_sound_and_has_a_part(job, report):
    assert report.ok, str(report)
    assert len(job.part.front) == 2 and len(job.part.back) == 1
    assert [name for name, _ in report.sides] == ["front", "back"] == list(job.programs())


@pytest.mark.long
def test_jobs_made_alike_are_equal_and_pickle(job):
    other = two_sides()
    assert job == other and hash(job) == hash(other)
    assert pickle.loads(pickle.dumps(job)) == job
    assert job != two_sides(units="inch")
    assert len(repr(job)) <= 100


@pytest.mark.long
def test_the_same_bytes_come_from_another_process(job, tmp_path):
    """Of the job that is sent, and of the same work planned and written anew there."""
    (tmp_path / "job").write_bytes(pickle.dumps(job))
    code = (
        f"import pickle; job = pickle.load(open({str(tmp_path / 'job')!r}, 'rb'))\n"
        "from dataclasses import replace\n"
        "front, back = job.setups\n"
        "front = replace(front, name=front.name)\n"
        "anew = replace(job, setups=[front, replace(back, after=front)])\n"
        "assert anew.programs() == job.programs()\n"
        "print(''.join(anew.programs().values()), end='')"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "".join(job.programs().values()) != ""


def test_each_head_carries_the_identity_of_the_set(job):
    named = [IN_SET.read(text.splitlines()[1].strip("()")) for text in job.programs().values()]
    assert [(found["identity"], found["number"], found["count"]) for found in named] == [
        (job.identity, "1", "2"),
        (job.identity, "2", "2"),
    ]
    other = replace(job, setups=(job.setups[0],))
    assert other.identity != job.identity
    assert replace(job).identity == job.identity


def test_written_files_are_the_programs_and_compare_clean(job, tmp_path):
    assert job.write(tmp_path / "out", cell=1.0).ok
    files = {path.name: path.read_text() for path in (tmp_path / "out").iterdir()}
    assert job.identity in files.pop("sheet.html")
    assert files == {"front.nc": job.programs()["front"], "back.nc": job.programs()["back"]}
    assert job.compare(tmp_path / "out") == ()


@pytest.mark.long
def test_a_mixed_folder_is_recognised_and_said(job, tmp_path):
    job.write(tmp_path, cell=1.0)
    older = replace(two_sides(), units="inch")
    (tmp_path / "back.nc").write_text(older.programs()["back"])
    (said,) = job.compare(tmp_path)
    assert said == f"back.nc is of another set, {older.identity}; this one is {job.identity}."
    mixed = [(job.programs()["front"], FRONT), (older.programs()["back"], BACK)]
    assert "sides-differ" in tp.verify(mixed, [T1, T2], cell=2.0).codes()
    (tmp_path / "front.nc").write_text(job.programs()["front"].replace("F1500", "F1400"))
    assert job.compare(tmp_path)[0] == "front.nc was changed since it was written."
    (tmp_path / "front.nc").unlink()
    assert job.compare(tmp_path)[0] == "front.nc is missing."


@pytest.mark.long
def test_a_program_of_an_earlier_form_of_the_job_is_not_left_beside_the_new_ones(job, tmp_path):
    job.write(tmp_path, cell=1.0)
    (tmp_path / "front.nc").rename(tmp_path / "front-old.nc")
    before = sorted(path.name for path in tmp_path.iterdir())
    with pytest.raises(tp.InputError, match=r"front-old\.nc belongs to an earlier form of Tray"):
        two_sides(units="inch").write(tmp_path, cell=1.0)
    assert sorted(path.name for path in tmp_path.iterdir()) == before
    assert (tmp_path / "back.nc").read_text() == job.programs()["back"]


@pytest.mark.long
def test_a_program_of_another_job_is_not_replaced(job, tmp_path):
    job.write(tmp_path, cell=1.0)
    with pytest.raises(tp.InputError, match=r"front\.nc is a program of another job, Tray: front;"):
        replace(two_sides(), title="Box").write(tmp_path, cell=1.0)
    assert job.compare(tmp_path) == ()


def test_the_report_says_from_which_depth_to_which_each_operation_cuts(report):
    assert report.work == (
        "front, mm below the face before any work: dowel holes 0 to 24; recess 0 to 7.",
        "back, mm below the face before any work: groove 0 to 4.",
    )
    assert all(words in " ".join(str(report).split()) for words in report.work)


@pytest.mark.sample(1)
@pytest.mark.parametrize("tool_change", ["M6", "stop", "files"])
def test_programs_are_named_and_judged_for_each_way_to_change_cutters(tool_change):
    job = two_sides(tool_change=tool_change)
    names = list(job.programs())
    assert names == (["front 1-T1", "front 2-T2", "back 1-T1"] if tool_change == "files" else ["front", "back"])
    report = job.report(cell=1.0)
    assert report.ok and [name for name, _ in report.sides] == names, str(report)


@pytest.mark.long
def test_a_setup_that_has_a_name_gives_it_to_its_program(tmp_path):
    front, back = two_sides().setups
    named = replace(front, name="tray front")
    job = tp.Job("Tray", [named, replace(back, after=named)])
    assert job.names == ("tray front", "back")
    job.write(tmp_path, cell=1.0)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["back.nc", "sheet.html", "tray-front.nc"]


def test_a_job_with_danger_or_damage_writes_nothing(tmp_path):
    with pytest.raises(tp.NotSafeError, match="is not written") as caught:
        overloaded().write(tmp_path / "out", cell=1.0)
    report = caught.value.report
    assert "deep-pass" in report.codes() and not (tmp_path / "out").exists()
    assert all(found.operations == ("recess",) for found in report if found.finding.code == "deep-pass")


@pytest.mark.long
def test_what_is_accepted_is_written_and_stands_in_the_report(tmp_path):
    with pytest.raises(tp.NotSafeError):
        loose().write(tmp_path, cell=1.0)
    assert list(tmp_path.iterdir()) == []
    codes = loose().report(cell=1.0).codes()
    accept = [tp.Accept(code, "opening", "Extraction holds the slug down.") for code in codes]
    report = loose(accept=accept).write(tmp_path, cell=1.0)
    assert report.ok and len(report.accepted) >= 1
    assert {each.found.finding.code for each in report.accepted} == set(codes)
    assert "Extraction holds the slug down." in " ".join(str(report).split()) and "Extraction holds" in report.json()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["front.nc", "sheet.html"]
    assert "Extraction holds the slug down." in (tmp_path / "sheet.html").read_text()


def test_accepting_what_is_not_found_is_an_error(job):
    for accept in (tp.Accept("gouge", "recess", "Known."), tp.Accept("loose-piece", "another", "Known.")):
        with pytest.raises(tp.InputError, match="which is not found; take it out"):
            loose(accept=[accept]).report(cell=1.0)
    with pytest.raises(tp.InputError, match="not one of"):
        tp.Accept("no-such-code", "recess", "Known.")
    with pytest.raises(tp.InputError, match="reason"):
        tp.Accept("gouge", "recess", " ")


@pytest.mark.long
def test_two_boards_are_two_parts_and_judged_each_by_itself():
    lid = replace(BOARD, name="lid", thickness=12)
    setups = [
        tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), [tp.pocket(RECESS, T1, depth=5, name="recess")])
        for board in (BOARD, lid)
    ]
    job = tp.Job("Box", setups)
    assert list(job.programs()) == ["tray front", "lid front"]
    assert [part.board for part in job.parts] == [BOARD, lid]
    assert job.report(cell=1.0).ok
    with pytest.raises(tp.InputError, match="2 boards"):
        _ = job.part
    weak = tp.pocket(RECESS, WEAK, depth=5, name="recess")
    wrong = replace(job, setups=(setups[0], replace(setups[1], work=(weak,))))
    assert {found.side for found in wrong.report(cell=1.0)} == {"lid front"}


@pytest.mark.long
def test_a_side_in_two_fixtures_is_one_part():
    first = tp.Fixture(board=BOARD, clamps=(tp.Clamp(area=box(0, 50, 20, 90), height=12),))
    second = tp.Fixture(board=BOARD, clamps=(tp.Clamp(area=box(180, 50, 200, 90), height=12),))
    one = tp.Setup(first, [tp.pocket(tp.rectangle(40, 40, (150, 70), corner_radius=4), T1, depth=5)])
    two = tp.Setup(second, [tp.pocket(tp.rectangle(40, 40, (60, 70), corner_radius=4), T1, depth=5)], after=one)
    job = tp.Job("Twin", [one, two])
    assert job.names == ("front", "front 2")
    report = job.report(cell=1.0)
    assert {found.finding.severity for found in report} <= {"doubt"}, str(report)
    assert len(job.part.front) == 2


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: tp.Job("Tray", []), "lists none"),
        (lambda: tp.Job("Tray", "front"), "setups must be a tuple of Setup"),
        (lambda: tp.Job("", two_sides().setups), "title"),
        (lambda: two_sides(accept="gouge"), "accept must be a tuple of Accept"),
        (lambda: two_sides(units="cm"), "not one of"),
        (lambda: tp.Job("Tray", two_sides().setups[::-1]), "come before it"),
    ],
    ids=["none", "text", "no title", "accept", "units", "order"],
)
def test_what_is_no_job_is_refused(make, words):
    with pytest.raises(tp.InputError, match=words):
        make()


@pytest.mark.long
def test_a_study_of_the_job_is_that_of_its_texts(job):
    study = job.study(thickness=0.2, cell=2.0)
    assert study.requirements and study.ok, str(study)


@pytest.mark.long
def test_write_takes_a_suffix_and_makes_the_folder(job, tmp_path):
    job.write(tmp_path / "a" / "b", suffix=".ngc", cell=1.0)
    assert sorted(path.name for path in (tmp_path / "a" / "b").iterdir()) == ["back.ngc", "front.ngc", "sheet.html"]
    assert isinstance(Path(tmp_path), Path)
