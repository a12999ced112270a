"""For users' own tests of their programs: assertions that say what a woodworker needs to know when they fail.

    from toolpaths.testing import assert_job_safe, assert_depth_at, simulated

The assertions are plain functions, for pytest, unittest or a script. A job is simulated once, by simulated(), and asked
as often as wanted. In pytest the fixtures `job_of_script`, `simulate_job` and `golden_programs` are there by
themselves; see toolpaths/testing/pytest_plugin.py. Random shapes, cutters, fixtures and jobs for property tests stand
in toolpaths.testing.strategies, which needs hypothesis.

Sound         assert_job_safe assert_safe
As before     assert_same_motion (two texts)  assert_golden (the programs of a job against those kept beside the tests)
The part      assert_depth_at assert_wood_left_at assert_volume_removed
The machine   assert_time_below
Margins       assert_clear_of_hold_downs assert_webs_above assert_held_above assert_tabs_stand
What is asked simulated programs_in SimulatedJob
"""

from toolpaths.base.names_on_demand import names_on_demand

# pytest loads this package wherever the plug-in is installed, and pays for nothing more.
__all__, __getattr__, __dir__ = names_on_demand(__name__, __file__)
