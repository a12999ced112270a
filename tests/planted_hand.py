"""Slips of the finger in programs written by hand: one edit each, and the finding that its user needs."""

from __future__ import annotations

from hand_programs import PROGRAMS
from planted import Fault, line_of


def _slip(name: str, code: str, what: str, old: str, new: str, found_on: str | None = None) -> Fault:
    """The first `old` in the text, a line or several, becomes `new`.

    found_on : the line on which it must be found: the edited one, or the first that reads so, or any for ""
    """
    program = PROGRAMS[name]
    sound = "\n" + program.text
    assert f"\n{old}\n" in sound, f"{name} has no line {old!r}"
    text = sound.replace(f"\n{old}\n", f"\n{new}\n" if new else "\n", 1)[1:]
    line = program.text[: sound.index(f"\n{old}\n")].count("\n") + 1
    if found_on is not None:
        line = line_of(text, found_on) if found_on else 0
    return Fault(code, f"{name}, {what}", text, line, program.judge, program.text)


SECOND_RING = "g1x21\ng3x21y0i-21"
LATER_RINGS = "g1x28\ng3x28y0i-28\ng1x35\ng3x35y0i-35\ng1x40.8\ng3x40.8y0i-40.8\n(last pass round the wall, 0.2 more)"

FAULTS = [
    # key_rack
    _slip("key_rack", "off-board", "digit doubled", "N380 X215 F1200", "N380 X2155 F1200"),
    _slip("key_rack", "gouge", "slot depth for an outline depth", "N160 G1 Z-4 F400", "N160 G1 Z-7 F400"),
    _slip("key_rack", "gouge", "wrong X in the last pass", "N560 X215 F1200", "N560 X205 F1200", ""),
    _slip("key_rack", "gouge", "retract left out between slots", "N130 G0 Z5", "", "N140 X80 Y55"),
    _slip("key_rack", "rapid-in-wood", "retract lost between slots", "N180 G0 Z5", "N180 G0 Z-4", "N190 X120 Y55"),
    _slip(
        "key_rack",
        "rapid-in-wood",
        "retract line left out",
        "N230 G0 Z5\nN240 X160 Y55",
        "N240 G0 X160 Y55",
        "N240 G0 X160 Y55",
    ),
    _slip("key_rack", "rapid-in-wood", "G0 for G1", "N160 G1 Z-4 F400", "N160 G0 Z-4"),
    _slip("key_rack", "not-parted", "last pass not deep enough", "N470 Z-9.3 F400", "N470 Z-8.3 F400", ""),
    _slip("key_rack", "too-deep", "decimal point lost", "N470 Z-9.3 F400", "N470 Z-93 F400"),
    _slip("key_rack", "spindle-off", "spindle never started", "N60 M3 S16000", "N60 S16000", "N110 G1 Z-4 F400"),
    _slip("key_rack", "unreadable", "last percent line and end lost", "N710 M30\n%", "", ""),
    _slip("key_rack", "first-move", "first lift left out", "N40 G0 Z15", "", ""),
    # coaster
    _slip("coaster", "gouge", "last pass too wide", "g3x41y0i-41", "g3x41y0i-40.5\ng1x41.5", ""),
    _slip("coaster", "leftover", "offset with a digit lost", "g3x41y0i-41", "g3x41y0i-4.1", ""),
    _slip("coaster", "gouge", "depth of another job", "g1z-3f300", "g1z-4f300"),
    _slip("coaster", "leftover", "one ring left out", f"{SECOND_RING}\n{LATER_RINGS}", LATER_RINGS, ""),
    _slip("coaster", "leftover", "second depth forgotten", "g1z-3f300", "g1z-2f300", ""),
    _slip("coaster", "unknown-tool", "calls a cutter that is not in the rack", "m3s14000", "t3m6m3s14000"),
    _slip("coaster", "first-move", "lift forgotten", "g0z10", "", ""),
    _slip("coaster", "unreadable", "G91 for G90", "g21g90g17g94", "g21g91g17g94", "g3x7y0i-7"),
    _slip("coaster", "fast-feed", "feed times ten", "x7f1100", "x7f11000"),
    # hinge_plate
    _slip(
        "hinge_plate",
        "leftover",
        "wrong arc direction",
        "G1 X5.25\nG3 X5.375 Y2.0 R0.125",
        "G1 X5.25\nG2 X5.375 Y2.0 R0.125",
        "",
    ),
    _slip("hinge_plate", "gouge", "R with the wrong sign", "G3 X5.25 Y3.125 R0.125", "G3 X5.25 Y3.125 R-0.125", ""),
    _slip("hinge_plate", "unreadable", "R too small", "G3 X2.75 Y1.875 R0.125", "G3 X2.75 Y1.875 R0.0125"),
    _slip("hinge_plate", "gouge", "decimal point lost in a depth", "G1 Z-0.125 F15", "G1 Z-.5 F15"),
    _slip("hinge_plate", "off-board", "decimal point lost in X", "G1 X5.25 F45", "G1 X525 F45"),
    _slip("hinge_plate", "other-units", "mm for inch", "G20 G90 G17", "G21 G90 G17", ""),
    _slip("hinge_plate", "gouge", "row beyond the wall", "G1 Y3.0", "G1 Y3.3"),
    _slip("hinge_plate", "rapid-in-wood", "G0 for G1", "G1 X5.25 F45", "G0 X5.25"),
    # pilot_holes
    _slip("pilot_holes", "leftover", "another height before the steps", "G0 X0 Y20\nG0 Z12", "G0 X0 Y20", ""),
    _slip(
        "pilot_holes", "hold-down", "clearance under the clamp", "G0 Z25\nX270 Y140", "G0 Z5\nX270 Y140", "X270 Y140"
    ),
    _slip("pilot_holes", "too-deep", "depth doubled", "G99 G81 X30 Y140 Z-12 R2", "G99 G81 X30 Y140 Z-24 R2"),
    _slip(
        "pilot_holes",
        "unreadable",
        "no increment for the pecks",
        "G98 G83 X270 Y140 Z-12 R2 Q5",
        "G98 G83 X270 Y140 Z-12 R2",
    ),
    _slip(
        "pilot_holes",
        "gouge",
        "one hole too many",
        "G91 G98 G82 X-30 Y0 Z-14 R-10 P0.2 L9",
        "G91 G98 G82 X-25 Y0 Z-14 R-10 P0.2 L9",
        "",
    ),
    _slip(
        "pilot_holes",
        "leftover",
        "one hole too few",
        "G99 G81 X30 Y0 Z-14 R-10 L9 F400",
        "G99 G81 X30 Y0 Z-14 R-10 L8 F400",
        "",
    ),
    _slip("pilot_holes", "travel", "G90 forgotten after the steps", "G80 G90", "G80", ""),
    # peg_rail
    _slip("peg_rail", "leftover", "wrong cutter for the rims", "N15 T2 M6", "N15 T1 M6", ""),
    _slip("peg_rail", "unknown-tool", "no such cutter", "N15 T2 M6", "N15 T12 M6"),
    _slip("peg_rail", "spindle-off", "not started again after the change", "N16 M3 S15000", "N16 S15000", ""),
    _slip("peg_rail", "spindle-off", "wrong way round", "N4 M3 S6000", "N4 M4 S6000", ""),
    _slip(
        "peg_rail", "gouge", "through the rail", "N7 G98 G83 X40 Y35 Z-15 R2 Q5", "N7 G98 G83 X40 Y35 Z-19.5 R2 Q5", ""
    ),
    _slip("peg_rail", "hold-down", "onto the screw", "N8 X100", "N8 X10"),
    _slip("peg_rail", "no-feed", "feed lost", "N6 F450", "N6", ""),
    _slip("peg_rail", "spindle-speed", "a digit too many", "N4 M3 S6000", "N4 M3 S60000", ""),
    # house_number
    _slip("house_number", "too-deep", "Z counted from the top", "G01 Z14. F300.", "G01 Z-2. F300."),
    _slip("house_number", "gouge", "arc the other way", "G02 X140. Y75. R15. F900.", "G03 X140. Y75. R15. F900."),
    _slip("house_number", "gouge", "small arc for a full one", "G02 X137. Y66. I-15. J0.", "G03 X137. Y66. I-15. J0."),
    _slip("house_number", "rapid-in-wood", "retract between digits lost", "G00 X110. Y75.", "G00 X110. Y75. Z14."),
    _slip(
        "house_number",
        "gouge",
        "retract between the digits left out",
        "G00 Z17.\n(two)\nG00 X110. Y75.",
        "(two)\nG01 X110. Y75.",
        "G01 X110. Y75.",
    ),
    # tray_front
    _slip("tray_front", "off-board", "row past the edge", "G1 X193 F1800", "G1 X199 F1800"),
    _slip("tray_front", "plunge", "comes down on the board", "G0 X-13 Y8", "G0 X13 Y8", "G1 Z-0.8 F800"),
    _slip("tray_front", "gouge", "depth of the face doubled", "G1 Z-0.8 F800", "G1 Z-1.6 F800", "G1 X193 F1800"),
    _slip("tray_front", "leftover", "two rows too far apart", "G1 Y62", "G1 Y70", ""),
    _slip("tray_front", "gouge", "row of the tray too far", "G1 X150 F1500", "G1 X155 F1500"),
    _slip(
        "tray_front",
        "gouge",
        "wrong cutter put in",
        "(MSG, put in T2, 8 mm, and set Z on the spoilboard block)",
        "(MSG, put in T7, 8 mm, and set Z on the spoilboard block)",
        "",
    ),
    _slip(
        "tray_front",
        "optional-stop",
        "the change may be passed",
        "(MSG, put in T2, 8 mm, and set Z on the spoilboard block)\nM0",
        "(MSG, put in T2, 8 mm, and set Z on the spoilboard block)\nM1",
        "M1",
    ),
    _slip(
        "tray_front",
        "waits-low",
        "not lifted before the change",
        "G0 Z30\nM5\n(MSG, put in T2, 8 mm, and set Z on the spoilboard block)",
        "M5\n(MSG, put in T2, 8 mm, and set Z on the spoilboard block)",
        "",
    ),
    # lid
    _slip("lid_front", "too-deep", "dowel hole through the spoilboard", "N90G3X13Y70Z-21I-1J0", "N90G3X13Y70Z-31I-1J0"),
    _slip(
        "lid_front",
        "unreadable",
        "a hole begun beside its place",
        "N110G0X209Y70\nN115G0Z1",
        "N110G0X200Y70\nN115G0Z1",
        "N125G3X209Y70Z-2I-1J0F600",
    ),
    _slip("lid_front", "rapid-in-wood", "back into the pocket too deep", "N290G0Z-2.3", "N290G0Z-3.2"),
    _slip("lid_front", "leftover", "arc the other way", "N355G3X100Y63I0J-7", "N355G2X100Y63I0J-7", ""),
    _slip("lid_front", "unreadable", "an O for a zero", "N220G1X100F1200", "N220G1X1O0F1200"),
    _slip("lid_back", "gouge", "a tab's height forgotten: too low in the rebate", "G1 X187 F1200", "G1 X178 F1200", ""),
    _slip("lid_back", "tab-count", "a tab left out", "G1 X100\nG1 Z-12\nG1 X114\nG1 Z-15.3 F400", "G1 X114", ""),
    _slip("lid_back", "not-parted", "tab never left", "G1 X114\nG1 Z-15.3 F400", "G1 X114", ""),
    _slip("lid_back", "hold-down", "through a screw", "G1 X193", "G1 X213", ""),
    _slip("lid_back", "too-deep", "rebate as deep as the board", "G1 Z-6 F400", "G1 Z-16 F400"),
    _slip("lid_back", "gouge", "second depth too deep", "G1 Z-6 F400", "G1 Z-8 F400"),
    # clock_ring
    _slip("clock_ring", "too-deep", "Z counted from the top", "G3 X27 Y0 Z0.4 I-27 J0", "G3 X27 Y0 Z-10.4 I-27 J0"),
    _slip("clock_ring", "gouge", "skin cut through", "G3 X27 Y0 Z0.4 I-27 J0", "G3 X27 Y0 Z-.4 I-27 J0"),
    _slip("clock_ring", "gouge", "mark in the wrong quarter", "X26 Y45.033", "X26 Y4.5033", ""),
    _slip(
        "clock_ring",
        "rapid-in-wood",
        "retract lost between marks",
        "G0 Z11\nX45.033 Y26",
        "G0 Z9\nX45.033 Y26",
        "X45.033 Y26",
    ),
    _slip(
        "clock_ring",
        "gouge",
        "retract left out between marks",
        "G1 Z8\nG0 Z11\nX26 Y45.033",
        "G1 Z8\nX26 Y45.033",
        "X26 Y45.033",
    ),
    _slip("clock_ring", "unreadable", "radius smaller than half the chord", "G2 X68 Y0 R68", "G2 X68 Y0 R67"),
    # pen_trough
    _slip("pen_trough", "unreadable", "plane forgotten", "G18", "", ""),
    _slip("pen_trough", "too-deep", "a digit doubled", "G1 Z-7.5 F300", "G1 Z-77.5 F300"),
    _slip("pen_trough", "hold-down", "screw in the way", "G1 X160 F1400", "G1 X160 Y8 F1400\nG1 X192", ""),
    _slip("pen_trough", "rapid-in-wood", "first slot too shallow, then a rapid", "G0 Y40", "G0 Y46 Z-4"),
    # trivet
    _slip("trivet", "gouge", "one step sideways forgotten", "g0 y17", "g0 y27", ""),
    _slip("trivet", "rapid-in-wood", "lift forgotten in the steps", "g0 z8\ny17", "y17", ""),
    _slip("trivet", "rapid-in-wood", "lift too small", "g0 z8\ny17", "g0 z5\ny17", ""),
    _slip("trivet", "off-board", "sign slipped", "g1 x-130 f1200", "g1 x130 f1200"),
    _slip("trivet", "off-board", "G90 for G91", "g91", "g90", ""),
    # mirror_frame
    _slip("mirror_frame", "gouge", "corner too far", "N420 G01 X58 Y48", "N420 G01 X58 Y46"),
    _slip(
        "mirror_frame",
        "leftover",
        "one square left out",
        "N670 G01 X69 Y59\nN680 G01 X141\nN690 G01 Y91\nN700 G01 X69\nN710 G01 Y59",
        "",
        "",
    ),
    _slip("mirror_frame", "gouge", "V too deep", "N950 G01 Z-2 F500", "N950 G01 Z-3.5 F500", ""),
    _slip("mirror_frame", "gouge", "wrong cutter for the rim", "N890 T3 M06", "N890 T1 M06", ""),
    _slip("mirror_frame", "spin-up", "dwell left out", "N910 G04 P3", "N910", "N950 G01 Z-2 F500"),
    _slip("mirror_frame", "too-deep", "decimal point lost, and X", "N100 G01 X125 Z-3", "N100 G01 Z-30", ""),
    # sliding_stop
    _slip("sliding_stop", "plunge", "straight down", "G1 X110 Z-2 F800", "G1 Z-2 F800"),
    _slip("sliding_stop", "gouge", "Y of the second slot", "G0 X50 Y-65", "G0 X50 Y-56", ""),
    _slip("sliding_stop", "off-board", "sign lost", "G0 X50 Y-65", "G0 X50 Y65", ""),
    _slip("sliding_stop", "leftover", "last level not through", "G1 X210 Z-12.2", "G1 X210 Z-11.2", ""),
    # drawer_pull
    _slip(
        "drawer_pull",
        "gouge",
        "helix of the wrong turn",
        "n11g2x3.625y2z-.1i-.625j0f50",
        "n11g2x3.625y2z-.1i-.65j0f50",
        "",
    ),
    _slip(
        "drawer_pull",
        "too-deep",
        "mm for inch in a depth",
        "n26g3x1.0625y2z-1.01i-.0625j0",
        "n26g3x1.0625y2z-25.6i-.0625j0",
    ),
    _slip("drawer_pull", "rapid-in-wood", "retract too low", "n15g0z.1", "n15g0z-.1", "n17g0x1.0625y2"),
    _slip(
        "drawer_pull",
        "flutes",
        "much too deep a hole",
        "n26g3x1.0625y2z-1.01i-.0625j0",
        "n26g3x1.0625y2z-1.16i-.0625j0",
    ),
    _slip("drawer_pull", "leftover", "last level left out", "n13g2x3.625y2z-.3i-.625j0", "", ""),
    # cable_panel
    _slip(
        "cable_panel", "hold-down", "disc milled over its screw", "G3 X63 Y90 I-27 J0 Z-2 F1000", "G1 X63 Y90 Z-2 F1000"
    ),
    _slip("cable_panel", "unreadable", "sign of an offset", "G3 X117 Y90 I27 J0 Z-4", "G3 X117 Y90 I-27 J0 Z-4"),
    _slip("cable_panel", "not-parted", "last arc the other way", "G3 X117 Y90 I27 J0", "G2 X117 Y90 I27 J0", ""),
    _slip(
        "cable_panel",
        "hold-down",
        "clamp met by a rapid",
        "G0 Z30\n(DISC TWO)\nG0 X217 Y90",
        "G0 Z3\n(DISC TWO)\nG0 X10 Y90",
        "",
    ),
    _slip(
        "cable_panel",
        "screw-stop",
        "the stop says something else",
        "(MSG, DRIVE A SCREW IN EACH DISC)",
        "(MSG, BRUSH THE DUST OFF)",
        "",
    ),
    _slip(
        "cable_panel",
        "not-parted",
        "last level missing",
        "G3 X117 Y90 I27 J0 Z-12.3\nG3 X63 Y90 I-27 J0\nG3 X117 Y90 I27 J0",
        "G3 X117 Y90 I27 J0 Z-11.3\nG3 X63 Y90 I-27 J0\nG3 X117 Y90 I27 J0",
        "",
    ),
    # spoon_rest
    _slip("spoon_rest", "off-board", "sign lost in X", "G00 X-95 Y-55", "G00 X95 Y-55", ""),
    _slip("spoon_rest", "gouge", "a row too far", "G01 Y-43", "G01 Y-34", ""),
    _slip("spoon_rest", "gouge", "a scratch as deep as the foot", "G01 Z-0.3 F350", "G01 Z-3 F350", ""),
    _slip("spoon_rest", "fast-feed", "feed times ten", "G01 X-55 F1300", "G01 X-55 F13000", ""),
    # ruler_stop
    _slip("ruler_stop", "off-board", "rebate too wide", "G1Y87", "G1Y97"),
    _slip("ruler_stop", "other-units", "inch for mm", "G21G17G90G94", "G20G17G90G94", ""),
    _slip("ruler_stop", "rapid-in-wood", "clearance below the top", "G0Z12\nG0X90", "G0Z-1\nG0X90", "G0X90"),
    _slip("ruler_stop", "gouge", "slot depth for rebate depth", "G1Z-6F350", "G1Z-26F350", ""),
]
