"""The step beside a trend, against statsmodels' least squares; Student's t against scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.regression.linear_model import GLS

from pocketpump.core.statistics.interrupted_series import _models, step_in_series
from pocketpump.core.statistics.student_t import student_below


@pytest.mark.parametrize("degrees", [1, 2, 3.5, 10, 40, 200])
@pytest.mark.parametrize("value", [-30, -4, -1.3, -0.01, 1.2e-7, 0, 0.5, 2, 8])
def test_students_t_is_scipys(value, degrees):
    assert student_below(value, degrees) == pytest.approx(stats.t.cdf(value, degrees), abs=1e-10)


@given(st.floats(-50, 50), st.floats(0.5, 500))
def test_students_t_is_scipys_anywhere(value, degrees):
    assert student_below(value, degrees) == pytest.approx(stats.t.cdf(value, degrees), abs=1e-8)


def a_series(seed, gaps=False):
    rng = np.random.default_rng(seed)
    days = np.r_[0:28, 33:61]
    if gaps:
        days = np.sort(rng.choice(days, 40, replace=False))
    after = days >= 33
    weekend = days % 7 >= 5
    values = 5 + rng.normal(0, 1.2, len(days)) - 0.02 * days - 1.5 * after + weekend
    return days, np.round(values), after, weekend.astype(float)


def both(seed, gaps=False):
    days, values, after, weekend = a_series(seed, gaps)
    ours = step_in_series(
        days.tolist(), values.tolist(), after.tolist(), [weekend.tolist()], grain=1.0
    )
    design = np.column_stack([np.ones(len(days)), weekend, days - days.mean(), after])
    theirs = []
    for alike, own, weight in _models():
        apart = np.abs(np.subtract.outer(days, days))
        covariance = (1 - own) * alike**apart + own * np.eye(len(days))
        theirs.append((weight, covariance, GLS(values, design, sigma=covariance).fit()))
    return ours, theirs, design


@pytest.mark.parametrize("gaps", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_each_model_is_statsmodels_generalised_least_squares(seed, gaps):
    ours, theirs, _ = both(seed, gaps)
    assert len(ours.fits) == len(theirs)
    for fit, (_, _, known) in zip(ours.fits, theirs, strict=True):
        assert fit.points == pytest.approx(known.params[3])
        assert fit.error == pytest.approx(known.bse[3])
        assert ours.degrees == known.df_resid


@pytest.mark.parametrize("seed", range(3))
def test_models_are_weighed_by_their_restricted_likelihood(seed):
    # Patterson & Thompson 1971, by hand with numpy, the scale integrated out.
    ours, theirs, design = both(seed)
    logs = []
    for weight, covariance, known in theirs:
        inverse = np.linalg.inv(covariance)
        left = known.resid @ inverse @ known.resid
        logs.append(
            np.log(weight)
            - np.linalg.slogdet(covariance)[1] / 2
            - np.linalg.slogdet(design.T @ inverse @ design)[1] / 2
            - known.df_resid / 2 * np.log(left)
        )
    shares = np.exp(np.array(logs) - max(logs))
    shares /= shares.sum()
    assert [fit.weight for fit in ours.fits] == pytest.approx(shares.tolist(), abs=1e-9)
    assert ours.points == pytest.approx(sum(s * k.params[3] for s, (_, _, k) in zip(
        shares, theirs, strict=True)))  # fmt: skip


@pytest.mark.parametrize("tail", [0.05, 0.1])
def test_the_interval_leaves_the_tail_on_either_side(tail):
    ours, _, _ = both(5)
    interval = ours.interval(tail)
    for edge, below in ((interval.low, tail), (interval.high, 1 - tail)):
        share = sum(
            f.weight * stats.t.cdf((edge - f.points) / f.error, ours.degrees) for f in ours.fits
        )
        assert share == pytest.approx(below, abs=1e-3)


def test_a_plain_trend_is_no_step_and_a_plain_step_no_trend():
    days = [*range(28), *range(33, 61)]
    after = [day >= 33 for day in days]
    wave = [(-1) ** day * 0.5 for day in days]
    trend = step_in_series(
        days, [8 - 0.1 * d + w for d, w in zip(days, wave, strict=True)], after, [], grain=1.0
    )
    assert abs(trend.points) < 0.3
    step = step_in_series(
        days, [6 - 3 * a + w for a, w in zip(after, wave, strict=True)], after, [], grain=1.0
    )
    assert step.points == pytest.approx(-3, abs=0.3)


def test_scores_that_never_move_still_have_the_scatter_of_rounding():
    days = [*range(14), *range(19, 33)]
    after = [day >= 19 for day in days]
    step = step_in_series(days, [5.0 - a for a in after], after, [], grain=1.0)
    interval = step.interval(0.05)
    # Sheppard 1898: rounding alone scatters by the grain squared over twelve.
    assert interval.high - interval.low > 0.5


def test_what_cannot_be_told_apart_is_not_told():
    days = list(range(20))
    assert step_in_series(days, [5.0] * 20, [False] * 20, [], grain=1.0) is None
    assert step_in_series([0, 1, 9], [1, 2, 3], [False, False, True], [], grain=1.0) is None
    after = [day >= 10 for day in days]
    assert step_in_series(days, [5.0] * 20, after, [list(map(float, after))], grain=1.0) is None
