"""What else is coming: the reminders whose days do not stand on Today already."""

import flet as ft

from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import card, fact_row, notice, section
from pocketpump.app.shell import App
from pocketpump.core.booking import Reminder
from pocketpump.core.instants import date_text
from pocketpump.core.outlook import Outlook
from pocketpump.core.wording import worded
from pocketpump.record.situation import reminders_of

# Today shows these at its head, larger.
_SHOWN = {"call-by", "refill-by", "alarm", "clinic-alarm"}


def pressing(app: App[Notebook], answer: Outlook) -> list[ft.Control]:
    """Draw what cannot wait, such as a visit that comes too late."""
    return [
        notice(reminder.text, needs_you=True, key=f"pressing:{reminder.code}")
        for reminder in _others(app, answer)
        if reminder.urgent
    ]


def coming(app: App[Notebook], answer: Outlook) -> list[ft.Control]:
    """Draw the other days that are coming; nothing when there are none."""
    found = _others(app, answer)
    if not found:
        return []
    rows = [
        fact_row(reminder.title, date_text(reminder.on), note=reminder.text) for reminder in found
    ]
    return [card([section(worded("Coming up")), *rows])]


def _others(app: App[Notebook], answer: Outlook) -> list[Reminder]:
    every = reminders_of(app.services.record.alive, answer)
    return [reminder for reminder in every if reminder.code not in _SHOWN]
