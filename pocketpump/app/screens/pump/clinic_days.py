"""Clinic days: when refills are done, how early to plan, and the days that differ."""

from collections.abc import Iterable
from datetime import date
from typing import Any

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, choice, date_field, quiet_button, section, stepper, ticks
from pocketpump.app.screens.undo import undo_of
from pocketpump.app.services import Notebook
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import worded
from pocketpump.core.pump.clinic_days import WEEKDAYS, describe_rule, rule_of, weeks_of
from pocketpump.core.pump.situation import Habits
from pocketpump.core.units.instants import date_text
from pocketpump.record.facts.situation import habits_of

_WEEKS = {
    # Note: a choice after "Which of the month?": the first Tuesday, the last Friday.
    1: worded("The first"),
    2: worded("The second"),
    3: worded("The third"),
    4: worded("The fourth"),
    5: worded("The fifth"),
    -1: worded("The last"),
}
_EVERY = (
    ("every", worded("Every week")),
    ("some", worded("Only certain weeks of the month")),
)
_LISTS = {
    "closed": (
        worded("Days the clinic is closed"),
        worded("A closed day"),
        worded("Add the closed day"),
    ),
    "opened": (
        worded("Other days it is open"),
        worded("Another open day"),
        worded("Add the open day"),
    ),
}


def clinic_days(app: App[Notebook]) -> list[ft.Control]:
    """Draw the form, filled with what is known."""
    notebook = app.services
    form = Form(app, "clinic days", _defaults(_known(notebook)))
    payload = _read(form)

    def save() -> None:
        entry = notebook.save("clinic days", notebook.now(), payload)
        form.clear()
        app.back()
        app.say(worded("The clinic's days are saved."), undo=undo_of(app, entry.id))

    controls: list[ft.Control] = [
        _members(form, "open", worded("The clinic does refills on"), enumerate(WEEKDAYS))
    ]
    controls += [body(form.error("open"))] if form.error("open") else []
    controls.append(
        choice(worded("In which weeks?"), _EVERY, form.text("weeks"), form.typed("weeks"))
    )
    if form.text("weeks") == "some":
        which = worded("Which of the month?")
        controls.append(_members(form, "chosen", which, _WEEKS.items()))
        controls.append(body(form.error("chosen") or _said(str(payload["rule"]))))
    today = notebook.now().date()
    for field in _LISTS:
        controls += _dates(form, field, today)
    controls += [
        section(worded("How early to plan")),
        stepper(worded("Margin before the alarm date"), form.text("margin"), form.typed("margin"),
                unit=worded("days"), least="0",
                helper=worded("The refill-by date is so many days earlier."),
                error=form.error("margin")),
        stepper(worded("Notice the clinic needs"), form.text("lead"), form.typed("lead"),
                unit=worded("days"), least="0",
                helper=worded("So many days before, it is time to call."),
                error=form.error("lead")),
        *form.save_button(worded("Save the clinic's days"), save),
    ]  # fmt: skip
    return controls


def _said(rule: str) -> str:
    if not rule:
        return worded("No week is chosen yet.")
    # Note: {days} is like "first and third Tuesday of the month".
    return worded("That is the {days}.", days=describe_rule(rule))


def _known(notebook: Notebook) -> Habits:
    try:
        return habits_of(notebook.newest("clinic days"))
    except InputError:
        return habits_of(None)


def _defaults(habits: Habits) -> dict[str, Any]:
    days = habits.clinic_days
    return {
        "open": sorted(days.open_weekdays),
        "weeks": "some" if days.rule else "every",
        "chosen": sorted(weeks_of(days.rule)),
        "closed": sorted(day.isoformat() for day in days.closed_on),
        "opened": sorted(day.isoformat() for day in days.opened_on),
        "margin": str(habits.margin_days),
        "lead": str(habits.lead_days),
    }


def _read(form: Form) -> dict[str, Any]:
    weekdays, weeks = form.value("open"), form.value("chosen")
    if not weekdays:
        form.fail("open", worded("Choose at least one day."))
    payload: dict[str, Any] = {
        "open_weekdays": weekdays,
        "margin_days": form.whole("margin", 0, 60, needed=worded("Write a number of days.")),
        "lead_days": form.whole("lead", 0, 60, needed=worded("Write a number of days.")),
        "closed_on": _with_typed(form, "closed"),
        "opened_on": _with_typed(form, "opened"),
    }
    if form.text("weeks") == "some":
        payload["rule"] = rule_of(weeks, weekdays)
        if not weeks:
            form.fail("chosen", worded("Choose at least one week."))
    return payload


def _with_typed(form: Form, field: str) -> list[str]:
    """Return the listed days and the one in the box: what was typed is not lost by saving."""
    day = form.day(f"{field}_day")
    return sorted({*form.value(field), *([day.isoformat()] if day else [])})


def _members(form: Form, field: str, title: str, options: Iterable[tuple[int, str]]) -> ft.Control:
    """Which numbers are in the list kept under ``field``."""
    members: list[int] = form.value(field)

    def toggle(value: str) -> None:
        form.put(field, sorted(set(members) ^ {int(value)}))

    rows = [(str(number), name) for number, name in options]
    return ticks(title, rows, [str(number) for number in members], toggle)


def _dates(form: Form, field: str, today: date) -> list[ft.Control]:
    title, label, add = _LISTS[field]
    days: list[str] = form.value(field)
    typed = f"{field}_day"

    def added() -> None:
        if form.day(typed) is not None:
            form.put(field, _with_typed(form, field))
            form.put(typed, "")

    def dropped(one: str) -> ft.Control:
        day = date_text(date.fromisoformat(one))
        return quiet_button(worded("Take away {day}", day=day),
                            lambda: form.put(field, [d for d in days if d != one]),
                            key=f"drop:{field}:{one}")  # fmt: skip

    return [
        section(title),
        # Days gone by are kept, for the dates of then, but need no button.
        *(dropped(one) for one in days if one >= today.isoformat()),
        date_field(label, form.text(typed), form.typed(typed), today=today,
                   error=form.error(typed)),
        quiet_button(add, added, icon=ft.Icons.ADD),
    ]  # fmt: skip
