"""Student's t in plain Python: how much of it lies below a value, and below which value."""

from math import exp, lgamma, log, log1p, pi, sqrt
from statistics import NormalDist

_MOST_STEPS = 300
_NEAR = 1e-10
_NORMAL = NormalDist()


def student_below(value: float, degrees: float) -> float:
    """Return the share of Student's t with ``degrees`` of freedom that lies below ``value``.

    By the incomplete beta function, whose continued fraction is that of Abramowitz & Stegun
    1964, 26.5.8, worked out as Lentz 1976 does.
    """
    whole = degrees + value * value
    beyond = _beta_share(degrees / 2, 0.5, degrees / whole, value * value / whole) / 2
    return beyond if value < 0 else 1 - beyond


def student_quantile(tail: float, degrees: float) -> float:
    """Return the value below which the share ``tail`` (0 to 1) of Student's t lies.

    Newton's steps from the normal quantile, which is never farther out: left of 0 the share is
    convex, so from there they come ever nearer and never overshoot.
    """
    if tail > 0.5:
        return -student_quantile(1 - tail, degrees)
    value = _NORMAL.inv_cdf(tail)
    front = lgamma((degrees + 1) / 2) - lgamma(degrees / 2)
    height = exp(front) / sqrt(degrees * pi)
    for _ in range(_MOST_STEPS):
        density = height * exp(-(degrees + 1) / 2 * log1p(value * value / degrees))
        step = (student_below(value, degrees) - tail) / density
        value -= step
        if abs(step) <= _NEAR * (1 + abs(value)):
            break
    return value


def inflated_quantile(tail: float, count: int, inflation: float) -> float:
    """Return the quantile where likeness widens a variance by ``inflation`` (`effective_sample`).

    ``count`` days are worth count ÷ inflation, less two degrees; no fewer than two are counted.
    """
    return student_quantile(tail, max(count / inflation - 2, 2.0))


def _beta_share(a: float, b: float, x: float, rest: float) -> float:
    """Return the regularised incomplete beta function of ``x`` from 0 to 1, ``rest`` being 1 - x.

    Both are asked for, since 1 - x has no digits left where x is nearly 1.
    """
    if x <= 0 or rest <= 0:
        return 0.0 if x <= 0 else 1.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(rest))
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(a, b, x) / a
    return 1 - front * _fraction(b, a, rest) / b


def _fraction(a: float, b: float, x: float) -> float:
    tiny = 1e-300
    ahead, back = 1.0, 1 / ((1 - (a + b) * x / (a + 1)) or tiny)
    found = back
    for m in range(1, _MOST_STEPS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            back = 1 / ((1 + term * back) or tiny)
            ahead = (1 + term / ahead) or tiny
            found *= ahead * back
        if abs(ahead * back - 1) < _NEAR:
            break
    return found
