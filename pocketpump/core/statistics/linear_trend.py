"""A straight line through the values of days that are alike, and how sure its slope is."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from pocketpump.core.statistics.student_t import student_quantile

_WHOLE_STEPS = 1 / 12
"""Variance of rounding to whole steps (Sheppard 1898): scores are never surer than that."""
_MOST_ALIKE = 0.95
_MOST_FACTOR = 30.0
_PASSES = 3
_RAISED = 1.3
"""The factor of likeness is taken to this power (own rule, by simulation): estimated from few
days it comes out too small, the more so the more alike the days are."""
_FEWEST_DEGREES = 3.0


@dataclass(frozen=True, slots=True)
class Trend:
    """A least-squares line: ``per_day`` points a day, ``whole`` from the first to the last day.

    ``times_error`` is the slope divided by its standard error, to be judged by Student's t with
    ``degrees`` of freedom; ``factor`` is what likeness multiplied the variance of the slope by.
    """

    per_day: float
    whole: float
    times_error: float
    degrees: float
    factor: float

    def is_clear(self, p: float) -> bool:
        """Whether a slope like this or steeper has a chance below ``p`` when there is none."""
        return abs(self.times_error) > needed_times_error(p, self.degrees)


def needed_times_error(p: float, degrees: float) -> float:
    """Return how many times its error a slope must be, for a two-sided chance of ``p``."""
    return -student_quantile(p / 2, degrees)


def trend_of(days: Sequence[int], values: Sequence[float]) -> Trend | None:
    """Return the line through ``values`` on the numbers of ``days``, in order; None under four.

    The variance of the slope is multiplied by the likeness of neighbours (`likeness_factor`),
    which are the values that follow each other, be it a day later or three.
    """
    count = len(days)
    if count < 4 or days[0] == days[-1]:
        return None
    middle, mean = sum(days) / count, sum(values) / count
    apart = [day - middle for day in days]
    squares = sum(a * a for a in apart)
    per_day = sum(a * (v - mean) for a, v in zip(apart, values, strict=True)) / squares
    rest = [v - mean - per_day * a for a, v in zip(apart, values, strict=True)]
    factor = likeness_factor(rest) ** _RAISED
    variance = max(sum(r * r for r in rest) / (count - 2), _WHOLE_STEPS)
    error = sqrt(variance * factor / squares)
    # Half of what is left of the values: their likeness is itself estimated (own rule).
    degrees = max(count / factor / 2 - 1, _FEWEST_DEGREES)
    return Trend(per_day, per_day * (days[-1] - days[0]), per_day / error, degrees, factor)


def likeness_factor(rest: Sequence[float]) -> float:
    """Return the factor by which likeness widens the variance of a slope; at least 1.

    ``rest`` are the distances of the values from their line. The spectrum at zero of a second-order
    autoregression (Yule 1927, Walker 1931; so estimated by Berk 1974; from memory), because one
    correlation alone takes levels that wander under scatter for less alike than they are. Around
    a fitted line every covariance comes out too small by about twice the factor divided by the
    count (after Marriott & Pope 1954, from memory), so the factor is found in a few passes.
    """
    count = len(rest)
    whole = sum(r * r for r in rest)
    if count < 4 or whole <= 0:
        return 1.0
    found = [sum(rest[i] * rest[i - lag] for i in range(lag, count)) / whole for lag in (1, 2)]
    factor = 1.0
    for _ in range(_PASSES):
        short = min(2 * factor / count, 0.25)
        one, two = (min((r + short) / (1 + short), _MOST_ALIKE) for r in found)
        left = max(1 - one * one, 1 - _MOST_ALIKE**2)
        first, second = one * (1 - two) / left, (two - one * one) / left
        fresh = min(max(1 - first * one - second * two, 0.05), 1.0)
        factor = min(max(fresh / (1 - min(first + second, 0.9)) ** 2, 1.0), _MOST_FACTOR)
    return factor
