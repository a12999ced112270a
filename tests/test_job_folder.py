"""The files of a job: every program in one of its own, inside the folder, whole or not there at all."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

import toolpaths as tp
from toolpaths.job.folder import same_file
from toolpaths.making.writer import files

ROOT = Path(__file__).resolve().parents[1]
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=30)
T2 = tp.Cutter(2, tp.flat(4), feed_mm_min=900, spindle_rpm=18000, cutting_length=30)


def setup(board: str = "board", name: str = "", x: float = 100, cutters: tuple[tp.Cutter, ...] = (T1,)) -> tp.Setup:
    blank = tp.Board(width=200, height=140, thickness=18, name=board)
    holes = [tp.bore([(x, 40 + 20 * n)], 7, cutter, depth=5, name=f"hole {n}") for n, cutter in enumerate(cutters)]
    return tp.Setup(tp.Fixture(board=blank, grips=(blank.outline,)), holes, name=name)


NAMES = [
    ("a", "a b"), ("a b", "A-b"), ("A", "a"), ("a/b", "A-b"), ("../up", "c"), ("a:b", "a?b"), ("a front", "a"),
    ("a", "a front"), (".hidden", "hidden"), ("a  b", "a b"), ("a\\b", "c"), ("A-front", "a front"), ("..", "."),
]  # fmt: skip


@pytest.mark.sample(1)
@pytest.mark.parametrize("names", NAMES)
def test_each_board_has_files_of_its_own_inside_the_folder(names, tmp_path):
    """Two programs that would be one file, or one that would stand elsewhere, would be lost on the way."""
    folder = tmp_path / "deep" / "out"
    job = tp.Job("Job", [setup(board, x=90 + n) for n, board in enumerate(names)])
    programs = job.programs()
    assert len(programs) == len(names)
    job.write(folder, cell=2.0)
    there = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert {path.parent for path in there} == {folder}
    assert there.pop(there.index(folder / "sheet.html")).read_text() == job.sheet(job.report(cell=2.0))
    assert sorted(path.read_text() for path in there) == sorted(programs.values())
    assert len({path.name.lower() for path in there}) == len(names)
    assert job.compare(folder) == ()


@pytest.mark.parametrize(
    "names", [("a", "a"), ("a 2", "a", "a"), ("a", "a", "a 2"), ("a-2", "a", "A"), ("front 2", "", ""), ("", "front")]
)
def test_each_setup_has_a_program_of_its_own(names):
    job = tp.Job("Job", [setup(name=name, x=80 + n) for n, name in enumerate(names)])
    assert len(job.programs()) == len(names) == len({same_file(name) for name in job.names}), job.names
    assert [text.count("(hole 0)") for text in job.programs().values()] == [1] * len(names)


def test_a_set_of_many_programs_is_written_and_its_heads_stay_short():
    setups = [setup(f"board number {n}", cutters=(T1, T2)) for n in range(12)]
    programs = tp.Job("Many", setups, tool_change="files").programs()
    assert len(programs) == 24
    for number, text in enumerate(programs.values(), start=1):
        said = [line for line in text.splitlines()[:12] if f"{number} of 24" in line]
        assert len(said) == 1 and "and 15 more" in " ".join(text.splitlines()[:12])


@pytest.mark.parametrize("suffix", ["nc", "", "/x", ".nc/../y", "*", ".n c", ".", "..", ".nc.", None])
def test_a_suffix_that_is_none_is_refused(suffix, tmp_path):
    job = tp.Job("Job", [setup()])
    for use in (job.write, job.compare):
        with pytest.raises(tp.InputError, match="suffix"):
            use(tmp_path / "out", suffix=suffix)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("folder", [None, 7, "a\0b", b"out"])
def test_a_folder_that_is_none_is_refused(folder):
    job = tp.Job("Job", [setup()])
    for use in (job.write, job.compare):
        with pytest.raises(tp.InputError, match="folder"):
            use(folder)


def test_what_stands_there_and_is_no_program_is_said(tmp_path):
    job = tp.Job("Job", [setup()])
    (tmp_path / "front.nc").write_bytes(b"\xff\xfe")
    assert job.compare(tmp_path) == ("front.nc is no program.",)
    (tmp_path / "front.nc").unlink()
    (tmp_path / "front.nc").mkdir()
    assert job.compare(tmp_path) == ("front.nc is no program.",)
    with pytest.raises(tp.InputError, match="is a folder"):
        job.write(tmp_path, cell=2.0)


def test_two_boards_of_one_name_are_refused_by_that_name():
    twins = [tp.Board(width=wide, height=140, thickness=18, name=name) for wide, name in
             ((200, "lid"), (201, "base"), (202, "base"))]  # fmt: skip
    setups = [tp.Setup(tp.Fixture(board=one), [tp.bore([(90, 70)], 7, T1, depth=5)]) for one in twins]
    with pytest.raises(tp.InputError, match="'base'"):
        tp.Job("Box", setups)
    assert tp.Job("Two lids", [setups[0], setups[0]]).names == ("front", "front 2")


def opening(name: str, x: float) -> tp.Contour:
    return tp.contour(tp.circle(40, (x, 70)), T1, depth=tp.through(0.3), side="inside", name=name)


def test_a_finding_is_accepted_at_one_operation_that_is_named_alone(tmp_path):
    """Accepted at two by one reason, the second would go free without anybody having looked at it."""
    board = tp.Board(width=200, height=140, thickness=18)
    side = tp.Fixture(board=board, screws=tp.screws([(10, 10), (190, 130)], head_diameter=9, height=3))
    why = tp.Accept("loose-piece", "opening", "held by hand")
    twice = [tp.Setup(side, [opening("opening", 50), opening("opening", 150)])]
    with pytest.raises(tp.InputError, match="2 operations are called that"):
        tp.Job("Rings", twice, accept=[why])
    with pytest.raises(tp.InputError, match="twice"):
        tp.Job("Ring", [tp.Setup(side, [opening("opening", 50)])],
               accept=[why, tp.Accept("loose-piece", "opening", "another reason")])  # fmt: skip
    with pytest.raises(tp.NotSafeError) as raised:
        tp.Job("Rings", [tp.Setup(side, [opening("opening", 50), opening("other", 150)])],
               accept=[why]).write(tmp_path / "out", cell=1.0)  # fmt: skip
    assert [found.operations for found in raised.value.report] == [("other",)]
    assert not (tmp_path / "out").exists()
    again = pickle.loads(pickle.dumps(raised.value))
    assert again.report == raised.value.report and str(again) == str(raised.value)


@pytest.mark.long
def test_a_disk_that_is_full_leaves_the_files_that_were_there(tmp_path, monkeypatch):
    job = tp.Job("Job", [setup("a"), setup("b")])
    job.write(tmp_path, cell=2.0)
    before = {path: path.read_text() for path in tmp_path.iterdir()}
    written = []

    def full(number):
        written.append(number)
        if len(written) == 2:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    newer = tp.Job("Job", [setup("a", x=80), setup("b", x=80)])
    with pytest.raises(tp.InputError, match="No space left"):
        newer.write(tmp_path, cell=2.0)
    assert {path: path.read_text() for path in tmp_path.iterdir()} == before


@pytest.mark.long
def test_a_process_that_is_killed_leaves_each_file_whole(tmp_path):
    """Killed at its first rename: the programs are the old ones, and the next write goes on."""
    job = tp.Job("Job", [setup("a"), setup("b")])
    job.write(tmp_path / "out", cell=2.0)
    newer = tp.Job("Job", [setup("a", x=80), setup("b", x=80)])
    (tmp_path / "job").write_bytes(pickle.dumps(newer))
    code = (
        "import os, pickle, signal, sys\n"
        "job = pickle.load(open(sys.argv[1], 'rb'))\n"
        "os.replace = lambda *paths: os.kill(os.getpid(), signal.SIGKILL)\n"
        "job.write(sys.argv[2], cell=2.0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code, tmp_path / "job", tmp_path / "out"], cwd=ROOT)
    assert done.returncode == -signal.SIGKILL
    assert job.compare(tmp_path / "out") == ()
    newer.write(tmp_path / "out", cell=2.0)
    assert newer.compare(tmp_path / "out") == ()


def test_two_that_write_one_folder_leave_whole_files(tmp_path):
    jobs = [tp.Job("Job", [setup("a", x=x), setup("b", x=x)]) for x in (80, 120)]
    texts = [{tmp_path / "out" / f"{n}.nc": text for n, text in job.programs().items()} for job in jobs]

    failed = []

    def write(each):
        try:
            for _ in range(20):
                files.write_whole(each)
        except tp.InputError as error:
            failed.append(error)

    both = [threading.Thread(target=write, args=(each,)) for each in texts]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert failed == []
    there = list((tmp_path / "out").iterdir())
    assert sorted(there) == sorted(texts[0])
    for path in there:
        assert path.read_text() in (texts[0][path], texts[1][path])


@pytest.mark.long
@pytest.mark.sample(1)
@pytest.mark.parametrize("seed", ["0", "1", "4711"])
def test_the_identity_is_that_of_every_process(seed):
    job = tp.Job("Job", [setup("a", cutters=(T1, T2)), setup("b")])
    code = (
        "import pickle, sys; from dataclasses import replace\n"
        "job = pickle.load(sys.stdin.buffer)\n"
        "print(replace(job, setups=[replace(one, tolerance=one.tolerance) for one in job.setups]).identity)"
    )
    said = subprocess.run([sys.executable, "-c", code], input=pickle.dumps(job), capture_output=True, check=True,
                          cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": seed})  # fmt: skip
    assert said.stdout.decode().strip() == job.identity


@pytest.mark.parametrize("change", ["", "M7", None, "files "])
def test_a_program_of_two_cutters_changes_them_in_a_way_that_is_known(change):
    """With "" it was written without any change, and the second cutter's work was done with the first."""
    both = setup(cutters=(T1, T2))
    with pytest.raises(tp.InputError, match="tool_change"):
        tp.program_text(both, tool_change=change)
    with pytest.raises(tp.InputError, match="tool_change"):
        tp.Job("Job", [both], tool_change=change)


