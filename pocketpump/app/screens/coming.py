"""What is coming, as a list of days: on Today and on the clinic sheet."""

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import card, fact_row, section
from pocketpump.app.shell import App
from pocketpump.core.outlook import Outlook
from pocketpump.core.working import date_text
from pocketpump.record.situation import reminders_of


def coming(app: App[Notebook], answer: Outlook) -> list[ft.Control]:
    """Draw the days that are coming; nothing when there are none."""
    found = reminders_of(app.services.record.alive, answer)
    if not found:
        return []
    rows = [
        fact_row(reminder.title, date_text(reminder.on), note=reminder.text) for reminder in found
    ]
    return [card([section("Coming up"), *rows])]
