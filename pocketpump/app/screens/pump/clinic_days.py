"""Clinic days: when refills are done, how early to plan, and the days that differ."""

from collections.abc import Iterable
from datetime import date
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Choice, Day, Whole
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, check_boxes, quiet_button, section
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.pump.clinic_days import WEEKDAYS, describe_rule, rule_of, weeks_of
from pocketpump.core.pump.situation import Habits
from pocketpump.core.units.instants import date_text
from pocketpump.record.facts.situation import habits_of

_WEEKS = {
    # Note: a choice after "Which of the month?": the first Tuesday, the last Friday.
    1: message("The first"),
    2: message("The second"),
    3: message("The third"),
    4: message("The fourth"),
    5: message("The fifth"),
    -1: message("The last"),
}
_WHICH_WEEKS = Choice(
    "weeks", message("In which weeks?"),
    options=(("every", message("Every week")),
             ("some", message("Only certain weeks of the month"))),
)  # fmt: skip
_LISTS = {
    "closed": (
        message("Days the clinic is closed"),
        Day("closed_day", message("A closed day")),
        message("Add the closed day"),
    ),
    "opened": (
        message("Other days it is open"),
        Day("opened_day", message("Another open day")),
        message("Add the open day"),
    ),
}
_AHEAD = (
    Whole("margin_days", message("Margin before the alarm date"), unit=message("days"),
          needed=message("Write a number of days."),
          helper=message("The refill-by date is so many days earlier.")),
    Whole("lead_days", message("Notice the clinic needs"), unit=message("days"),
          needed=message("Write a number of days."),
          helper=message("So many days before, it is time to call.")),
)  # fmt: skip
_FIELDS = (_WHICH_WEEKS, *_AHEAD, *(day for _, day, _ in _LISTS.values()))


def clinic_days(app: App[Services]) -> list[ft.Control]:
    """Draw the form, filled with what is known."""
    services = app.services
    form = Form(app, "clinic days", _defaults(_known(services)), fields=_FIELDS, kind="clinic days")
    payload = _read(form)

    def save() -> None:
        entry = services.save("clinic days", services.now(), payload)
        form.clear()
        app.back()
        say_with_undo(app, message("The clinic's days are saved."), entry.id)

    controls: list[ft.Control] = [
        _members(form, "open", message("The clinic does refills on"), enumerate(WEEKDAYS))
    ]
    controls += [body(form.error("open"))] if form.error("open") else []
    controls.append(form.ask("weeks"))
    if form.text("weeks") == "some":
        which = message("Which of the month?")
        controls.append(_members(form, "chosen", which, _WEEKS.items()))
        controls.append(body(form.error("chosen") or _said(str(payload["rule"]))))
    today = services.now().date()
    for field in _LISTS:
        controls += _dates(form, field, today)
    controls += [
        section(message("How early to plan")),
        *(form.ask(field.name) for field in _AHEAD),
        *form.save_button(message("Save the clinic's days"), save),
    ]
    return controls


def _said(rule: str) -> str:
    if not rule:
        return message("No week is chosen yet.")
    # Note: {days} is like "first and third Tuesday of the month".
    return message("That is the {days}.", days=describe_rule(rule))


def _known(services: Services) -> Habits:
    try:
        return habits_of(services.newest("clinic days"))
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
        "margin_days": habits.margin_days,
        "lead_days": habits.lead_days,
    }


def _read(form: Form) -> dict[str, Any]:
    weekdays, weeks = form.value("open"), form.value("chosen")
    if not weekdays:
        form.fail("open", message("Choose at least one day."))
    payload: dict[str, Any] = {
        "open_weekdays": weekdays,
        **{field.name: form.answer(field.name) for field in _AHEAD},
        "closed_on": _with_typed(form, "closed"),
        "opened_on": _with_typed(form, "opened"),
    }
    if form.text("weeks") == "some":
        payload["rule"] = rule_of(weeks, weekdays)
        if not weeks:
            form.fail("chosen", message("Choose at least one week."))
    return payload


def _with_typed(form: Form, field: str) -> list[str]:
    """Return the listed days and the one in the box: what was typed is not lost by saving."""
    day = form.answer(f"{field}_day")
    return sorted({*form.value(field), *([day.isoformat()] if day else [])})


def _members(form: Form, field: str, title: str, options: Iterable[tuple[int, str]]) -> ft.Control:
    """Which numbers are in the list kept under ``field``."""
    members: list[int] = form.value(field)

    def toggle(value: str) -> None:
        form.put(field, sorted(set(members) ^ {int(value)}))

    rows = [(str(number), name) for number, name in options]
    return check_boxes(title, rows, [str(number) for number in members], toggle)


def _dates(form: Form, field: str, today: date) -> list[ft.Control]:
    title, typed, add = _LISTS[field]
    days: list[str] = form.value(field)

    def added() -> None:
        if form.answer(typed.name) is not None:
            form.put(field, _with_typed(form, field))
            form.put(typed.name, "")

    def dropped(one: str) -> ft.Control:
        day = date_text(date.fromisoformat(one))
        return quiet_button(message("Take away {day}", day=day),
                            lambda: form.put(field, [d for d in days if d != one]),
                            key=f"drop:{field}:{one}")  # fmt: skip

    return [
        section(title),
        # Days gone by are kept, for the dates of then, but need no button.
        *(dropped(one) for one in days if one >= today.isoformat()),
        form.ask(typed.name, today),
        quiet_button(add, added, icon=ft.Icons.ADD),
    ]
