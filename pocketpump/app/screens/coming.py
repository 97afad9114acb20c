"""What else is coming: the reminders whose days do not stand on Today already."""

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import card, fact_row, section
from pocketpump.app.shell import App
from pocketpump.core.outlook import Outlook
from pocketpump.core.working import date_text
from pocketpump.record.situation import reminders_of

# Today shows these at its head, larger.
_SHOWN = {"call-by", "refill-by", "alarm", "clinic-alarm"}


def coming(app: App[Notebook], answer: Outlook) -> list[ft.Control]:
    """Draw the other days that are coming; nothing when there are none."""
    every = reminders_of(app.services.record.alive, answer)
    found = [reminder for reminder in every if reminder.code not in _SHOWN]
    if not found:
        return []
    rows = [
        fact_row(reminder.title, date_text(reminder.on), note=reminder.text) for reminder in found
    ]
    return [card([section("Coming up"), *rows])]
