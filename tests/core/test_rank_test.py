"""The rank test within strata and its interval, against scipy and by the published formulas."""

from datetime import date, timedelta
from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pocketpump.core.statistics.effective_sample import likeness, variance_factor
from pocketpump.core.statistics.rank_test import Score, midranks, rank_shift

FIRST = date(2026, 1, 5)
SCORES = st.lists(st.integers(0, 10), min_size=5, max_size=30)


def days(values, first=0):
    return [Score(FIRST + timedelta(days=first + i), float(v)) for i, v in enumerate(values)]


def found_of(before, after, confidence=0.95):
    strata = [(days(before), days(after, len(before)))]
    return rank_shift(strata, confidence=confidence, grain=1.0)


@given(st.lists(st.integers(0, 10), max_size=40))
def test_midranks_are_scipys(values):
    assert midranks(values) == list(stats.rankdata(values))


@given(SCORES, SCORES)
def test_without_likeness_it_is_scipys_mann_whitney_with_ties(before, after):
    found = found_of(before, after)
    if len({*before, *after}) == 1:
        assert found.z == 0
        return
    theirs = stats.mannwhitneyu(
        after, before, method="asymptotic", use_continuity=False, alternative="two-sided"
    )
    plain = abs(found.z) * sqrt(found.factor)
    assert 2 * stats.norm.sf(plain) == pytest.approx(theirs.pvalue, abs=1e-9)


@given(st.lists(st.tuples(SCORES, SCORES), min_size=2, max_size=4))
def test_strata_are_put_together_as_van_elteren_weighs_them(samples):
    # van Elteren 1960, by hand with numpy: rank sums less their means, each over N + 1.
    strata, start, total, variance = [], 0, 0.0, 0.0
    for before, after in samples:
        strata.append((days(before, start), days(after, start + len(before))))
        start += len(before) + len(after)
        n, m = len(before), len(after)
        ranks = stats.rankdata([*before, *after])
        total += (ranks[n:].sum() - m * (n + m + 1) / 2) / (n + m + 1)
        variance += n * m / (n + m) * ranks.var(ddof=1) / (n + m + 1) ** 2
    found = rank_shift(strata, confidence=0.95, grain=1.0)
    if variance:
        # No day is in two strata, so the design effect of days is one.
        assert found.z == pytest.approx(total / sqrt(variance * found.factor))


@given(SCORES, SCORES)
def test_the_interval_holds_just_the_shifts_that_the_test_keeps(before, after):
    found = found_of(before, after)
    shift = found.shift
    # The grain widens the interval beyond the test only where it is narrower than the grain.
    kept = abs(found.z) <= found.edge
    if shift.high - shift.low > 1 + 1e-9:
        assert (shift.low <= 1e-6 and shift.high >= -1e-6) == kept or abs(
            abs(found.z) - found.edge
        ) < 1e-3
    assert shift.low <= shift.points <= shift.high


@given(SCORES, SCORES)
def test_an_interval_is_never_narrower_than_the_grain_and_holds_the_middle(before, after):
    shift = found_of(before, after).shift
    assert shift.high - shift.low >= 1 - 1e-6
    assert shift.low <= shift.points - 0.499
    assert shift.high >= shift.points + 0.499


def test_seven_fives_and_seven_fours_are_not_one_to_one():
    shift = found_of([5] * 7, [4] * 7).shift
    assert shift.points == pytest.approx(-1, abs=1e-6)
    # Whole scores: a true shift of half a point to one and a half may look like this.
    assert shift.low <= -1.5 + 1e-6
    assert shift.high >= -0.5 - 1e-6


@given(SCORES, SCORES, st.integers(-5, 5))
def test_the_shift_moves_with_the_sample(before, after, by):
    one, other = found_of(before, after).shift, found_of(before, [a + by for a in after]).shift
    assert other.points == pytest.approx(one.points + by, abs=1e-4)


def test_the_shift_without_ties_is_the_median_of_all_differences():
    # Hodges & Lehmann 1963. Far apart values: a grain is a hair.
    rng = np.random.default_rng(1)
    before, after = rng.normal(0, 500, 25), rng.normal(300, 500, 25)
    found = found_of(before, after)
    differences = np.subtract.outer(after, before)
    assert found.shift.points == pytest.approx(np.median(differences), abs=2)
    for edge in (found.shift.low, found.shift.high):
        moved = stats.mannwhitneyu(after - edge, before, method="asymptotic", use_continuity=False)
        limit = 2 * stats.norm.sf(found.edge * sqrt(found.factor))
        assert moved.pvalue == pytest.approx(limit, rel=0.1)


def test_likeness_widens_and_scores_of_one_day_count_as_one_day():
    alike = [2, 2, 3, 3, 4, 5, 5, 6, 6, 7, 7, 6, 5, 5, 4, 3, 3, 2]
    mixed = [2, 7, 3, 6, 4, 5, 2, 6, 5, 7, 3, 6, 3, 5, 4, 5, 3, 2]
    assert sorted(alike) == sorted(mixed)
    wide, narrow = found_of(alike, alike), found_of(mixed, mixed)
    assert wide.shift.high - wide.shift.low > 1.5 * (narrow.shift.high - narrow.shift.low)
    # The same scores noted again at another hour of the same days say nothing new.
    once = [(days(mixed), days(alike, 18))]
    twice = rank_shift([*once, *once], confidence=0.95, grain=1.0)
    assert twice.z == pytest.approx(found_of(mixed, alike).z)


def test_days_that_exclude_nothing_give_no_ends():
    found = found_of([1, 2, 3, 4, 5, 6, 7], [5, 9], 0.999)
    assert (found.shift.low, found.shift.high) == (-inf, inf)
    assert rank_shift([], confidence=0.95, grain=1.0) is None


def test_the_factor_is_that_of_the_days_own_likeness():
    rng = np.random.default_rng(3)
    before, after = rng.integers(0, 11, 20), rng.integers(0, 11, 20)
    ranks = stats.rankdata([*before, *after])
    stretches = [list(ranks[:20]), list(ranks[20:])]
    assert found_of(before, after).factor == pytest.approx(variance_factor(likeness(stretches)))
