"""Sentences that can be said in another language, made where the numbers are known.

Everything shown is written once, in English, with `message`. What comes back is an ordinary
``str`` holding the English sentence, so tests, the command line and files go on as if
nothing had happened; but it also remembers the template and the values it was made of. A
view that speaks another language hands it to a `Locale` with `text_in` just before it is
drawn. So the core never asks which language is spoken, and one record reads in any.

What the person has typed is a plain ``str`` and stays as typed in every language.

An f-string or ``", ".join`` makes a plain ``str`` out of sentences and so loses what they
were made of: use ``message("{a} of {b}", a=…, b=…)`` and ``joined(", ", parts)``.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Protocol


class Locale(Protocol):
    """A language: its catalogue of sentences, and how it writes numbers and days."""

    def text(self, message: str) -> str:
        """Return the translation of a template, the template itself if there is none."""

    def counted(self, one: str, many: str, count: int) -> str:
        """Return the translated template for ``count`` things."""

    def number(self, text: str) -> str:
        """Return a number, given with a decimal point, as this language writes it."""

    def day(self, day: date, *, weekday: bool) -> str:
        """Return a date that nobody can read the wrong way round."""

    def month(self, day: date) -> str:
        """Return the short month and the year, for a narrow place: Feb 26."""


class LazyText(str):
    """A text in English that knows what it was made of; see the module."""

    def in_locale(self, locale: Locale) -> str:
        """Return the same in another language."""
        return locale.text(str.__str__(self))

    def __str__(self) -> str:
        # Not a bare copy: an error's sentence is read with str(error).
        return self

    def __add__(self, other: str) -> LazyText:
        return joined("", (self, other))

    def __radd__(self, other: str) -> LazyText:
        return joined("", (other, self))

    def filled(self, **values: object) -> LazyText:
        """Return this template filled with ``values`` by name, as `str.format` does it.

        Values may themselves be said (a date, a number, a word); plain text is put in as it is.
        """
        template = str.__str__(self)
        said = _Filled(template.format(**values))
        said.template, said.values = template, values
        return said

    def capitalize(self) -> LazyText:
        """Return the text with a capital first letter; the other letters stay as they are."""
        turned = _Capitalised(self[:1].upper() + self[1:])
        turned.inner = self
        return turned


class _Filled(LazyText):
    template: str
    values: dict[str, object]

    def in_locale(self, locale: Locale) -> str:
        return _fill(locale.text(self.template), self.values, locale)


class _Counted(LazyText):
    one: str
    many: str
    number: int
    values: dict[str, object]

    def in_locale(self, locale: Locale) -> str:
        return _fill(locale.counted(self.one, self.many, self.number), self.values, locale)


class _Joined(LazyText):
    separator: str
    parts: tuple[str, ...]

    def in_locale(self, locale: Locale) -> str:
        return text_in(self.separator, locale).join(text_in(part, locale) for part in self.parts)


class _Capitalised(LazyText):
    inner: LazyText

    def in_locale(self, locale: Locale) -> str:
        text = self.inner.in_locale(locale)
        return text[:1].upper() + text[1:]


class _Number(LazyText):
    def in_locale(self, locale: Locale) -> str:
        return locale.number(str.__str__(self))


class _Day(LazyText):
    day: date
    weekday: bool

    def in_locale(self, locale: Locale) -> str:
        return locale.day(self.day, weekday=self.weekday)


class _Month(LazyText):
    day: date

    def in_locale(self, locale: Locale) -> str:
        return locale.month(self.day)


def message(template: str, /, **values: object) -> LazyText:
    """Return ``template`` filled with ``values``, as `LazyText.filled` does it.

    Without values the template is taken as it stands: a sentence, or one to be filled later.
    """
    said = LazyText(template)
    return said.filled(**values) if values else said


def plural_message(one: str, many: str, count: int, /, **values: object) -> LazyText:
    """Return the template for ``count`` things, filled with ``values`` and ``count``."""
    values = {"count": count, **values}
    said = _Counted((one if count == 1 else many).format(**values))
    said.one, said.many, said.number, said.values = one, many, count, values
    return said


def joined(separator: str, parts: Iterable[str]) -> LazyText:
    """Return the parts, said or plain, one after the other."""
    kept = tuple(parts)
    said = _Joined(str.join(separator, kept))
    said.separator, said.parts = separator, kept
    return said


def localized_number(text: str) -> LazyText:
    """Return a number written with a decimal point, for languages that write another sign."""
    return _Number(text)


def localized_day(english: str, day: date, *, weekday: bool) -> LazyText:
    """Return ``english``, which is ``day`` written out."""
    said = _Day(english)
    said.day, said.weekday = day, weekday
    return said


def localized_month(english: str, day: date) -> LazyText:
    """Return ``english``, which is the short month and year of ``day``."""
    said = _Month(english)
    said.day = day
    return said


def text_in(text: str, locale: Locale | None) -> str:
    """Return ``text`` in ``locale`` if it was said, as it is if it was typed.

    Without a locale it is plain English, rid of what it was made of.
    """
    if not isinstance(text, LazyText):
        return text
    return str.__str__(text) if locale is None else text.in_locale(locale)


def _fill(template: str, values: dict[str, object], locale: Locale) -> str:
    return template.format(
        **{
            name: value.in_locale(locale) if isinstance(value, LazyText) else value
            for name, value in values.items()
        }
    )
