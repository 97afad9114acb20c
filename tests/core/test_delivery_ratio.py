"""What past refills teach: by which formulas, and only ever earlier for the plan.

How often the window holds is in test_delivery_ratio_coverage.py, that more delivered never
makes a date later in test_more_delivered.py.
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import norm

from pocketpump.core.pump.delivery_ratio import (
    Z95,
    DeliveryRatio,
    Residual,
    learn_ratio,
    pumped_band,
)
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.situation import Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting

AT = datetime(2026, 1, 12, 9, tzinfo=UTC)


def test_z95_is_the_normal_distributions_own():
    assert pytest.approx(norm.ppf(0.975), abs=1e-12) == Z95


def test_without_refills_the_band_is_wider_than_the_flow_accuracy():
    # The first window is wider than the label's accuracy, 18 mL at 14.5 % faster and slower: from
    # 1.6 times that and a fifth of it, as a standard deviation, from fill to fill.
    spread = hypot(1.6 * 0.145, Z95 * 0.2 * 0.145)
    early, late = pumped_band(learn_ratio([], 14.5, 0.0), 18.0, 0.0)
    assert (early, late) == pytest.approx((18 / (1 + spread), 18 / (1 - spread)))
    # A pump that delivers 1.20 of what it is told is inside.
    assert early < 18 / 1.2 < 18 / 1.145


def test_the_posterior_is_the_precision_weighted_mean():
    # Normal prior 1 +- 1.6 x 0.145/1.96, two lessons, each of two volumes with a fresh and a shared
    # error of 0.5/1.96 mL and of a fill that is off by 0.029; the textbook formula, worked with
    # scipy's product of densities as an independent route.
    lessons = [Residual(20, 4, 6.0), Residual(20, 6, 6.5)]
    learnt = learn_ratio(lessons, 14.5, 0.5)
    noise = [hypot(2 * 0.5 / Z95 / intended, 0.029) for intended in (16, 14)]

    def slope(x: float) -> float:
        step = 1e-6

        def log_density(y: float) -> float:
            parts = [norm.logpdf(y, 1, 1.6 * 0.145 / Z95)]
            parts += [
                norm.logpdf(lesson.ratio, y, sd) for lesson, sd in zip(lessons, noise, strict=True)
            ]
            return sum(parts)

        return (log_density(x + step) - log_density(x - step)) / step

    assert learnt.mean == pytest.approx(brentq(slope, 0.5, 1.5), abs=1e-6)
    assert learnt.counted == 2


@given(
    st.floats(0.5, 1.5), st.floats(0, 0.4), st.floats(0, 0.4), st.floats(0, 0.05),
    st.floats(0.1, 40), st.floats(0, 2),
)  # fmt: skip
def test_the_ends_of_the_band_are_the_normal_distributions_ends(
    mean, below, above, between, volume, error
):
    ratio = DeliveryRatio(mean, mean - below, mean + above, between)
    ends = pumped_band(ratio, volume, error)
    assert 0 <= ends[0] <= ends[1]
    for end, side, off in zip(ends, (-1, 1), (above, below), strict=True):
        if 0 < end < 1e6:
            # ρ of the pump, of this fill, and the reading: a fresh error and a shared one.
            spread = ((off**2 + (Z95 * between) ** 2) * end**2 + 2 * error**2) ** 0.5
            assert mean * end - volume == pytest.approx(side * spread, rel=1e-6, abs=1e-6)


def test_a_bias_that_all_readings_share_is_not_averaged_away():
    exact = [Residual(20, 4, 4.0)] * 200
    sure, blurred = learn_ratio(exact, 14.5, 0.1), learn_ratio(exact, 14.5, 1.0)
    assert blurred.high - blurred.mean < 0.02
    # 1.0 mL of 16.
    low, high = blurred.band()
    assert high - low == pytest.approx(2 * 1.0 / 16, rel=0.1)
    assert pumped_band(blurred, 18, 1.0)[0] < pumped_band(sure, 18, 0.1)[0] - 0.5


def test_a_refill_that_shows_a_fault_is_held_back_and_told():
    # Sgouros 2010 (abstract): 19 mL still inside, no delivery at all.
    stuck, good = Residual(20, 4, 19.0, "stuck"), Residual(20, 4, 4.1, "good")
    learnt = learn_ratio([stuck, good], 14.5, 0.5)
    assert learnt.far_less == ("stuck",)
    assert learnt.far_more == ()
    assert learnt.mean > 0.85
    # How far too little makes no difference beyond the edge.
    assert learn_ratio([Residual(20, 4, 15.0, "stuck"), good], 14.5, 0.5) == learnt


def test_far_too_much_counts_in_full():
    near, far = Residual(20, 12, 9.0), Residual(20, 12, 4.0, "far")
    learnt = learn_ratio([far], 14.5, 0.5)
    assert learnt.far_more == ("far",)
    assert learnt.mean > 1.6
    # 2.0 against 1.375 times what was told: the pull grows with the distance, to no end.
    assert (learnt.mean - 1) / (learn_ratio([near], 14.5, 0.5).mean - 1) == pytest.approx(1 / 0.375)


def situation(*withdrawn: float) -> Situation:
    fills = tuple(
        Fill(AT + timedelta(days=40 * i), 20.0, 500.0, expected_ml=4.0 if i else None,
             withdrawn_ml=withdrawn[i - 1] if i else None, id=str(i))
        for i in range(len(withdrawn) + 1)
    )  # fmt: skip
    return Situation(Pump(2.0), fills, (Setting(AT, constant_rate(200.0)),))


def look(told: Situation):
    answer, _ = forecast(told, told.fills[-1].at, UTC)
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
    assert learn_ratio([Residual(20, 4, 6.5)], tolerance, 0.5) == DeliveryRatio(1.0, 1.0, 1.0)
