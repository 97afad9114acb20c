"""What past refills teach: calibrated, robust, and only ever earlier for the plan."""

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import norm

from pocketpump.core.outlook import outlook
from pocketpump.core.pattern import constant_rate
from pocketpump.core.situation import Pump, Situation
from pocketpump.core.timeline import Fill, Setting
from pocketpump.core.window import Z95, DeliveryRatio, Residual, learn_ratio, pumped_band

AT = datetime(2026, 1, 12, 9, tzinfo=UTC)


def test_z95_is_the_normal_distributions_own():
    assert pytest.approx(norm.ppf(0.975), abs=1e-12) == Z95


@pytest.mark.parametrize(
    ("tolerance", "reading_error", "refills"),
    [(14.5, 0.5, 0), (14.5, 0.5, 1), (14.5, 0.5, 6), (5.0, 1.0, 5), (14.5, 0.0, 3)],
)
def test_the_95_percent_band_holds_the_alarm_of_93_to_97_percent_of_10000_pumps(
    tolerance, reading_error, refills
):
    # Each pump: a true ratio from the prior, refills read with error, then one more fill.
    rng = random.Random(20260112 + refills)
    reading_sd = max(reading_error, 0.1) / Z95
    held = 0
    for _ in range(10_000):
        true_ratio = rng.gauss(1, tolerance / 100 / Z95)
        residuals = []
        for _ in range(refills):
            intended = rng.uniform(8, 17)
            really_filled = 20 + rng.gauss(0, reading_sd)
            left = really_filled - true_ratio * intended
            residuals.append(Residual(20.0, 20.0 - intended, left + rng.gauss(0, reading_sd)))
        ratio = learn_ratio(residuals, tolerance, reading_error)
        low, high = pumped_band(ratio, 18.0, reading_error)
        alarm_ml = (18.0 + rng.gauss(0, reading_error / Z95)) / true_ratio
        held += low <= alarm_ml <= high
    assert 0.93 <= held / 10_000 <= 0.97


def test_without_refills_the_band_is_the_flow_accuracy():
    # E14, derived: 18 mL at 14.5 % faster and slower.
    assert pumped_band(learn_ratio([], 14.5, 0.0), 18.0, 0.0) == pytest.approx(
        (18 / 1.145, 18 / 0.855)
    )


def test_the_posterior_is_the_precision_weighted_mean():
    # Normal prior 1 +- 0.145/1.96, two lessons; the textbook formula, worked with scipy's
    # product of densities as an independent route.
    lessons = [Residual(20, 4, 6.0), Residual(20, 6, 6.5)]
    learnt = learn_ratio(lessons, 14.5, 0.5)
    noise = [2**0.5 * 0.5 / Z95 / 16, 2**0.5 * 0.5 / Z95 / 14]

    def slope(x: float) -> float:
        step = 1e-6

        def log_density(y: float) -> float:
            parts = [norm.logpdf(y, 1, 0.145 / Z95)]
            parts += [
                norm.logpdf(lesson.ratio, y, sd) for lesson, sd in zip(lessons, noise, strict=True)
            ]
            return sum(parts)

        return (log_density(x + step) - log_density(x - step)) / step

    assert learnt.mean == pytest.approx(brentq(slope, 0.5, 1.5), abs=1e-6)
    assert learnt.counted == 2


@given(st.floats(0.5, 1.5), st.floats(0, 0.2), st.floats(0.1, 40), st.floats(0, 2))
def test_the_ends_of_the_band_are_the_normal_distributions_ends(mean, sd, volume, error):
    low, high = pumped_band(DeliveryRatio(mean, sd), volume, error)
    assert 0 <= low <= high
    for end, sign in ((low, -1), (high, 1)):
        if 0 < end < 1e6:
            spread = ((Z95 * sd * end) ** 2 + error**2) ** 0.5
            assert mean * end - volume == pytest.approx(sign * spread, rel=1e-6, abs=1e-6)


def test_a_refill_that_shows_a_fault_is_left_out_and_told():
    # Sgouros 2010 (abstract): 19 mL still inside, no delivery at all.
    learnt = learn_ratio([Residual(20, 4, 19.0, "stuck"), Residual(20, 4, 4.1, "good")], 14.5, 0.5)
    assert learnt.left_out == ("stuck",)
    assert learnt.counted == 1
    assert learnt.mean == pytest.approx(1.0, abs=0.01)


def situation(*withdrawn: float) -> Situation:
    fills = tuple(
        Fill(AT + timedelta(days=40 * i), 20.0, 500.0, expected_ml=4.0 if i else None,
             withdrawn_ml=withdrawn[i - 1] if i else None, id=str(i))
        for i in range(len(withdrawn) + 1)
    )  # fmt: skip
    return Situation(Pump(2.0), fills, (Setting(AT, constant_rate(200.0)),))


def look(told: Situation):
    answer, _ = outlook(told, told.fills[-1].at, UTC)
    assert answer is not None
    return answer


def test_a_fast_pump_brings_the_plan_forward():
    plain, fast = look(situation(4.0, 4.0)), look(situation(2.6, 2.4))
    assert fast.ratio.mean > 1
    assert fast.paced_alarm_at < fast.alarm_at
    assert fast.refill_by < plain.refill_by
    assert fast.refill_by_because == "this pump's pace"
    assert fast.alarm_at == plain.alarm_at


@given(st.lists(st.floats(2.0, 6.0), min_size=1, max_size=6))
def test_the_history_never_makes_the_plan_later(withdrawn):
    told = situation(*withdrawn)
    silent = replace(told, fills=tuple(replace(f, withdrawn_ml=None) for f in told.fills))
    assert look(told).refill_by <= look(silent).refill_by
    answer = look(told)
    assert answer.alarm_earliest <= answer.alarm_at <= answer.alarm_latest


def test_more_refills_make_the_window_narrower():
    def width(answer):
        return answer.alarm_latest - answer.alarm_earliest

    widths = [width(look(situation(*[4.0] * n))) for n in (0, 1, 3, 8)]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 2 * widths[-1]


def test_an_expected_volume_nobody_noted_is_computed():
    told = situation(6.0)
    silent = replace(told, fills=tuple(replace(f, expected_ml=None) for f in told.fills))
    # 40 days at 0.4 mL: 4 mL left of 20, the same as the clinic's figure (E25, derived).
    assert look(silent).ratio.mean == pytest.approx(look(told).ratio.mean, abs=1e-9)


@pytest.mark.parametrize("tolerance", [0.0, 5e-324, 1e-200, 1e-12])
def test_a_pump_taken_at_its_word_learns_nothing(tolerance):
    assert learn_ratio([Residual(20, 4, 6.5)], tolerance, 0.5) == DeliveryRatio(1.0, 0.0)
