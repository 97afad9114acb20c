"""Languages for tests: English again, and English in capitals, where a small letter was missed."""

import re

from pocketpump.core.units.instants import date_text as with_weekday
from pocketpump.core.units.instants import month_text, short_date_text


class English:
    """A language that is English: what is put together from its templates must be the same."""

    def text(self, message):
        return message

    def counted(self, one, many, count):
        return one if count == 1 else many

    def number(self, text):
        return text

    def day(self, day, *, weekday):
        return str.__str__(with_weekday(day) if weekday else short_date_text(day))

    def month(self, day):
        return str.__str__(month_text(day))


class Loud(English):
    """English in capitals: whatever was not said in it is in small letters."""

    def text(self, message):
        parts = re.split(r"(\{\w+\})", message)
        return "".join(part if part.startswith("{") else part.upper() for part in parts)

    def counted(self, one, many, count):
        return self.text(super().counted(one, many, count))

    def number(self, text):
        return text.replace(".", ",")

    def day(self, day, *, weekday):
        return f"DAY {day.day}.{day.month}."

    def month(self, day):
        return f"MONTH {day.month}"
