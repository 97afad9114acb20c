"""A step in a series that may have been moving anyway (interrupted time series).

Wagner 2002 (J Clin Pharm Ther) and Bernal 2017 (Int J Epidemiol): the days before and after are
fitted by one line, a step at the change, and what else differs between days; what the line
explains is no step. Days are alike in a way nobody knows, so the fit is made for each of a few
likenesses, each weighed by how well it explains the days (restricted likelihood, Patterson &
Thompson 1971; weights as in Bayesian model averaging, Hoeting 1999).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from operator import mul

from pocketpump.core.statistics.ranks import Shift
from pocketpump.core.statistics.student_t import student_below

_LIKENESSES = (0.0, 0.3, 0.5, 0.7, 0.85, 0.95)
_OWN_SHARE = 0.4
"""Besides days that are alike as a whole, days of whose scatter this share is each day's own: the
hour, the moment of noting. Else slow likeness hides behind it (own choice, measured)."""
_STRONG = 0.8
_HALVINGS = 16
_FEWEST_DEGREES = 4
_NOTHING = 1e-9
_LEAST_WEIGHT = 1e-3


def _models() -> tuple[tuple[float, float, float], ...]:
    """Return likeness, own share and weight before the days are seen.

    Strong likeness counts double, for it is the one that makes false claims; an own share counts
    half. Chosen so that the claims of the simulated diaries hold (docs/measured.md).
    """
    found = []
    for alike in _LIKENESSES:
        weight = 2.0 if alike >= _STRONG else 1.0
        if not alike:  # then the own share makes no difference: both in one
            found.append((alike, 0.0, 1.5 * weight))
            continue
        found += [(alike, 0.0, weight), (alike, _OWN_SHARE, weight / 2)]
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Fit:
    weight: float
    points: float
    error: float


@dataclass(frozen=True, slots=True)
class Step:
    """A step in points, beside a slope; ``fits`` are the models' answers."""

    points: float
    degrees: int
    fits: tuple[_Fit, ...]

    @property
    def standard_error(self) -> float:
        """The standard error of the step, in points, over all models."""
        return sqrt(sum(f.weight * (f.error**2 + (f.points - self.points) ** 2) for f in self.fits))

    def interval(self, tail: float) -> Shift:
        """Return the step with an interval that leaves ``tail`` on either side."""
        # What weighs next to nothing moves no end.
        fits = [fit for fit in self.fits if fit.weight > _LEAST_WEIGHT]
        low, high = (self._where(fits, share) for share in (tail, 1 - tail))
        return Shift(self.points, low, high)

    def _where(self, fits: Sequence[_Fit], share: float) -> float:
        reach = 12 * max(fit.error for fit in fits)
        share *= sum(fit.weight for fit in fits)
        low, high = self.points - reach, self.points + reach
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            below = sum(
                f.weight * student_below((middle - f.points) / f.error, self.degrees) for f in fits
            )
            low, high = (middle, high) if below < share else (low, middle)
        return (low + high) / 2


def step_in_series(
    days: Sequence[int],
    values: Sequence[float],
    after: Sequence[bool],
    others: Sequence[Sequence[float]],
    *,
    grain: float,
) -> Step | None:
    """Return the step from the days before to those ``after``; None when it cannot be told.

    ``days`` are numbered and rise; ``values`` are their scores; ``others`` hold, a day each, what
    else may make days differ (the shares of its strata). The scatter is taken to be at least
    that of rounding to ``grain`` (its square ÷ 12, Sheppard 1898).
    """
    middle = sum(days) / len(days) if days else 0.0
    columns = [
        [1.0] * len(days),
        *others,
        [day - middle for day in days],
        [1.0 if one else 0.0 for one in after],
        list(values),
    ]
    fits, scored = [], []
    degrees = 0
    for alike, own, weight in _models():
        white, determinant = _whitened(days, columns, alike, own)
        solved = _solved(white)
        if solved is None or solved[0] < _FEWEST_DEGREES:
            return None
        degrees, points, norm, squares, kept = solved
        squares = max(squares, degrees * grain**2 / 12)
        scored.append(log(weight) - determinant - kept - degrees / 2 * log(squares))
        fits.append((points, sqrt(squares / degrees) / norm))
    best = max(scored)
    total = sum(exp(score - best) for score in scored)
    weighed = tuple(
        _Fit(exp(score - best) / total, *fit) for score, fit in zip(scored, fits, strict=True)
    )
    return Step(
        sum(f.weight * f.points for f in weighed),
        degrees,
        weighed,
    )


def _whitened(
    days: Sequence[int], columns: Sequence[Sequence[float]], alike: float, own: float
) -> tuple[list[list[float]], float]:
    """Return the columns freed of likeness, and half the log determinant of the covariance.

    Kalman's filter of a first-order series seen with noise: ``own`` of the variance is the noise,
    the rest is alike by ``alike`` to the power of the days between.
    """
    known, half_log = 1 - own, 0.0
    steps = []
    for index, day in enumerate(days):
        carried = alike ** (day - days[index - 1]) if index else 1.0
        if index:
            known = carried * carried * known + (1 - own) * (1 - carried * carried)
        variance = known + own
        gain = known / variance
        half_log += log(variance) / 2
        steps.append((carried, gain, sqrt(variance)))
        known *= 1 - gain
    return [_freed_of_likeness(column, steps) for column in columns], half_log


def _freed_of_likeness(
    column: Sequence[float], steps: Sequence[tuple[float, float, float]]
) -> list[float]:
    state, white = 0.0, []
    for value, (carried, gain, root) in zip(column, steps, strict=True):
        state *= carried
        new = value - state
        white.append(new / root)
        state += gain * new
    return white


def _solved(
    columns: Sequence[Sequence[float]],
) -> tuple[int, float, float, float, float] | None:
    """Fit the last column by the others (Gram and Schmidt); None when the last but one is not free.

    Returns the degrees of freedom, the last but one's coefficient, the length of what is free of
    the last but one, the squares left, and the log length of all that count.
    """
    basis: list[list[float]] = []
    lengths = 0.0
    *others, trend, after, values = (list(column) for column in columns)

    def freed(column: list[float]) -> list[float]:
        for base in basis:
            part = sum(map(mul, base, column))
            column = [c - part * b for b, c in zip(base, column, strict=True)]
        return column

    def taken(column: list[float]) -> float:
        nonlocal lengths
        whole = sqrt(sum(map(mul, column, column)))
        free = freed(column)
        length = sqrt(sum(map(mul, free, free)))
        if length <= _NOTHING * (1 + whole) * len(free):
            return 0.0
        basis.append([c / length for c in free])
        lengths += log(length)
        return length

    for column in others:
        taken(column)
    trend_length = taken(trend)
    after_length = taken(after)
    if not trend_length or not after_length:
        return None
    points = sum(map(mul, basis[-1], values)) / after_length
    left = freed(values)
    degrees = len(values) - len(basis)
    return degrees, points, after_length, sum(map(mul, left, left)), lengths
