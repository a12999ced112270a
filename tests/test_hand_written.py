"""Programs written by hand, as a careful person would: nothing is found against any of them."""

from __future__ import annotations

import pytest
from hand_programs import FOLDER, PROGRAMS
from hand_programs_more import MORE

ALL = {**PROGRAMS, **MORE}


@pytest.mark.sample(14, long=22)
@pytest.mark.parametrize("name", ALL)
def test_nothing_is_found_against_a_sound_program(name):
    program = ALL[name]
    report = program.judge(program.text)
    assert report.ok, str(report)
    assert report.cutting_mm > (100 if name in PROGRAMS else 50)


def test_every_program_is_in_the_list():
    assert sorted(path.stem for path in FOLDER.glob("*.nc")) == sorted(ALL)
    assert len(ALL) >= 60
