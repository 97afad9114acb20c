"""The line through alike days: against scipy, and its error against what simulation shows."""

import random
from math import sqrt

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.statistics.linear_trend import likeness_factor, needed_times_error, trend_of


@given(st.lists(st.integers(0, 10), min_size=8, max_size=60), st.integers(1, 3))
def test_the_slope_is_scipys(values, apart):
    days = [apart * number for number in range(len(values))]
    found = trend_of(days, values)
    assert found is not None
    ours = scipy.stats.linregress(days, values)
    assert found.per_day == pytest.approx(ours.slope, abs=1e-9)
    assert found.whole == pytest.approx(ours.slope * (days[-1] - days[0]), abs=1e-9)
    # Likeness and whole steps only ever widen the error.
    if len(set(values)) > 1:
        assert abs(found.times_error) * ours.stderr <= abs(ours.slope) + 1e-9


def test_independent_days_widen_the_error_hardly_at_all():
    chance = random.Random(1)
    factors = [likeness_factor([chance.gauss(0, 1) for _ in range(100)]) for _ in range(300)]
    assert 1.0 <= sum(factors) / 300 <= 1.35


@pytest.mark.parametrize("alike", [0.3, 0.6, 0.8])
def test_the_factor_is_that_of_a_level_that_is_alike(alike):
    """(1 + r) / (1 - r) for a first-order autoregression (Bayley & Hammersley 1946)."""
    chance, true, factors = random.Random(2), (1 + alike) / (1 - alike), []
    for _ in range(40):
        level, values = chance.gauss(0, 1), []
        for _ in range(1_500):
            level = alike * level + chance.gauss(0, sqrt(1 - alike**2))
            values.append(level)
        factors.append(likeness_factor(values))
    assert sum(factors) / 40 == pytest.approx(true, rel=0.08)


def test_scatter_over_a_slow_level_does_not_hide_its_likeness():
    """One correlation alone would say (1 + 0.45) / (1 - 0.45) = 2.6; the truth is 5."""
    chance, factors = random.Random(3), []
    for _ in range(60):
        level, values = chance.gauss(0, 1), []
        for _ in range(1_500):
            level = 0.8 * level + chance.gauss(0, 0.6)
            values.append(level + chance.gauss(0, 0.88))
        factors.append(likeness_factor(values))
    assert sum(factors) / 60 >= 3.2


def test_what_cannot_have_a_line_has_none():
    assert trend_of([], []) is None
    assert trend_of([1, 2, 3], [1, 2, 3]) is None
    assert trend_of([5, 5, 5, 5], [1, 2, 3, 4]) is None


def test_the_same_score_every_day_is_no_trend():
    found = trend_of(range(90), [4.0] * 90)
    assert found is not None
    assert (found.per_day, found.times_error, found.factor) == (0.0, 0.0, 1.0)


def test_less_is_needed_the_more_days_there_are():
    assert needed_times_error(0.012, 40) == pytest.approx(scipy.stats.t.ppf(0.994, 40), rel=1e-6)
    assert needed_times_error(0.012, 5) > needed_times_error(0.012, 40)
