"""Rank statistics in plain Python: what a diary of scores from 0 to 10 can bear.

Scores are steps, skewed and full of ties, so everything here works on ranks and medians.
Scores of neighbouring days are alike, so every test takes an ``inflation``: the factor by
which that likeness widens the variance (`effective_sample`); 1.0 is the textbook test.

Pure Python, because the app runs in the browser too; the tests compare with scipy and
statsmodels.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, combinations, combinations_with_replacement
from math import floor, isfinite, sqrt
from statistics import NormalDist, median

from pocketpump.core.statistics.student_t import inflated_quantile

_NORMAL = NormalDist()
_MOST_SIGNED = 60
"""More pairs than this use the normal approximation, which by then is as good."""


@dataclass(frozen=True, slots=True)
class Shift:
    """How far one sample lies above another, in points, with an interval of confidence."""

    points: float
    low: float
    high: float

    @property
    def is_bounded(self) -> bool:
        """Whether both ends could be given; without any information they are infinite."""
        return isfinite(self.low) and isfinite(self.high)


def median_difference(
    differences: Sequence[float], *, confidence: float = 0.95, inflation: float = 1.0
) -> Shift | None:
    """Return how far pairs differ, from their ``differences``; None when too few for an interval.

    The median of the means of all pairs of differences, each with itself too (Hodges & Lehmann
    1963). The interval turns Wilcoxon's signed-rank test round (Hollander & Wolfe 1999, ch. 3),
    exact or for many pairs its normal approximation. With ``inflation`` above 1 the wider one of
    it and an approximation with inflated variance counts, by Student's t, since the inflation is
    itself estimated from few days: n ÷ inflation values' worth of degrees, less two. With ties it
    is wider than needed, never narrower.
    """
    n = len(differences)
    tail = (1 - confidence) / 2
    means = sorted((a + b) / 2 for a, b in combinations_with_replacement(differences, 2))
    spread = sqrt(inflation * n * (n + 1) * (2 * n + 1) / 24)
    cut = floor(n * (n + 1) / 4 + _edge(tail, n, inflation) * spread - 0.5)
    if n <= _MOST_SIGNED:
        exact = _largest_below(_signed_ways_up_to(n), tail)
        cut = exact if inflation == 1.0 else min(cut, exact)
    if not n or cut < 0:
        return None
    return Shift(median(means), means[cut], means[-1 - cut])


@lru_cache(maxsize=64)
def _signed_ways_up_to(n: int) -> tuple[int, ...]:
    """Return how many signs of the ranks 1 to n give a rank sum of at most 0, 1, 2 and so on."""
    ways = [1] + [0] * (n * (n + 1) // 2)
    for rank in range(1, n + 1):
        for total in range(len(ways) - 1, rank - 1, -1):
            ways[total] += ways[total - rank]
    return tuple(accumulate(ways))


def _edge(tail: float, count: int, inflation: float) -> float:
    if inflation == 1.0:
        return _NORMAL.inv_cdf(tail)
    return inflated_quantile(tail, count, inflation)


def _largest_below(up_to: Sequence[int], tail: float) -> int:
    """Return the largest value whose lower tail has at most ``tail``; -1 when none has."""
    allowed = tail * up_to[-1]
    return next((u - 1 for u, ways in enumerate(up_to) if ways > allowed), len(up_to) - 1)


@dataclass(frozen=True, slots=True)
class Slope:
    """A trend in points per unit of x, with an interval of 95 % confidence."""

    per_unit: float
    low: float
    high: float


def theil_sen(xs: Sequence[float], ys: Sequence[float]) -> Slope | None:
    """Return the median of the slopes between all pairs (Theil 1950; Sen 1968); None under 2 x."""
    slopes = sorted(
        (y2 - y1) / (x2 - x1)
        for (x1, y1), (x2, y2) in combinations(sorted(zip(xs, ys, strict=True)), 2)
        if x2 > x1
    )
    if not slopes:
        return None
    variance = max(0.0, _kendall_variance(ys) - _ties_of_kendall(xs))
    spread = _NORMAL.inv_cdf(0.975) * sqrt(variance)
    upper = min(round((len(slopes) + spread) / 2), len(slopes) - 1)
    lower = max(round((len(slopes) - spread) / 2) - 1, 0)
    return Slope(median(slopes), slopes[lower], slopes[upper])


def _ties_of_kendall(values: Sequence[float]) -> float:
    return sum(k * (k - 1) * (2 * k + 5) for k in Counter(values).values()) / 18


def _kendall_variance(values: Sequence[float]) -> float:
    n = len(values)
    return n * (n - 1) * (2 * n + 5) / 18 - _ties_of_kendall(values)
