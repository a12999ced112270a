"""Every check there is. A new one stands in a file named by its code, or with those of its family, and is listed."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from toolpaths.judging.checks.between_sides import levelled_face
from toolpaths.judging.checks.holding import (
    loose_pieces,
    screw_hole,
    screw_stop,
    tab_count_and_size,
    weak_and_cut_tabs,
    weak_hold,
)  # fmt: skip
from toolpaths.judging.checks.load import (
    chip_load,
    deep_pass,
    deep_peck,
    drill_sideways,
    fast_plunge,
    steep_ramp,
    wide_pass,
)  # fmt: skip
from toolpaths.judging.checks.meeting import (
    flutes,
    hold_downs,
    nut_in_wood,
    off_board,
    plunge,
    rapid_in_wood,
    sideways_lift,
    too_deep,
    trapped,
    travel,
)  # fmt: skip
from toolpaths.judging.checks.part import not_parted, off_part, recesses_meet, shoulder_cut, thin_web, undercut
from toolpaths.judging.checks.running import (
    feed,
    first_move,
    head_differs,
    head_numbers,
    head_screws,
    modes,
    optional_stop,
    other_units,
    other_zero,
    spin_up,
    spindle,
    tool_changes,
    touch_off,
    unreadable,
    waits,
)  # fmt: skip
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.trial.standing_tab import StandingTab

# Those that need no wood.
CHECKS = (
    unreadable.unreadable,
    other_units.other_units,
    tool_changes.unknown_tool,
    first_move.first_move,
    spindle.spindle_off,
    feed.no_feed,
    waits.waits_low,
    sideways_lift.sideways_lift,
    other_zero.other_zero,
    modes.modes,
    modes.state_left,
    modes.goes_on_incremental,
    unreadable.after_end,
    feed.cuts_nothing,
    tool_changes.never_put_in,
    optional_stop.optional_stop,
    tool_changes.other_length,
    waits.long_dwell,
    head_differs.head_differs,
    head_screws.head_screws,
    head_numbers.head_numbers,
    unreadable.unknown_code,
    spindle.spindle_speed,
    feed.fast_feed,
    spin_up.spin_up,
    spindle.stop_turning,
    spindle.stops_low,
    too_deep.too_deep,
    off_board.off_board,
    travel.travel,
    screw_stop.screw_stop,
    hold_downs.hold_downs,
)

# Those that read the wood before and after the program; some yield notes (str) as well: what is worth
# knowing and no fault, shown in this order.
WOOD_CHECKS: tuple[Callable[[Trial], Iterator[Finding | str | StandingTab]], ...] = (
    levelled_face.levelled_face,
    touch_off.touch_off,
    off_part.off_part,
    undercut.undercuts,
    undercut.below_shoulders,
    shoulder_cut.shoulder_cut,
    shoulder_cut.cut_free,
    not_parted.not_parted,
    thin_web.thin_webs,
    thin_web.thinnest,
    recesses_meet.recesses_meet,
    screw_hole.screw_holes,
    loose_pieces.loose_pieces,
    loose_pieces.cuts_loose,
    deep_pass.deep_pass,
    deep_peck.deep_peck,
    drill_sideways.drill_sideways,
    wide_pass.wide_pass,
    chip_load.chip_load,
    weak_and_cut_tabs.tabs_hold,
    tab_count_and_size.tabs_as_meant,
    weak_hold.weak_hold,
    steep_ramp.steep_ramp,
    fast_plunge.fast_plunge,
    nut_in_wood.nut_in_wood,
    rapid_in_wood.rapid_in_wood,
    trapped.trapped,
    plunge.plunge,
    plunge.narrow_way_down,
    flutes.flutes,
)

# What the checks of what moves meet look for while the wood is taken away.
WATCHES = (rapid_in_wood.watch, plunge.watch, flutes.watch)
