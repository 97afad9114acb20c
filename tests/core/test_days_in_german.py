"""A day that the app shows, in any of its languages, can be typed back; German is read too."""

import unicodedata
from datetime import date
from gettext import NullTranslations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.messages import text_in
from pocketpump.core.units.instants import FIRST_YEAR, LAST_YEAR, date_text, short_date_text
from pocketpump.core.units.typed_dates import (
    DAY_FIRST,
    MONTH_FIRST,
    YEAR_FIRST,
    day_in_order,
    read_day,
)
from pocketpump.exchange.language.locales import HABITS, CatalogueLocale

THURSDAY = date(2026, 2, 26)
GERMAN = {
    1: "Januar Jan Jan. Jän Jän. Jänner Jaenner",
    2: "Februar Feb Feb. Febr.",
    3: "März Maerz Mrz Mrz. Mär Mär.",
    4: "April Apr Apr.",
    5: "Mai",
    6: "Juni Jun Jun.",
    7: "Juli Jul Jul.",
    8: "August Aug Aug.",
    9: "September Sep Sept Sept. Sep.",
    10: "Oktober Okt Okt.",
    11: "November Nov Nov.",
    12: "Dezember Dez Dez.",
}
LANGUAGE_NAMES = {
    code: CatalogueLocale(NullTranslations(), habits) for code, habits in HABITS.items()
}


@given(st.dates(date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31)))
@pytest.mark.parametrize("shown", [date_text, short_date_text])
@pytest.mark.parametrize("code", ["en", *LANGUAGE_NAMES])
def test_every_day_that_is_shown_is_read_back(code, shown, day):
    assert read_day(text_in(shown(day), LANGUAGE_NAMES.get(code))) == day


@pytest.mark.parametrize("pattern", ["3. {} 2026", "3 {} 2026", "03.{} 2026", "3-{}-2026"])
@pytest.mark.parametrize(("month", "words"), GERMAN.items())
def test_a_german_month_is_read_however_it_is_written(month, words, pattern):
    for word in words.split():
        for written in (word, word.upper(), word.lower(), unicodedata.normalize("NFD", word)):
            text = pattern.format(written)
            assert read_day(text) == date(2026, month, 3), text
            assert day_in_order(text, DAY_FIRST) == date(2026, month, 3), text


def test_a_column_with_german_months_is_read_in_the_order_that_fits():
    assert day_in_order("2026-März-3", YEAR_FIRST) == date(2026, 3, 3)
    assert day_in_order("3. Dez. 2026 09:00", DAY_FIRST) == date(2026, 12, 3)
    assert day_in_order("3. Dez. 2026", MONTH_FIRST) is None


@pytest.mark.parametrize(
    "text",
    [
        "Thu 26 Feb 2026",
        "Thu, 26 Feb 2026",
        "Thurs. 26 Feb 2026",
        "Thursday, February 26, 2026",
        "THURSDAY 2026-02-26",
        "Do. 26. Feb. 2026",
        "Do 26. Feb. 2026",
        "Do., 26.02.2026",
        "do 26.2.2026",
        "Donnerstag, 26. Februar 2026",
        "Donnerstag, den 26. Februar 2026",
        "Do.\u00a026.\u00a0Feb.\u00a02026",
    ],
)
def test_a_weekday_may_stand_before_the_day(text):
    assert read_day(text) == THURSDAY


@pytest.mark.parametrize("text", ["Fri 26 Feb 2026", "Mi. 26. Feb. 2026", "So 2026-02-26"])
def test_a_weekday_that_is_another_is_told_with_the_right_one(text):
    with pytest.raises(InputError, match="Thu 26 Feb 2026"):
        read_day(text)


@pytest.mark.parametrize(
    "text",
    [
        "D 26 Feb 2026",
        "Foo 26 Feb 2026",
        "Do Do 26 Feb 2026",
        "Do",
        "Do.",
        "Do 3/4/2026",
        "26 Do 2026",
        "30. Februar 2026",
        "12. Mrs 2026",
        "den 26. Februar 2026 Do",
    ],
)
def test_what_only_looks_like_german_is_no_day(text):
    with pytest.raises(InputError):
        read_day(text)
