"""Which changes of the dose are worth a second look before they are kept."""

from datetime import UTC, datetime, timedelta

import pytest
from core_helpers import is_one_sentence
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.pump.dose_steps import Origin, dose_before, look_again
from pocketpump.core.pump.programme import constant_rate, stopped
from pocketpump.core.pump.timeline import Setting

SPINAL, CEREBRAL = Origin("spinal"), Origin("cerebral")
DOSES = st.just(0.0) | st.floats(0.1, 5000)
START = datetime(2026, 1, 12, 9, tzinfo=UTC)


@pytest.mark.parametrize(
    ("after", "times"),
    [
        # Ten: the decimal point. 24: "60 mcg once a day entered as 60 mcg every hour",
        # medication-safety alert. 1000: mg for mcg.
        (2000, "10 times"), (20, "10 times"), (4800, "24 times"), (200 / 24, "24 times"),
        (200_000, "1000 times"), (0.2, "1000 times"),
    ],
)  # fmt: skip
def test_a_dose_off_by_a_usual_slip_is_told_by_its_factor(after, times):
    assert times in look_again(200, after, None)


@pytest.mark.parametrize(
    ("origin", "percent", "asks"),
    [
        # The widest ranges of the US prescribing information of the generic drug: up to 40 %
        # more (spinal) or 20 % more (cerebral) at a refill visit, up to 20 % less.
        (None, 40, False), (None, 41, True), (SPINAL, 40, False), (SPINAL, 41, True),
        (CEREBRAL, 20, False), (CEREBRAL, 21, True), (None, -20, False), (SPINAL, -21, True),
        (CEREBRAL, -20, False), (CEREBRAL, -21, True), (None, 0, False),
    ],
)  # fmt: skip
def test_a_step_beyond_every_published_range_is_worth_a_look(origin, percent, asks):
    assert bool(look_again(300, 300 * (1 + percent / 100), origin)) == asks


@given(DOSES, DOSES, st.sampled_from([None, SPINAL, CEREBRAL]))
def test_the_question_is_one_sentence_and_never_advice(before, after, origin):
    text = look_again(before, after, origin)
    assert not text or is_one_sentence(text)
    for word in ("too ", "should", "must", "safe", "danger", "recommend", "wrong"):
        assert word not in text


def test_without_a_dose_before_there_is_nothing_to_compare():
    assert look_again(0.0, 2000, None) == ""
    assert dose_before((), START) == 0.0


def test_the_dose_before_is_the_last_one_that_ran_and_not_the_one_being_corrected():
    settings = (
        Setting(START + timedelta(days=2), stopped(), "c"),
        Setting(START, constant_rate(200), "a"),
        Setting(START + timedelta(days=1), constant_rate(220), "b"),
        Setting(START + timedelta(days=9), constant_rate(300), "d"),
    )
    assert dose_before(settings, START + timedelta(days=3)) == pytest.approx(220)
    assert dose_before(settings, START + timedelta(days=1), without="b") == pytest.approx(200)
