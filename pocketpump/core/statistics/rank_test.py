"""Two samples compared by ranks within strata, with an interval for the shift between them.

Within each stratum scores after are ranked among those before (Mann & Whitney 1947), equal ones
sharing their middle rank; the strata are put together as van Elteren 1960 weighs them. The
variance is that of the ranks as they are, ties told, widened where scores of one day or of days
that follow each other are alike.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import product
from math import inf, sqrt
from statistics import fmean

from pocketpump.core.statistics.effective_sample import likeness, variance_factor
from pocketpump.core.statistics.ranks import Shift
from pocketpump.core.statistics.student_t import inflated_quantile

_HALVINGS = 30


@dataclass(frozen=True, slots=True)
class Score:
    """One score of one day."""

    day: date
    value: float


@dataclass(frozen=True, slots=True)
class RankShift:
    """The shift with its interval; ``edge`` is the quantile of Student's t behind it.

    ``z`` is the standardised rank sum, ``factor`` how much likeness widened its variance.
    """

    shift: Shift
    edge: float
    z: float
    factor: float

    @property
    def standard_error(self) -> float:
        """The standard error of the shift, in points."""
        return (self.shift.high - self.shift.low) / 2 / self.edge


@dataclass(frozen=True, slots=True)
class _Ranked:
    """One stratum: its scores before and after with their ranks, the middle one being 0."""

    before: Sequence[Score]
    after: Sequence[Score]
    ranks_before: Sequence[float]
    ranks_after: Sequence[float]

    @property
    def count(self) -> int:
        return len(self.before) + len(self.after)

    @property
    def weight(self) -> float:
        return 1 / (self.count + 1)

    def sum_after(self) -> float:
        return self.weight * sum(self.ranks_after)

    def variance(self) -> float:
        squares = sum(r * r for r in (*self.ranks_before, *self.ranks_after))
        n, m, total = len(self.before), len(self.after), self.count
        return self.weight**2 * n * m / (total * (total - 1)) * squares


def midranks(values: Sequence[float]) -> list[float]:
    """Return the rank of each value, from 1; equal values share the mean of their ranks."""
    counts = Counter(values)
    rank_of, below = {}, 0
    for value in sorted(counts):
        rank_of[value] = below + (counts[value] + 1) / 2
        below += counts[value]
    return [rank_of[value] for value in values]


def rank_shift(
    strata: Iterable[tuple[Sequence[Score], Sequence[Score]]], *, confidence: float, grain: float
) -> RankShift | None:
    """Return how far the scores after lie above those before; None without three days.

    ``strata`` hold the scores before and after of each stratum, none of it empty, each in order of
    days. ``grain`` is the step of the scale. A score stands for all that is rounded to it, so each
    difference of two scores is spread evenly over one grain: then the interval holds just the
    shifts that the rank test keeps (Hodges & Lehmann 1963), also with ties, and it is never
    narrower than the grain. Where so few or so alike days exclude nothing it has no ends.
    """
    ranked = [_ranked(before, after) for before, after in strata]
    variance = sum(one.variance() for one in ranked)
    days = len({s.day for one in ranked for s in (*one.before, *one.after)})
    if not ranked or days < 3:
        return None
    factor = variance_factor(likeness(_residuals(ranked)))
    spread = sqrt(variance * factor * _design_effect(ranked))
    edge = -inflated_quantile((1 - confidence) / 2, days, factor)
    weights = _differences(ranked)
    half = sum(weights.values()) / 2

    def below(points: float) -> float:
        parts = ((points - d) / grain + 0.5 for d in weights)
        shares = (min(max(part, 0.0), 1.0) for part in parts)
        return sum(w * s for w, s in zip(weights.values(), shares, strict=True))

    ends = min(weights) - grain, max(weights) + grain
    points = _where(below, half, *ends)
    if edge * spread >= half:  # no shift can be excluded
        low, high = -inf, inf
    else:
        low, high = (_where(below, half + off * edge * spread, *ends) for off in (-1, 1))
    shift = Shift(points, min(low, points - grain / 2), max(high, points + grain / 2))
    z = sum(one.sum_after() for one in ranked) / spread if spread else 0.0
    return RankShift(shift, edge, z, factor)


def _ranked(before: Sequence[Score], after: Sequence[Score]) -> _Ranked:
    ranks = midranks([score.value for score in (*before, *after)])
    middle = (len(ranks) + 1) / 2
    off = [rank - middle for rank in ranks]
    return _Ranked(before, after, off[: len(before)], off[len(before) :])


def _residuals(ranked: Sequence[_Ranked]) -> tuple[list[float], list[float]]:
    """Return the ranks of either side about that side's own mean, one a day, in order of days."""
    sides: tuple[dict[date, list[float]], ...] = (defaultdict(list), defaultdict(list))
    for one in ranked:
        pairs = (one.before, one.ranks_before), (one.after, one.ranks_after)
        for side, (scores, ranks) in zip(sides, pairs, strict=True):
            middle = fmean(ranks)
            for score, rank in zip(scores, ranks, strict=True):
                side[score.day].append((rank - middle) * one.weight)
    before, after = ([fmean(side[day]) for day in sorted(side)] for side in sides)
    return before, after


def _design_effect(ranked: Sequence[_Ranked]) -> float:
    """Return the factor by which scores of one day being alike widens the variance (Kish 1965)."""
    by_day: dict[date, float] = defaultdict(float)
    alone = 0.0
    for one in ranked:
        n, m = len(one.before), len(one.after)
        pairs = (one.before, one.ranks_before, -m), (one.after, one.ranks_after, n)
        for scores, ranks, times in pairs:
            middle = fmean(ranks)
            for score, rank in zip(scores, ranks, strict=True):
                part = one.weight * times / (n + m) * (rank - middle)
                by_day[score.day] += part
                alone += part * part
    return max(1.0, sum(e * e for e in by_day.values()) / alone) if alone > 1e-12 else 1.0


def _differences(ranked: Sequence[_Ranked]) -> dict[float, float]:
    """Return each difference of a score after and one before, with the weight it has."""
    weights: dict[float, float] = defaultdict(float)
    for one in ranked:
        before = Counter(score.value for score in one.before)
        after = Counter(score.value for score in one.after)
        for (b, times_b), (a, times_a) in product(before.items(), after.items()):
            weights[a - b] += one.weight * times_b * times_a
    return weights


def _where(of: Callable[[float], float], target: float, low: float, high: float) -> float:
    """Return where the rising function ``of`` reaches ``target`` between ``low`` and ``high``."""
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if of(middle) < target else (low, middle)
    return (low + high) / 2
