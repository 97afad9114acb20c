"""The effective sample size: how many independent days a diary of days that are alike is worth."""

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt
from statistics import fmean

MOST_ALIKE = 0.95
"""Beyond this likeness the factor (1 + r) / (1 - r) is only noise (own choice)."""
RAISED_BY = 1.5
"""So many of its standard errors likeness is raised (own choice, measured)."""


def likeness(stretches: Sequence[Sequence[float]], raised_by: float = RAISED_BY) -> float:
    """Return how alike neighbours are, from 0 to `MOST_ALIKE`, raised by its own error.

    The lag-1 correlation about each stretch's own mean, pooled over the ``stretches``; freed of
    its bias towards zero, (1 + 4 r) / n for each stretch (Marriott & Pope 1954); and ``raised_by``
    times its standard error, the root of (1 - r²) / n (Bartlett 1946): of too low an estimate comes
    a false claim, of too high a one only a missed change. Neighbours are the days that follow each
    other in the diary, be it a day later or three. The slope of a trend has a likeness of its own
    (`trend.likeness_factor`), since a line follows slow levels that a mean does not.
    """
    together = spread = 0.0
    total = sum(map(len, stretches))
    for values in stretches:
        if len(values) < 2:
            continue
        middle = fmean(values)
        off = [value - middle for value in values]
        together += sum(a * b for a, b in pairwise(off)) * len(off) / (len(off) - 1)
        spread += sum(e * e for e in off)
    # A spread at the size of floating-point crumbs is none.
    alike = together / spread if spread > 1e-12 else 0.0
    if total:
        alike += sum(1 for one in stretches if one) * (1 + 4 * max(alike, 0.0)) / total
        alike += raised_by * sqrt(max(1 - min(alike, 1.0) ** 2, 0.0) / total)
    return min(max(alike, 0.0), MOST_ALIKE)


def variance_factor(alike: float) -> float:
    """Return by how much likeness widens a mean's variance (Bayley & Hammersley 1946).

    The number of days divided by it is the number of independent days they are worth.
    """
    return (1 + alike) / (1 - alike)
