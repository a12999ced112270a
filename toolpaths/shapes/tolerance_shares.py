"""How one tolerance, a length in mm, is shared out between the steps from shape to text.

The user gives the total. It bounds how far a written path may lie from the true offset of the
shape as drawn, to either side. The shares sum to less than one; the rest is for the rounding of
the text (0.00005 mm with four decimals).
"""

from __future__ import annotations

DEFAULT_TOLERANCE = 0.01

# Chords of arcs and curves lie at most this far inside the curve they stand for.
FLATTEN = 1 / 8
# The lines and arcs that an outline stands for lie within this of it as drawn,
DRAWN = 1 / 2
# and the chords in which these are drawn again at most this far inside them.
REDRAWN = 1 / 10
# Segments that hardly bend meet in a point within this of the arc about their corner.
MITRED = 1 / 3
# Vertices may be dropped if the outline moves by no more than this.
SIMPLIFY = 1 / 10
# The arcs that round the corners of an offset, likewise flattened by the engine.
OFFSET = 1 / 8
# A cutter enters a gap narrower than itself by twice this share: a 6 mm slot takes a 6 mm cutter.
SNUG = 1 / 4
# Arcs and lines of the path against the vertices of its polyline.
FIT = 1 / 4
