"""The names for users' tests and their homes: what type checkers read, and what the package looks names up by."""

from toolpaths.testing.depth_assertions import (
    assert_depth_at as assert_depth_at,
)
from toolpaths.testing.depth_assertions import (
    assert_wood_left_at as assert_wood_left_at,
)
from toolpaths.testing.golden import assert_golden as assert_golden
from toolpaths.testing.margin_assertions import (
    assert_clear_of_hold_downs as assert_clear_of_hold_downs,
)
from toolpaths.testing.margin_assertions import (
    assert_held_above as assert_held_above,
)
from toolpaths.testing.margin_assertions import (
    assert_webs_above as assert_webs_above,
)
from toolpaths.testing.safe_assertions import assert_job_safe as assert_job_safe
from toolpaths.testing.safe_assertions import assert_safe as assert_safe
from toolpaths.testing.same_motion import assert_same_motion as assert_same_motion
from toolpaths.testing.simulated_job import (
    SimulatedJob as SimulatedJob,
)
from toolpaths.testing.simulated_job import (
    programs_in as programs_in,
)
from toolpaths.testing.simulated_job import (
    simulated as simulated,
)
from toolpaths.testing.sum_assertions import (
    assert_time_below as assert_time_below,
)
from toolpaths.testing.sum_assertions import (
    assert_volume_removed as assert_volume_removed,
)
from toolpaths.testing.tab_assertions import assert_tabs_stand as assert_tabs_stand
