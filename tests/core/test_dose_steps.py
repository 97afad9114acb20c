"""A change in percent, and the step ranges the label names beside it."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.pump.dose_steps import DECIDES, Origin, percent_text, step_information

SPINAL, CEREBRAL = Origin("spinal"), Origin("cerebral")


@pytest.mark.parametrize(
    # E30, derived from the label's steps: 300 mcg/d +10, +30, +40, -10, -20 %.
    ("after", "percent"),
    [(330, 10), (390, 30), (420, 40), (270, -10), (240, -20)],
)
def test_the_percent_of_a_change(after, percent):
    assert step_information(300, after, None).percent == pytest.approx(percent)


@pytest.mark.parametrize(
    ("origin", "raised", "ranges"),
    [
        # US prescribing information of the generic drug.
        (SPINAL, True, {"10–30", "10–40"}),
        (CEREBRAL, True, {"5–15", "5–20"}),
        (Origin("spinal", child=True), True, {"5–15", "10–40"}),
        (Origin("cerebral", child=True), True, {"5–15", "5–20"}),
        (None, True, {"10–30", "5–15", "10–40", "5–20"}),
        (SPINAL, False, {"10–20"}),
        (CEREBRAL, False, {"10–20"}),
        (None, False, {"10–20"}),
    ],
)
def test_the_ranges_named_are_those_of_the_origin(origin, raised, ranges):
    info = step_information(300, 360 if raised else 260, origin)
    assert set(re.findall(r"\d+–\d+", " ".join(info.sentences))) == ranges


def test_the_sentence_names_when_and_for_whom():
    sentences = step_information(300, 360, SPINAL).sentences
    assert (
        "The label names 10–40 % as a usual step at a refill visit for a spinal origin."
    ) in sentences


doses = st.floats(0.1, 3000)


@given(doses, doses, st.sampled_from([None, SPINAL, CEREBRAL, Origin("spinal", True)]))
def test_it_informs_and_never_judges(before, after, origin):
    info = step_information(before, after, origin)
    assert info.percent == pytest.approx((after / before - 1) * 100, abs=1e-6)
    text = " ".join(info.sentences).lower()
    for word in ("too ", "should", "must", "safe", "danger", "recommend", "wrong"):
        assert word not in text
    assert not info.sentences or info.sentences[-1] == DECIDES


@pytest.mark.parametrize(
    ("before", "after", "percent"), [(0, 200, None), (200, 0, -100), (200, 200.02, 0.01)]
)
def test_no_ranges_where_there_is_no_step(before, after, percent):
    info = step_information(before, after, SPINAL)
    assert info.sentences == ()
    assert info.percent == (None if percent is None else pytest.approx(percent))


def test_percent_text_has_a_sign():
    assert [percent_text(p) for p in (20.0, -12.345, 0.01, None)] == [
        "+20 %",
        "−12.3 %",
        "0 %",
        "–",
    ]
