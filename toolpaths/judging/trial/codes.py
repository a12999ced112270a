"""What each code of a finding means, in a line; limits and sources stand in the docstrings of the checks."""

from __future__ import annotations

from bisect import bisect_right

# From causes to what follows from them: what the text says, whom it is for, how the machine runs, where the cutter
# goes, which wood it meets there, what then holds, and what is left of the part.
CODES = {
    "unreadable": "a line breaks a rule of the language; the rest is judged as far as it can honestly be",
    "other-units": "read in the program's own units it does not fit the board, read in the others it does",
    "modes": "no G20 or G21, or no G90 or G91, before the first motion",
    "state-left": "incremental mode, a length offset, G92 or the spindle is left on at the end, or G91 after a stop",
    "after-end": "words after the end of the program, which never run",
    "unknown-code": "a code that the machine's controller lacks (Machine.codes)",
    "head-differs": "the program's own comments name another side, board, zero, dowel or cutter than given",
    "sides-differ": "front and back have other dowels, board or zero, come in the wrong order, or from two sets",
    "laid-wrong": "the program fits the part as it lies turned another way, on its other side, or shifted",
    "pins-symmetric": "the board goes on its pins turned over the other way as well",
    "levelled-face": "the board rests lower or higher than its fixture says (Fixture.levelled)",
    "other-zero": "motion from a zero or to a home that only the machine knows",
    "optional-stop": "a cutter is put in at a stop that the machine may pass: M1, or any on a line that begins with /",
    "other-length": "a cutter runs under the length offset of another",
    "unknown-tool": "a cutter that is not in the rack given",
    "never-put-in": "a cutter is called and never put in, where the program changes cutters",
    "nothing-holds": "nothing was given that holds the board, or it is cut before the first of that holds",
    "spindle-off": "fed in the wood, or lowered there, with the spindle stopped; or fed with it turning anticlockwise",
    "spindle-speed": "cuts at a speed that the spindle does not turn at (Machine.spindle_rpm)",
    "spin-up": "in the wood sooner after the spindle's start than it takes to come up to speed (Machine.spin_up_s)",
    "stop-turning": "an operator stop with the spindle turning",
    "no-feed": "a move at feed for which no feed was ever set",
    "fast-feed": "a feed beyond what an axis can do (Machine.rapid_mm_min)",
    "cuts-nothing": "fed with the spindle turning, but never below the top of the board",
    "long-dwell": "a wait of more than 5 s in the wood, or of minutes anywhere",
    "first-move": "goes sideways or into the board before the program has said where the cutter is",
    "sideways-lift": "a rapid that lifts out of the wood, or from beside a hold-down, and moves across at once",
    "waits-low": "stops, changes the cutter or ends below the top of the board; or changes it just above",
    "stops-low": "the spindle is stopped with the cutter in the wood",
    "travel": "farther than the machine's axes go (Machine.travel)",
    "off-board": "reaches past the edge of the board while below its top (Fixture.overhang)",
    "too-deep": "deeper into the spoilboard than allowed (Fixture.spoilboard_depth, Dowel.depth), or through it",
    "hold-down": "cutter, shank or nut meets a screw, a clamp or a dowel pin",
    "rapid-in-wood": "a rapid through standing wood, down to scratches of 0.05 mm",
    "trapped": "an undercut cutter is lifted where wood stands above its head, or goes by rapid in its entry hole",
    "plunge": "a cutter not made to plunge goes straight down into wood, or on a way narrower than its dead centre",
    "flutes": "works deeper beside standing wood than the cutter's flutes are long",
    "nut-in-wood": "the collet nut meets standing wood",
    "deep-pass": "more depth at once than the cutter bears: its step_down if given, else its diameter",
    "deep-peck": "straight down farther at once than its chips clear (Cutter.deepest_peck)",
    "wide-pass": "a wider cut than Cutter.widest_cut",
    "drill-sideways": "a drill is moved sideways in the wood",
    "chip-load": "chips too thin or too thick for cutter and wood (Cutter.chip_load_mm, else published charts)",
    "steep-ramp": "goes down steeper than the cutter may (Cutter.ramp_angle_deg; 10 degrees if dead at its centre)",
    "fast-plunge": "goes down faster than the cutter may (Cutter.running.plunge_mm_min if given, else its feed)",
    "screw-stop": "the stop at which screws are driven does not come, may be skipped, or says something else",
    "screw-hole": "a screw has no hole, or one beside its axis, where others have one; or it does not hold in it",
    "loose-piece": "a piece of wood is cut free that nothing holds; small ones are thrown",
    "cuts-loose": "cuts into a piece that lies loose",
    "tab-cut": "a tab that the program leaves is cut away later",
    "weak-tab": "a tab too thin or too narrow to hold",
    "weak-hold": "what holds a piece stands less than three times the force of the cutter",
    "tab-count": "more or fewer tabs than the part says (Parting.tabs)",
    "tab-size": "a tab wider, narrower, higher or lower than the part says (Parting.tab_width, tab_height)",
    "gouge": "wood of the part is cut away",
    "leftover": "wood stands where the part has none",
    "not-parted": "the board still hangs together where it should be parted, or the cut lies beside its wall",
    "undercut": "the head of an undercut cutter takes wood that the part keeps",
    "not-undercut": "wood stands where the part is undercut (Keyhole)",
    "shoulder-cut": "the wood over an undercut, which is to carry, is cut away later, cut thin or cut free",
    "thin-web": "less wood between front and back cuts than thinnest_web",
    "recesses-meet": "recesses from both faces meet, and neither is meant to go through",
    "dowel-hole": "the hole of a dowel is missing, off its place, or too tight, too wide or too shallow for its pin",
    "holes-apart": "holes from both sides that do not meet",
    "inlay-gap": "an insert has more or less room in its recess than was asked, or rests too high in it",
    "does-not-go-in": "what goes in meets wood within its fit, stands too high, lies too deep or falls through",
    "screw-through": "a screw of what is fitted is longer than the wood left where it is driven",
    "clip-swing": "a clip cannot turn over what it holds",
}

# The code with which each of these families begins.
TEXT, FACTS, RUNNING, MOTION, WOOD, HOLDING, PART = (
    "unreadable", "head-differs", "spindle-off", "first-move", "rapid-in-wood", "screw-stop", "gouge",
)  # fmt: skip
_PLACES = {code: place for place, code in enumerate(CODES)}
_BEGINS = sorted(_PLACES[first] for first in (TEXT, FACTS, RUNNING, MOTION, WOOD, HOLDING, PART))


def family(code: str) -> int:
    """Which family a code belongs to, from 0: the causes come first."""
    return bisect_right(_BEGINS, _PLACES[code]) - 1
