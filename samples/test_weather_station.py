"""What has to be true of the weather station's programs, as its maker tests it before the spindle starts.

    pytest samples/test_weather_station.py

The fixtures come with toolpaths; a failure shows the lines of the program and the place on the board. After a change
that is meant, look at the programs, and keep them as the golden ones with `pytest --renew-golden`.
The work can hurt: the machine's manual, local codes and qualified practice come first.
"""

import pytest

from toolpaths.testing import (
    assert_clear_of_hold_downs,
    assert_depth_at,
    assert_held_above,
    assert_job_safe,
    assert_time_below,
    assert_volume_removed,
    assert_webs_above,
    assert_wood_left_at,
)


@pytest.fixture
def job(job_of_script):
    return job_of_script("weather_station.py")


@pytest.fixture
def station(job, simulate_job):
    """Both programs on a simulated board, once for all tests below."""
    return simulate_job(job, cell=0.5)


def test_nothing_is_found_against_the_programs(station):
    assert_job_safe(station)


def test_the_programs_are_those_that_were_looked_at(job, golden_programs):
    golden_programs(job)


def test_the_back_has_room_for_dials_and_display(station):
    for place in [(110, 155), (330, 155), (110, 65), (330, 65), (220, 137)]:
        assert_depth_at(station, place, face="back", depth=14)
        assert_wood_left_at(station, place, thickness=5.8)  # the rim that the glass rests on


def test_dials_and_display_are_seen_through_the_front(station):
    for place in [(110, 147), (147, 110), (330, 147), (220, 131), (253, 110)]:
        assert_wood_left_at(station, place, thickness=0)


def test_the_groove_is_as_deep_as_it_looks_well(station):
    assert_depth_at(station, (220, 178), depth=3)


def test_clips_are_not_screwed_through(station):
    assert_depth_at(station, (170, 90), face="back", depth=9)
    assert_webs_above(station, thickness=4.2)  # where the chamfer of an opening meets a recess


def test_the_wood_that_goes_away(station):
    assert_volume_removed(station, volume_cm3=287, within_share=0.02)


def test_it_is_done_before_the_coffee_is_cold(station):
    assert_time_below(station, minutes=25, program="front")
    assert_time_below(station, minutes=25, program="back")


def test_there_is_something_to_spare(station):
    assert_clear_of_hold_downs(station, margin=3)
    assert_held_above(station, times_force=3)
