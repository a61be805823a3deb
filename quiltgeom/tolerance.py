"""Every tolerance of the project, one constant per meaning, each with its reason."""

SAME_POINT = 1e-9
"""Two coordinates (grid units or inches) closer than this are the same point.

Double precision keeps about 1e-13 on a 100-inch quilt; block files write irrational positions as
expressions, so nothing legitimate differs by more than rounding noise."""

COVER_AREA = 1e-9
"""Largest gap or overlap (square units) that the exact-cover audit lets pass: rounding only."""

SNAP_GRID = 1e-12
"""Grid on which edges that differ by rounding noise alone become one: far below anything meant,
above the noise of a coordinate of a few hundred inches (5e-14)."""

SLIVER = 1e-6
"""A patch smaller than this (square units) is a slip of the pen, not a patch."""

ARC_STEP_DEG = 1.0
"""Angle between points where an arc becomes a polyline: on a 12-inch circle the chord stays
within 0.0005 inch of the arc, a tenth of a thread."""

RULER = 0.125
"""Rotary rulers are marked in eighths of an inch; cut sizes are rounded UP to this."""

RULER_SLACK = 1e-6
"""A size this little above a ruler mark is the mark (so that 3.0000000001 is not 3 1/8)."""

SMOOTH_RAD = 1e-6
"""Two seams that meet end to end within this angle (radians) run on as one line: block files are
exact to rounding noise, and the smallest real bend in a block is degrees, not millionths."""

MEETS = 1 / 32
"""Inches by which the two sides of a seam may differ: less than the fold of the cloth takes up, and
eased in by any hand. Sizes to trim to are rounded up to this, so that they meet what is exact."""

SAME_CORNER = 1e-7
"""Corners closer than this (grid units or inches), and lengths that differ by less, are the same:
well above the noise of what was turned, cut or intersected, well below any patch."""

SAME_LINE_RAD = 1e-7
"""Edges from one point whose directions (radians) differ by less lie on one line: over a quilt's
width they part by less than a thread."""

SAME_SHARE = 1e-9
"""Ratios (a count of units along a side, a proportion, a share of an area) this near are equal, and
one this near a whole number is whole."""

SAME_DEG = 1e-6
"""Angles (degrees) this near are the same: how cloth and strips lie, how sharp a corner is."""

SAME_LENGTH = 1e-6
"""Lengths and places on cloth (inches) that differ by less are equal: far below a thread, far above
the rounding noise of a patch that was placed, turned and made larger by its allowance."""

EQUAL_SCORE = 1e-9
"""Worths, scores, areas and prices that differ by less are equal: rounding noise of sums."""

LP_SLACK = 1e-7
"""A linear programme keeps its constraints to this: the solver's own feasibility tolerance."""

LEAST_DIVISOR = 1e-9
"""What something is divided by is at least this, so that nothing divided by nothing is nothing."""

LEAST_POWER = 1e-12
"""The same for sums of squares and of cubes."""
