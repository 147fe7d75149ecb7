"""Physical and conventional constants, each with its source; tolerances of this room, each with its reason."""

import math

GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall. Source: 3rd General Conference on Weights and Measures (1901)."""

ATMOSPHERE_PA = 101_325.0
"""Standard atmosphere. Source: 10th General Conference on Weights and Measures (1954)."""

GAS_CONSTANT_J_MOL_K = 8.314462618
"""Molar gas constant. Source: CODATA 2018 (exact since the units of 2019)."""

US_GALLON_M3 = 3.785411784e-3
"""US liquid gallon, exact (231 cubic inches). Source: NIST Handbook 44, appendix C."""

DRUM_55_GALLON_M3 = 55 * US_GALLON_M3
"""Nominal content of the trade's 55 gallon drum: 208.198 L."""

FOOT_M = 0.3048
"""International foot, exact. Source: NIST Handbook 44, appendix C."""

INCH_M = 0.0254
"""International inch, exact. Source: NIST Handbook 44, appendix C."""

UNLIMITED_HEIGHT_M = math.inf
"""Height of a barrier that no resting spill comes over."""

CELL_M = 0.1
"""Default grid cell: about a sixth of a drum's diameter, so that a single drum is never lost between cells."""

MAX_CELLS = 4_000_000
"""Largest grid. One distance field of this size takes 16 MB; a 200 by 200 m floor at 0.1 m just fits."""

GAP_CLOSED_M = 0.05
"""Barrier ends closer than this to another barrier are taken as joined: a gap in the drawing, not in the wall.
Half a grid cell, so that the grid and the exact distances agree on what is shut."""

OPENING_OFFSET_M = 0.3
"""How far beside its wall an opening may be drawn and still lie in it: the thickness of an ordinary wall."""

OPENING_TURN_DEG = 30.0
"""How far an opening may be turned against its wall and still lie in it."""

ADJOINING_M = 0.3
"""Outdoor surfaces closer than this to the outline adjoin it: the thickness of an ordinary wall."""

SOURCE_MOVED_M = 0.2
"""How far a source that lies in a wall is moved to find free floor before it is refused."""

SNAP_M = 1e-6
"""Coordinates are taken as equal within a micrometre."""

CORNER_STAND_OFF_M = 1e-5
"""Paths turn this far off a corner, so that no path ever touches a barrier and rounding cannot let it through."""

TOUCH_M2 = 1e-4
"""Two pools share floor when they share more than a square centimetre; less is rounding along a common wall."""
