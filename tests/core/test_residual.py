"""What was left over and what went in: the published limits, exactly at them and beside them."""

import pytest
from core_helpers import is_one_sentence

from pocketpump.core.errors import InputError
from pocketpump.core.refill_check.residual import check_residual, missing_after_fill

# 14.5 % is a common specification (practice); more than 2 mL: regional-anaesthesia society
# poster 2017 (page).
TOLERANCE = 14.5


@pytest.mark.parametrize(
    ("expected", "withdrawn", "over_volume"),
    [
        (4.0, 6.0, False),
        (4.0, 2.0, False),
        (4.0, 6.01, True),
        (4.0, 1.99, True),
        # In floating point these differ by a crumb more or less than 2; all are 2 mL.
        (4.1, 6.1, False),
        (2.4, 4.4, False),
        (2.9, 4.9, False),
    ],
)
def test_exactly_two_ml_is_not_more_than_two_ml(expected, withdrawn, over_volume):
    check = check_residual(40, expected, withdrawn, TOLERANCE)
    assert check.over_volume_limit is over_volume
    assert check.flag is over_volume


@pytest.mark.parametrize(
    ("withdrawn", "over_tolerance"),
    # Fill 20, expected 10: 10 mL intended, so 14.5 % is 1.45 mL either way, derived.
    [(11.45, False), (8.55, False), (11.46, True), (8.54, True), (10, False)],
)
def test_exactly_the_tolerance_is_not_outside_it(withdrawn, over_tolerance):
    check = check_residual(20, 10, withdrawn, TOLERANCE)
    assert check.over_tolerance is over_tolerance
    assert check.over_volume_limit is False
    assert check.flag is over_tolerance


def test_the_sign_of_an_error_is_delivered_less_intended():
    # Error sign: 19.5 of 20.0 is -2.5 % (trade_facts 2, derived).
    check = check_residual(20, 0, 0.5, TOLERANCE)
    assert (check.delivered_ratio - 1) * 100 == pytest.approx(-2.5, rel=1e-9)
    assert check.difference_ml == 0.5


def test_no_delivery_at_all_is_flagged():
    # 19 mL still inside at 3 months, 180 mcg/day: Sgouros 2010 (abstract). At 2000 mcg/mL (own
    # choice) 90 days use 8.1 mL, derived.
    check = check_residual(19, 19 - 8.1, 19, TOLERANCE)
    assert check.delivered_ratio == 0
    assert check.flag


def test_nothing_intended_gives_no_ratio():
    check = check_residual(20, 20, 19.5, TOLERANCE)
    assert check.delivered_ratio is None
    assert check.over_tolerance is False
    assert check_residual(20, 20, 15, TOLERANCE).flag is True


def test_more_expected_than_filled_is_refused_in_one_sentence():
    with pytest.raises(InputError) as caught:
        check_residual(20, 20.5, 3, TOLERANCE)
    assert caught.value.field == "expected_ml"
    assert is_one_sentence(str(caught.value))


@pytest.mark.parametrize("withdrawn", [60.0, 25.0, 21.1])
def test_more_withdrawn_than_filled_is_refused_in_one_sentence(withdrawn):
    with pytest.raises(InputError) as caught:
        check_residual(20, 4, withdrawn, TOLERANCE)
    assert caught.value.field == "withdrawn_ml"
    assert is_one_sentence(str(caught.value))


def test_a_withdrawn_volume_a_reading_above_the_fill_is_taken():
    # A pump that stood still, read half a mark too low and half a mark too high (own choice).
    assert check_residual(20, 4, 20.5, TOLERANCE).flag


@pytest.mark.parametrize(
    ("injected", "measured", "reservoir", "flag"),
    [
        # Limits of Maino 2017 (abstract): more than 1 mL of 20, more than 2 mL of 40. E29.
        (20, 18.8, 20, True),
        (40, 38.3, 40, False),
        (20, 19.0, 20, False),
        (20, 18.9, 20, True),
        (40, 38.0, 40, False),
        (40, 37.9, 40, True),
        # The limit belongs to the pump and not to what was injected.
        (18, 16.5, 40, False),
        (20, 20.4, 20, False),
    ],
)
def test_more_missing_than_the_limit_of_the_pumps_size(injected, measured, reservoir, flag):
    assert missing_after_fill(injected, measured, reservoir) is flag
