"""The physics of a float level gauge: floats and numpy arrays in SI units, nothing else.

Every function broadcasts over arrays and returns a numpy float for scalars. A number that cannot be
used gives NaN; `reasons` says how to learn the reason.
"""

from xlfuncs.gauge._reasons import (
    IMPOSSIBLE,
    MISSING,
    UNUSABLE,
    Array,
    Reasons,
    Refused,
    reasons,
    refuse,
    scalar,
)

__all__ = [
    "IMPOSSIBLE",
    "MISSING",
    "UNUSABLE",
    "Array",
    "Reasons",
    "Refused",
    "reasons",
    "refuse",
    "scalar",
]

STANDARD_GRAVITY = 9.80665
"""m/s2, exact by definition (ISO 80000-3)."""
