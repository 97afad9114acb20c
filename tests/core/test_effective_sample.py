"""Likeness and what it makes of a number of days, against statsmodels and published factors."""

import random
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.tsa.stattools import acf

from pocketpump.core.statistics.effective_sample import MOST_ALIKE, likeness, variance_factor


def series(alike: float, days: int, seed: int = 7) -> list[float]:
    chance = random.Random(seed)
    value, found = 0.0, []
    for _ in range(days):
        value = alike * value + chance.gauss(0, 1)
        found.append(value)
    return found


@given(st.lists(st.integers(0, 10), min_size=3, max_size=60))
def test_it_is_statsmodels_adjusted_autocorrelation_freed_of_bias_and_raised(values):
    found = likeness([values])
    own = 0.0 if len(set(values)) == 1 else acf(values, nlags=1, adjusted=True, fft=False)[1]
    # Marriott & Pope 1954, then its standard error (Bartlett 1946), half as much again.
    freed = own + (1 + 4 * max(own, 0.0)) / len(values)
    raised = freed + 1.5 * sqrt(max(1 - min(freed, 1.0) ** 2, 0.0) / len(values))
    assert found == pytest.approx(min(max(raised, 0.0), MOST_ALIKE), abs=1e-9)


@pytest.mark.parametrize("every", [1, 2, 3])
@pytest.mark.parametrize("raised_by", [0.0, 1.5])
@pytest.mark.parametrize("alike", [0.0, 0.3, 0.6, 0.8])
def test_of_a_long_series_the_factor_is_the_published_one(alike, raised_by, every):
    # Bayley & Hammersley 1946: (1 + r) / (1 - r) for a series of first order; of every second
    # (third) day the neighbours' likeness is r squared (cubed).
    r = alike**every
    found = variance_factor(likeness([series(alike, 60_000 * every)[::every]], raised_by))
    assert found == pytest.approx((1 + r) / (1 - r), rel=0.06)


@pytest.mark.parametrize("alike", [0.3, 0.6])
def test_two_stretches_of_four_weeks_are_seldom_taken_for_less_alike_than_they_are(alike):
    pairs = [(series(alike, 28, seed), series(alike, 28, 10_000 + seed)) for seed in range(500)]
    assert sum(likeness(pair) >= alike for pair in pairs) >= 0.7 * 500


def test_nothing_known_is_not_alike():
    assert likeness([]) == likeness([[], []]) == 0.0
    assert likeness([list(range(50))]) == MOST_ALIKE
