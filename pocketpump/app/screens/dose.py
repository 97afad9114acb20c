"""One dose setting: enter it as the clinic printed it, or correct it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import flet as ft

from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import (
    body,
    choice,
    date_field,
    quiet_button,
    read_time,
    text_field,
    time_field,
)
from pocketpump.app.screens.dose_fields import FROM_CHOICES, defaults, mode_fields, read_programme
from pocketpump.app.screens.taking_back import remove_button, undo_of
from pocketpump.app.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.pattern import Programme
from pocketpump.core.programme_text import programme_to_payload
from pocketpump.core.quantity import format_number

__all__ = ["dose", "dose_form"]

_DAY_MIN = 1_440
_QUARTER = 15


def dose(app: App[Notebook]) -> list[ft.Control]:
    """Draw the form for a new dose setting, or for the one that the route's ``id`` names."""
    return dose_form(app, lambda: app.go("/today"))


def dose_form(app: App[Notebook], after: Callable[[], None]) -> list[ft.Control]:
    """Draw the form; ``after`` leads on when it is saved."""
    notebook = app.services
    old = notebook.find(app.query.get("id", ""))
    form = Form(app, f"dose:{old.id if old else ''}", defaults(notebook, old))
    now = notebook.now()
    at = _instant(form, notebook, now)
    programme = read_programme(form)
    printed = form.day("printed_alarm_on")
    offset = _clock_offset(form, programme, at or now)

    def save() -> None:
        assert at is not None  # a form without trouble has an instant
        assert programme is not None  # and a programme
        payload: dict[str, Any] = {
            "programme": programme_to_payload(replace(programme, clock_offset_minutes=offset)),
        }
        if printed is not None:
            payload["printed_alarm_on"] = printed.isoformat()
        if form.text("note").strip():
            payload["note"] = form.text("note").strip()
        entry = notebook.save("programme", at, payload, old.id if old else "")
        form.clear()
        after()
        words = "The dose setting is corrected." if old else "The dose setting is saved."
        app.say(words, undo=undo_of(app, entry.id))

    controls: list[ft.Control] = [*mode_fields(form), body(_sum(programme))]
    if _by_clock(programme):
        controls.append(
            time_field(
                f"The pump's clock when it is {now:%H:%M} here",
                form.text("clock"),
                form.typed("clock"),
                now=now.time(),
                helper="The same, unless the pump was set in another time zone or before the"
                " clocks changed. It does not move by itself.",
                error=form.error("clock"),
            )
        )
    controls += _from_fields(form, notebook, now)
    controls.append(
        date_field("Clinic's new alarm date", form.text("printed_alarm_on"),
                   form.typed("printed_alarm_on"), today=now.date(),
                   helper="If a new printout was handed out with this change.",
                   error=form.error("printed_alarm_on"))
    )  # fmt: skip
    controls.append(text_field("Note", form.text("note"), form.typed("note"), lines=2))
    controls += form.save_button("Save the dose setting", save)
    if old is not None:
        controls += [
            quiet_button("Leave it as it was", lambda: _leave(app, form)),
            remove_button(app, old.id, "dose setting", "/doses"),
        ]
    return controls


def _leave(app: App[Notebook], form: Form) -> None:
    form.clear()
    app.go("/doses")


def _instant(form: Form, notebook: Notebook, now: datetime) -> datetime | None:
    last = notebook.newest("refill")
    if form.text("from") == "refill" and last is not None:
        return last.at
    return form.instant("day", "time", latest=now)


def _from_fields(form: Form, notebook: Notebook, now: datetime) -> list[ft.Control]:
    controls: list[ft.Control] = []
    if notebook.newest("refill") is not None:
        controls.append(choice("Since when?", FROM_CHOICES, form.text("from"), form.typed("from")))
    if form.text("from") != "refill":
        controls += [
            date_field("Day of the change", form.text("day"), form.typed("day"), today=now.date(),
                       error=form.error("day")),
            time_field("Time, about", form.text("time"), form.typed("time"), now=now.time(),
                       error=form.error("time")),
        ]  # fmt: skip
    return controls


def _by_clock(programme: Programme | None) -> bool:
    """Return whether the hour matters, and with it the pump's clock."""
    if programme is None:
        return False
    varies = len({step.rate_mcg_per_hour for day in programme.days for step in day}) > 1
    return varies or any(bolus.start_minutes for bolus in programme.timed)


def _clock_offset(form: Form, programme: Programme | None, at: datetime) -> int:
    here = int((at.utcoffset() or timedelta(0)).total_seconds() // 60)
    if not _by_clock(programme) or not form.text("clock").strip():
        return here
    try:
        shown = read_time(form.text("clock"))
    except InputError as error:
        form.fail("clock", str(error))
        return here
    # The two clocks differ by whole quarters of an hour in every zone on Earth.
    apart = shown.hour * 60 + shown.minute - int(form.text("clock_now"))
    apart = (apart + _DAY_MIN // 2) % _DAY_MIN - _DAY_MIN // 2
    return here + round(apart / _QUARTER) * _QUARTER


def _sum(programme: Programme | None) -> str:
    if programme is None or programme.mode == "stopped":
        return ""
    text = f"That is {format_number(programme.dose_mcg_per_day, 1)} mcg a day"
    return text + (", with every requested bolus." if programme.requested else ".")
