"""Visit booked: the day that was agreed with the clinic; noted, moved or cancelled here."""

from datetime import date
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Choice, Clock, Day, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, fact_row, notice, quiet_button
from pocketpump.app.screens.link import link
from pocketpump.app.screens.safety.calls import clinic_call
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import joined, message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.state import late_visit
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.typed_dates import read_time
from pocketpump.record.facts.booked_visit import BookedVisit, booked_visit
from pocketpump.record.facts.diary import contacts_of

# Where stepping starts in an empty box: in the morning, when most visits are (own choice).
_MORNING = read_time("09:00")
_VISIT = message("Visit at the clinic")
_STANDS = Choice(
    "stands",
    message("Is it still booked?"),
    options=(("yes", message("Yes")), ("no", message("No, it was cancelled"))),
)
_OPTIONAL = message("You may leave it empty.")
_FIELDS = (
    Day("visit_on", message("Day of the visit"),
        needed=message("Write the day of the visit, like 26 Feb 2026.")),
    Clock("visit_time", message("Time"), helper=_OPTIONAL),
    Words("place", message("Place or clinic"), helper=_OPTIONAL),
    Words("note", message("Note"), lines=2),
)  # fmt: skip


def visit(app: App[Services]) -> list[ft.Control]:
    """Draw the form; while a visit is booked it begins with that one, to move or cancel it."""
    services = app.services
    standing = standing_visit(services)
    form_name = f"visit:{standing.entry.id if standing else ''}"
    form = Form(app, form_name, _defaults(standing), fields=_FIELDS)
    cancelled = standing is not None and form.text("stands") == "no"
    asked = [] if cancelled else _asked(app, form)

    def save() -> None:
        if cancelled and standing is not None:
            said = {"visit_on": standing.on.isoformat(), "cancelled": True}
        else:
            said = form.payload()
        # A refill keeps what was said at it; what is said since stands in an entry of its own.
        replaces = standing.entry.id if standing and standing.entry.kind == "visit" else ""
        saved = services.save("visit", services.now(), said, replaces)
        form.clear()
        app.go("/today")
        say_with_undo(
            app,
            message("The visit is noted as cancelled.")
            if cancelled
            else message("The visit is saved."),
            saved.id,
        )

    if standing is None:
        head: list[ft.Control] = [body(message("Note the day that the clinic has given you."))]
    else:
        head = [visit_row(standing), _STANDS.draw(form)]
    return [*head, *asked, *form.save_button(message("Save the visit"), save)]


def _asked(app: App[Services], form: Form) -> list[ft.Control]:
    """Draw the fields, with what is told at once about the day."""
    today = app.services.now().date()
    answer, _ = app.services.forecast()
    on = form.answer("visit_on")
    if on is not None and on < today:
        form.fail("visit_on", message("This day is past: write the day of the visit to come."))
    return [
        form.ask("visit_on", max(answer.refill_by, today) if answer else today),
        *_told_at_once(app, answer, on if on is not None and on >= today else None),
        form.ask("visit_time", _MORNING),
        form.ask("place"),
        *_clinics(app, form),
        form.ask("note"),
    ]


def standing_visit(services: Services) -> BookedVisit | None:
    """Return the visit that is booked, unless its day is past."""
    now = services.now()
    booked = booked_visit(services.record.alive, now)
    return booked if booked is not None and booked.on >= now.date() else None


def visit_row(booked: BookedVisit) -> ft.Control:
    """Draw the day of a visit, with its time and place where they are noted."""
    return fact_row(_VISIT, date_text(booked.on), note=_time_and_place(booked))


def when_and_where(booked: BookedVisit) -> str:
    """Return the time and the place of a visit; "" where neither is noted."""
    more = _time_and_place(booked)
    return joined(": ", (_VISIT, more)) if more else ""


def _time_and_place(booked: BookedVisit) -> str:
    clock = message("at {clock}", clock=f"{booked.clock:%H:%M}") if booked.clock else ""
    return joined("; ", [part for part in (clock, booked.place) if part])


def change_visit(app: App[Services]) -> ft.Control:
    """Return the way to another day for the visit that is booked, or to none."""
    return link(app, message("Move or cancel the visit"), "/visit",
                ft.Icons.EDIT_CALENDAR, key="change the visit")  # fmt: skip


def _told_at_once(app: App[Services], answer: Forecast | None, on: date | None) -> list[ft.Control]:
    """Draw what is wrong with the day while the clinic may still be on the telephone."""
    if answer is None or on is None:
        return []
    late = late_visit(on, answer.refill_by)
    if late:
        return [notice(late, needs_you=True, key="late"), clinic_call(app)]
    if not answer.situation.habits.clinic_days.is_open(on):
        closed = message(
            "By the clinic days noted here there are no refills on {day}: look at the day again.",
            day=date_text(on),
        )
        return [notice(closed, needs_you=True, key="closed")]
    return []


def _clinics(app: App[Services], form: Form) -> list[ft.Control]:
    """Draw the clinics whose numbers are noted, to be taken as the place by a tap."""
    if form.text("place"):
        return []
    names = [one.name for one in contacts_of(app.services.record.alive) if one.is_clinic]
    return [
        quiet_button(name, partial(form.put, "place", name), key=f"place:{name}")
        for name in dict.fromkeys(names)
    ]


def _defaults(standing: BookedVisit | None) -> dict[str, Any]:
    if standing is None:
        return {}
    kept = standing.entry.payload if standing.entry.kind == "visit" else {}
    clock = f"{standing.clock:%H:%M}" if standing.clock else None
    return {**kept, "stands": "yes", "visit_on": standing.on, "visit_time": clock}
