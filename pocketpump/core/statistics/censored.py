"""Normal quantities of which some readings say only "at least this much" (censored readings).

A reservoir found dry delivered all there was; how much more it would have, nobody knows. The
likelihood of such a lesson is Φ((x - c) ÷ s): c what x was at least, s how well c was read (as
for probit regression: Rasmussen & Williams 2006, Gaussian Processes for Machine Learning, section
3.9). Its product with a normal density has no closed quantiles, so they are integrated here. The
product is not put as another normal, because only so no quantile can fall when c rises, or when a
lesson that said "c" says "at least c": the ratio of the two likelihoods rises with x (monotone
likelihood ratio: Karlin & Rubin 1956, Ann Math Stat 27:272; from memory).
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, pairwise
from math import erfc, exp, hypot, log, log1p, pi, sqrt

# Further below than so many standard deviations erfc leaves the floats.
_FAR_BELOW = -30.0
# A lesson so many standard deviations below what is known says nothing new: one in 10^9.
_NO_NEWS = 6.0
# Where the density is e^-40 of its highest, nothing is left to add.
_DEEPEST = 40.0
# Cells on each side of the mode: the ends are then exact to some 1e-6 of the spread.
_CELLS = 48
# How exactly mode and ends are looked for, as a share of the narrowest spread there may be.
_FINE = 0.01
_MOST_HALVINGS = 60
_NEWTON_STEPS = 4
_ROOT_HALF, _ROOT_2_BY_PI = sqrt(0.5), sqrt(2 / pi)


@dataclass(frozen=True, slots=True)
class AtLeast:
    """``value`` is what it was at least, ``sd`` the standard deviation of the reading of that."""

    value: float
    sd: float

    def is_news(self, mean: float, sd: float) -> bool:
        """Whether it says anything of what is already known to be N(mean, sd²)."""
        return mean - self.value < _NO_NEWS * hypot(sd, self.sd)


# Each drawing of a screen asks for the same two again.
@lru_cache(maxsize=16)
def given_at_least(
    mean: float, sd: float, lessons: tuple[AtLeast, ...], tail: float
) -> tuple[float, float, float]:
    """Return mean, lower and upper quantile of N(mean, sd²) given ``lessons``, at least one.

    ``tail`` is the probability beyond each of the two quantiles.
    """
    density = _Density(mean, sd, lessons)
    mode, low, high = density.mode, density.end(-1), density.end(+1)
    # Finer towards the mode, where one lesson that was read well makes a sharp bend.
    out = [(i / _CELLS) ** 2 for i in range(_CELLS + 1)]
    xs = [mode + (low - mode) * share for share in reversed(out[1:])]
    xs += [mode + (high - mode) * share for share in out]
    points = [(x, *density.at(x)) for x in xs]
    shares = [_cell(*ends) for ends in pairwise(points)]
    so_far = [0.0, *accumulate(shares)]
    # The first moment about the mode, by the same rule: (x·f)' = f + x·f'.
    turned = [(x, (x - mode) * f, f + (x - mode) * slope) for x, f, slope in points]
    moment = sum(_cell(*ends) for ends in pairwise(turned))

    def quantile(share: float) -> float:
        wanted = share * so_far[-1]
        index = bisect_left(so_far, wanted, 1, len(shares)) - 1
        begin, end = points[index], points[index + 1]
        x = begin[0] + (end[0] - begin[0]) * (wanted - so_far[index]) / shares[index]
        for _ in range(_NEWTON_STEPS):
            here = (x, *density.at(x))
            x -= (so_far[index] + _cell(begin, here) - wanted) / here[1]
            x = min(max(x, begin[0]), end[0])
        return x

    return mode + moment / so_far[-1], quantile(tail), quantile(1 - tail)


class _Density:
    """The product of a normal density and the lessons' likelihoods; its logarithm is concave."""

    def __init__(self, mean: float, sd: float, lessons: Sequence[AtLeast]) -> None:
        self._mean, self._sd, self._lessons = mean, sd, lessons
        # A hazard falls as x rises, and above its "at least" it is below 1: two bounds of the mode.
        most = mean + sd**2 * self._log(mean)[1]
        above = max([mean, *(one.value for one in lessons)])
        above += sd**2 * sum(1 / one.sd for one in lessons)
        # No mass is narrower than if each lesson had said just so much.
        self._narrowest = (1 / sd**2 + sum(1 / one.sd**2 for one in lessons)) ** -0.5
        # Where the density is highest, and not below the normal's own mean.
        self.mode = self._last_where(lambda x: self._log(x)[1] > 0, mean, min(most, above))
        self._top = self._log(self.mode)[0]

    def at(self, x: float) -> tuple[float, float]:
        """Return the density, 1 at its mode, and its derivative."""
        log_density, slope = self._log(x)
        density = exp(log_density - self._top)
        return density, density * slope

    def end(self, side: int) -> float:
        """Return where, on one ``side`` of the mode, nothing is left to add."""
        # The density falls at least as fast as the normal, whose own end is nine deviations off.
        far = self.mode + side * 9 * self._sd
        return self._last_where(lambda x: self._log(x)[0] > self._top - _DEEPEST, self.mode, far)

    def _last_where(self, holds: Callable[[float], bool], yes: float, no: float) -> float:
        """Return how far from ``yes`` towards ``no`` it ``holds``, by halving."""
        for _ in range(_MOST_HALVINGS):
            if abs(no - yes) < _FINE * self._narrowest:
                break
            middle = (yes + no) / 2
            yes, no = (middle, no) if holds(middle) else (yes, middle)
        return (yes + no) / 2

    def _log(self, x: float) -> tuple[float, float]:
        """Return the logarithm of the density at ``x``, up to a constant, and its derivative."""
        off = (x - self._mean) / self._sd
        log_density, slope = -off * off / 2, -off / self._sd
        for one in self._lessons:
            log_phi, hazard = _at_least((x - one.value) / one.sd)
            log_density += log_phi
            slope += hazard / one.sd
        return log_density, slope


Point = tuple[float, float, float]


def _cell(begin: Point, end: Point) -> float:
    """Return the integral between two points (x, f, f'): the trapezoid and its end correction."""
    width = end[0] - begin[0]
    return width * (begin[1] + end[1]) / 2 + width**2 * (begin[2] - end[2]) / 12


def _at_least(z: float) -> tuple[float, float]:
    """Return the logarithm of Φ(z) and its derivative, φ(z) ÷ Φ(z)."""
    if z < _FAR_BELOW:
        # The first terms of the asymptotic series, exact to six digits there.
        log_phi = -z * z / 2 - log(-z * sqrt(2 * pi)) + log1p(-1 / z**2 + 3 / z**4)
        return log_phi, -z - 1 / z + 2 / z**3
    twice = erfc(-z * _ROOT_HALF)
    return log(twice / 2), exp(-z * z / 2) * _ROOT_2_BY_PI / twice
