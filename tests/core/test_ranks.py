"""The rank statistics, against scipy and statsmodels on random and edge data."""

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pocketpump.core.statistics.ranks import (
    median_difference,
    theil_sen,
)
from pocketpump.core.statistics.student_t import student_quantile

SCORES = st.integers(0, 10)
SAMPLES = st.lists(SCORES, min_size=2, max_size=25)
REALS = st.lists(st.floats(-1e3, 1e3).map(lambda x: round(x, 3)), min_size=2, max_size=25)


def untied(count: int, seed: int) -> list[float]:
    return random.Random(seed).sample(range(10_000), count)


@given(st.lists(st.integers(-10, 10), min_size=1, max_size=25))
def test_the_difference_of_pairs_is_the_median_of_all_means_of_two(differences):
    shift = median_difference(differences)
    if shift is not None:
        means = np.add.outer(np.array(differences), np.array(differences)) / 2
        assert shift.points == np.median(means[np.triu_indices(len(differences))])
        assert shift.low <= shift.points <= shift.high


@pytest.mark.parametrize("n", [6, 8, 14, 25, 40])
@pytest.mark.parametrize("confidence", [0.95, 1 - 0.05 / 6])
@pytest.mark.parametrize("seed", range(3))
def test_the_interval_of_pairs_holds_exactly_what_scipys_exact_signed_rank_test_keeps(
    n, confidence, seed
):
    # With crumbs of chance added no two means of two are equal.
    differences = [v + random.Random(v).random() for v in untied(n, seed)]
    shift = median_difference(differences, confidence=confidence)
    if shift is None:
        # The smallest two-sided p of n pairs is 2 / 2**n (Wilcoxon 1945).
        assert 2 / 2**n > 1 - confidence
        return

    def p_of(points: float) -> float:
        moved = [d - points for d in differences]
        return stats.wilcoxon(moved, method="exact").pvalue

    hair = 1e-6
    assert p_of(shift.low + hair) > 1 - confidence >= p_of(shift.low - hair)
    assert p_of(shift.high - hair) > 1 - confidence >= p_of(shift.high + hair)


def test_the_interval_of_many_pairs_is_within_a_hair_of_the_exact_one():
    differences = [v + random.Random(v).random() for v in untied(80, 1)]
    shift = median_difference(differences)
    assert shift is not None
    for edge in (shift.low, shift.high):
        p = stats.wilcoxon([d - edge + 1e-6 for d in differences], method="exact").pvalue
        assert p == pytest.approx(0.05, abs=0.003)


@given(st.lists(st.integers(-10, 10), min_size=1, max_size=40), st.floats(1, 10))
def test_inflation_only_widens_the_interval_of_pairs(differences, inflation):
    plain = median_difference(differences)
    wide = median_difference(differences, inflation=inflation)
    if wide is not None:
        assert plain is not None
        assert wide.low <= plain.low <= plain.high <= wide.high


def test_too_few_pairs_give_no_interval():
    assert median_difference([]) is None
    assert median_difference([1, 2, 3, 4, 5]) is None  # 2 / 2**5 is above 0.05
    assert median_difference([1, 2, 3, 4, 5, 6]) is not None


@pytest.mark.filterwarnings("ignore:invalid value encountered in sqrt:RuntimeWarning")
@given(st.lists(st.tuples(st.integers(0, 60), SCORES), min_size=2, max_size=40))
def test_theil_sen_is_scipys(points):
    xs, ys = [x for x, _ in points], [y for _, y in points]
    slope = theil_sen(xs, ys)
    if len(set(xs)) < 2:
        assert slope is None
        return
    theirs = stats.theilslopes(ys, xs, 0.95)
    assert slope is not None
    assert slope.per_unit == pytest.approx(theirs.slope)
    assert slope.low <= slope.per_unit <= slope.high
    # With almost only ties scipy's variance falls below zero, and it gives no interval.
    if not np.isnan(theirs.low_slope):
        assert slope.low == pytest.approx(theirs.low_slope)
        assert slope.high == pytest.approx(theirs.high_slope)


@pytest.mark.parametrize("tail", [0.0005, 0.005, 0.025 / 6, 0.025, 0.1, 0.5, 0.8, 0.975, 0.995])
@pytest.mark.parametrize("degrees", [1, 2, 2.5, 3, 5, 7.5, 20, 54, 1_000])
def test_students_quantile_is_scipys(tail, degrees):
    theirs = stats.t.ppf(tail, degrees)
    assert student_quantile(tail, degrees) == pytest.approx(theirs, rel=1e-6, abs=1e-9)