TITLE = ("drawer front for the cabinet in the workshop " * 4).strip()


def test_titles_longer_than_a_line_are_told_apart(tmp_path):
    """Only their first line was compared: another job was replaced, and an earlier form stayed beside the new one."""
    job = tp.Job(f"{TITLE} A", [setup()])
    job.write(tmp_path, cell=2.0)
    with pytest.raises(tp.InputError, match="program of another job"):
        tp.Job(f"{TITLE} B", [setup()]).write(tmp_path, cell=2.0)
    (tmp_path / "front.nc").rename(tmp_path / "old.nc")
    with pytest.raises(tp.InputError, match=r"old\.nc belongs to an earlier form"):
        tp.Job(f"{TITLE} A", [setup(x=80)]).write(tmp_path, cell=2.0)
    with pytest.raises(tp.InputError, match=r"sheet\.html is the sheet of another job"):
        tp.Job(f"{TITLE} B", [setup()]).write(tmp_path, cell=2.0)
    (tmp_path / "sheet.html").unlink()
    tp.Job(f"{TITLE} B", [setup()]).write(tmp_path, cell=2.0)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["front.nc", "old.nc", "sheet.html"]


def test_a_title_that_begins_like_another_is_another(tmp_path):
    """It is written beside the other's programs, once the other's sheet is not in its way: a folder has one."""
    tp.Job("Tray: lid", [setup(name="lid")]).write(tmp_path, cell=2.0)
    with pytest.raises(tp.InputError, match=r"is the sheet of another job, Tray: lid; write Tray to a folder"):
        tp.Job("Tray", [setup(name="base")]).write(tmp_path, cell=2.0)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["lid.nc", "sheet.html"]
    (tmp_path / "sheet.html").unlink()
    tp.Job("Tray", [setup(name="base")]).write(tmp_path, cell=2.0)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["base.nc", "lid.nc", "sheet.html"]


def test_an_earlier_form_under_another_suffix_is_not_left_beside_the_new_one(tmp_path):
    earlier, job = tp.Job("Tray", [setup()]), tp.Job("Tray", [setup(x=80)])
    earlier.write(tmp_path, suffix=".ngc", cell=2.0)
    (tmp_path / "notes.txt").write_text("Buy oak.")
    (tmp_path / "picture.png").write_bytes(bytes(range(256)))
    with pytest.raises(tp.InputError, match=r"front\.ngc belongs to an earlier form"):
        job.write(tmp_path, cell=2.0)
    assert job.compare(tmp_path) == ("front.nc is missing.", f"front.ngc is of another set, {earlier.identity}.")
