"""The languages the app speaks besides English, from gettext catalogues kept beside this module.

A catalogue is ``locale/<code>/LC_MESSAGES/pocketpump.mo``, compiled from the ``.po`` file
there by ``tools/catalogue.py``. The emergency card has its own phrases, in more languages:
see `pocketpump.exchange.papers.card_phrases`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from gettext import GNUTranslations
from importlib.resources import files
from typing import Final

from pocketpump.core.messages import Locale

ENGLISH: Final = "en"
LANGUAGE_NAMES: Final = {ENGLISH: "English", "de": "Deutsch"}
"""What the app can speak: code (BCP 47) → the language's own name."""

_DOMAIN: Final = "pocketpump.mo"


@dataclass(frozen=True)
class Conventions:
    """How a language writes numbers and days; source: Unicode CLDR 44, short and medium forms."""

    decimal: str
    weekdays: tuple[str, ...]
    months: tuple[str, ...]
    weekday_pattern: str
    day_pattern: str
    month_pattern: str

    def day(self, day: date, *, weekday: bool) -> str:
        """Return the day, the month as a word."""
        pattern = self.weekday_pattern if weekday else self.day_pattern
        return pattern.format(
            weekday=self.weekdays[day.weekday()],
            day=day.day,
            month=self.months[day.month - 1],
            year=day.year,
        )


HABITS: Final = {
    "de": Conventions(
        ",",
        ("Mo.", "Di.", "Mi.", "Do.", "Fr.", "Sa.", "So."),
        (
            "Jan.",
            "Feb.",
            "März",
            "Apr.",
            "Mai",
            "Juni",
            "Juli",
            "Aug.",
            "Sept.",
            "Okt.",
            "Nov.",
            "Dez.",
        ),
        "{weekday} {day}. {month} {year}",
        "{day}. {month} {year}",
        "{month} {year}",
    ),
}


class CatalogueLocale:
    """A language spoken from a gettext catalogue."""

    def __init__(self, catalogue: GNUTranslations, habits: Conventions) -> None:
        self._catalogue, self._habits = catalogue, habits

    def text(self, message: str) -> str:
        """Return the translation, the English if there is none."""
        # gettext keeps a catalogue's own header under the empty message.
        return self._catalogue.gettext(message) if message else message

    def counted(self, one: str, many: str, count: int) -> str:
        """Return the translated template for ``count`` things."""
        return self._catalogue.ngettext(one, many, count)

    def number(self, text: str) -> str:
        """Return the number with this language's decimal sign."""
        return text.replace(".", self._habits.decimal)

    def day(self, day: date, *, weekday: bool) -> str:
        """Return the day, the month as a word."""
        return self._habits.day(day, weekday=weekday)

    def month(self, day: date) -> str:
        """Return the month as a word and two digits of the year."""
        return self._habits.month_pattern.format(
            month=self._habits.months[day.month - 1], year=f"{day.year % 100:02}"
        )


@lru_cache
def locale(code: str) -> Locale | None:
    """Return the language with this code; None for English and for one there is not."""
    if code == ENGLISH or code not in LANGUAGE_NAMES:
        return None
    source = files("pocketpump.exchange").joinpath("locale", code, "LC_MESSAGES", _DOMAIN)
    with source.open("rb") as file:
        return CatalogueLocale(GNUTranslations(file), HABITS[code])
