"""How often the window holds the alarm that really comes, for pumps and readings of every kind.

More than 98 % cannot be had for every kind at once. Without refills there is one window, and it
reaches from pumps that deliver 0.85 to those that deliver 1.20 of what they are told: one in the
middle is always inside. And refills cannot tell a reading that is always off from another ratio,
so a window that allows for the one is too wide for a pump that has it not.
"""

import os

import pytest
from refill_simulation import (
    ALONE,
    AS_SUPPOSED,
    FIRST,
    REFILLS,
    VARIED,
    Case,
    as_supposed,
    coverage,
)
from scipy.stats import binom

PUMPS = 20_000 if os.environ.get("POCKETPUMP_THOROUGH") else 600
# A kind of which exactly 93 % (or 98 %) are held fails by chance once in so many runs.
BY_CHANCE = 1e-6


def assert_at_least_93_percent(case: Case, refills: int) -> int:
    held = coverage(case, refills, PUMPS).held
    assert held >= binom.ppf(BY_CHANCE, PUMPS, 0.93)
    return held


@pytest.mark.parametrize("refills", REFILLS)
@pytest.mark.parametrize("case", ALONE, ids=lambda case: case.name)
def test_the_window_holds_93_percent_whatever_one_thing_is_off(case, refills):
    assert_at_least_93_percent(case, refills)


@pytest.mark.parametrize("case", FIRST, ids=lambda case: case.name)
def test_the_first_window_holds_93_percent_of_fast_and_slow_pumps_of_every_size(case):
    assert_at_least_93_percent(case, 0)


@pytest.mark.parametrize(
    ("case", "refills"),
    [
        *((AS_SUPPOSED, refills) for refills in REFILLS),
        *((case, refills) for case in VARIED for refills in REFILLS[1:]),
    ],
    ids=lambda value: value.name if isinstance(value, Case) else str(value),
)
def test_where_fills_vary_the_window_holds_93_to_98_percent(case, refills):
    held = assert_at_least_93_percent(case, refills)
    assert held <= binom.isf(BY_CHANCE, PUMPS, 0.98)


@pytest.mark.parametrize("told", [(5.0, 1.0), (14.5, 0.1), (25.0, 0.5)], ids=str)
@pytest.mark.parametrize("refills", [0, 5])
def test_the_window_follows_the_accuracy_and_the_reading_error_that_were_entered(told, refills):
    held = assert_at_least_93_percent(as_supposed(*told), refills)
    assert held <= binom.isf(BY_CHANCE, PUMPS, 0.98)
