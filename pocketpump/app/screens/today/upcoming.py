"""What else is coming: the reminders whose days do not stand on Today already."""

import flet as ft

from pocketpump.app.parts import card, fact_row, section
from pocketpump.app.screens.refills.visit import change_visit
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.reminders import Reminder
from pocketpump.core.units.instants import date_text
from pocketpump.record.facts.booked_visit import reminders_of

# Today shows these at its head, larger.
_SHOWN = {"call-by", "refill-by", "alarm", "clinic-alarm"}


def coming(app: App[Services], answer: Forecast) -> list[ft.Control]:
    """Draw the other days that are coming; nothing when there are none."""
    found = _others(app, answer)
    if not found:
        return []
    # What cannot wait is told in a box of its own.
    rows = [
        fact_row(one.title, date_text(one.on), note="" if one.urgent else one.text) for one in found
    ]
    visit = [change_visit(app)] if any(one.code == "next-visit" for one in found) else []
    return [card([section(message("Coming up")), *rows, *visit])]


def _others(app: App[Services], answer: Forecast) -> list[Reminder]:
    every = reminders_of(app.services.record.alive, answer)
    return [reminder for reminder in every if reminder.code not in _SHOWN]
