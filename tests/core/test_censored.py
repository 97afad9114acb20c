"""A normal given "at least this much": against adding up with scipy, and in order."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy import exp, interp, linspace
from scipy.stats import norm

from pocketpump.core.statistics.censored import AtLeast, given_at_least

LESSON = st.builds(AtLeast, st.floats(0.6, 2.5), st.floats(0.01, 0.1))


def added_up(mean, sd, lessons):
    at = linspace(0.2, 3.5, 1_000_001)
    log = norm.logpdf(at, mean, sd)
    log += sum(norm.logcdf((at - one.value) / one.sd) for one in lessons)
    weight = exp(log - log.max())
    summed = weight.cumsum() - weight / 2
    return (at * weight).sum() / weight.sum(), *interp((0.025, 0.975), summed / weight.sum(), at)


@pytest.mark.parametrize("sd", [0.012, 0.05, 0.12])
@pytest.mark.parametrize(
    "lessons",
    [
        [AtLeast(1.0, 0.04)], [AtLeast(1.25, 0.04)], [AtLeast(1.25, 0.01)], [AtLeast(2.4, 0.05)],
        [AtLeast(1.1, 0.03), AtLeast(1.3, 0.05), AtLeast(0.9, 0.1)], [AtLeast(1.2, 0.04)] * 12,
    ],
)  # fmt: skip
def test_mean_and_quantiles_are_those_added_up(sd, lessons):
    found = given_at_least(1.05, sd, tuple(lessons), 0.025)
    assert found == pytest.approx(added_up(1.05, sd, lessons), abs=2e-5)


@given(
    st.floats(0.8, 1.3), st.floats(0.005, 0.15), st.lists(LESSON, min_size=1, max_size=4), st.data()
)
def test_to_have_been_more_at_least_lowers_nothing(mean, sd, lessons, data):
    raised = [*lessons]
    raised[0] = AtLeast(data.draw(st.floats(lessons[0].value, 3)), lessons[0].sd)
    before, after = (given_at_least(mean, sd, tuple(told), 0.025) for told in (lessons, raised))
    assert all(now >= was - 1e-5 for was, now in zip(before, after, strict=True))


@given(st.floats(0.8, 1.3), st.floats(0.005, 0.15), LESSON)
def test_at_least_so_much_is_never_less_than_just_so_much(mean, sd, lesson):
    weight = 1 / lesson.sd**2
    precision = 1 / sd**2 + weight
    just, just_sd = (mean / sd**2 + lesson.value * weight) / precision, precision**-0.5
    middle, low, high = given_at_least(mean, sd, (lesson,), 0.025)
    z95 = norm.ppf(0.975)
    assert middle >= just - 1e-5
    assert low >= just - z95 * just_sd - 1e-5
    assert high >= just + z95 * just_sd - 1e-5


def test_what_was_known_better_is_no_news():
    assert not AtLeast(0.5, 0.03).is_news(1.0, 0.07)
    assert AtLeast(0.9, 0.03).is_news(1.0, 0.07)


def test_a_refill_of_which_next_to_nothing_was_asked_says_next_to_nothing():
    # Found dry a few seconds after it was filled: thousands of times what was asked, read as badly.
    middle, low, high = given_at_least(0.968, 0.0184, (AtLeast(25_453.0, 649.0),), 0.025)
    assert (low, middle, high) == pytest.approx(
        norm.ppf((0.025, 0.5, 0.975), 0.968, 0.0184), abs=1e-4
    )


# A fill varies by an eighth or more of what is known before any refill (0.2 to 1.6 ÷ 1.96), and a
# reading error of 0.1 mL is at least a 4,000th of what any reservoir holds.
@given(
    st.floats(0.2, 5), st.floats(0.0001, 0.5),
    st.lists(st.tuples(st.floats(0, 4_000), st.floats(0.2, 1e6)), min_size=1, max_size=40),
)  # fmt: skip
def test_however_far_it_is_the_answer_is_three_numbers_in_order(mean, sd, told):
    lessons = tuple(AtLeast(far * wide * sd, wide * sd) for far, wide in told)
    middle, low, high = given_at_least(mean, sd, lessons, 0.025)
    assert mean - 3 * sd < low < middle < high
