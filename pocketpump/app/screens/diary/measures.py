"""Measures and goals: a timed walk, a distance, own goals, with their milestones."""

from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import (
    big_button,
    body,
    card,
    choice,
    date_field,
    fact_row,
    quiet_button,
    section,
    stepper,
    text_field,
)
from pocketpump.app.parts.line_chart import line_chart
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.list_row import row
from pocketpump.app.screens.undo import remove_button, undo_of
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.measures import (
    USUAL_MEASURES,
    Measure,
    by_name,
    measure_words,
    milestones,
)
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message, plural_message
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import format_number, parse_number
from pocketpump.record import Entry
from pocketpump.record.facts.diary import measures_of

_OTHER = "other"
_BETTER = (("lower", message("Lower is better")), ("higher", message("Higher is better")))


def measures(app: App[Services]) -> list[ft.Control]:
    """Draw each measure over time, with its milestones."""
    controls: list[ft.Control] = [
        big_button(message("Note a measure"), lambda: app.go("/measure"), icon=ft.Icons.ADD)
    ]
    groups = by_name(measures_of(app.services.record.alive))
    if not groups:
        controls.append(body(message("Nothing measured yet. A timed walk is a good start.")))
    controls += [
        row(app, group[-1].id, partial(_group, app, name, group)) for name, group in groups.items()
    ]
    return controls


def _group(app: App[Services], name: str, group: tuple[Measure, ...]) -> ft.Control:
    last = group[-1]
    rows: list[ft.Control] = [
        section(measure_words(name)),
        line_chart(
            [(m.at, m.value) for m in group],
            goal=last.goal,
            unit=last.unit,
            width=app.room - 40,
            scale=app.scale,
            words=plural_message(
                "{name}: {count} values, the last {value}.",
                "{name}: {count} values, the last {value}.",
                len(group),
                name=measure_words(name),
                value=_value(last),
            ),
        ),
        # Note: the value measured last.
        fact_row(message("Last"), _value(last), note=date_text(last.at.date())),
    ]
    if last.goal is not None:
        goal = _amount(last.goal, last.unit)
        better = (
            message("{goal} or lower", goal=goal)
            if last.lower_is_better
            else message("{goal} or higher", goal=goal)
        )
        rows.append(fact_row(message("Goal"), better))
    for milestone in reversed(milestones(group)):
        if milestone.what != "first":
            rows.append(
                fact_row(milestone.what.capitalize(), _value(milestone.measure),
                         note=date_text(milestone.measure.at.date()))
            )  # fmt: skip
    rows.append(
        quiet_button(message("Correct the last one"), lambda: app.go(f"/measure?id={last.id}"),
                     icon=ft.Icons.EDIT_OUTLINED, key=f"correct:{last.id}")
    )  # fmt: skip
    return card(rows)


def _value(measure: Measure) -> str:
    return _amount(measure.value, measure.unit)


def _amount(value: float, unit: str) -> str:
    return message("{number} {unit}", number=format_number(value, 2), unit=unit)


def measure(app: App[Services]) -> list[ft.Control]:
    """Draw the form, new or for the measure that the route's ``id`` names."""
    return of_entry(app, "measure", lambda old: _form(app, old), "/measures")


def _form(app: App[Services], old: Entry | None) -> list[ft.Control]:
    services = app.services
    known = by_name(measures_of(services.record.alive))
    offered: dict[str, tuple[str, bool, float | None]] = {
        name: (unit, lower, None) for name, unit, lower in USUAL_MEASURES
    }
    offered |= {n: (g[-1].unit, g[-1].lower_is_better, g[-1].goal) for n, g in known.items()}
    now = services.now_there(old)
    payload: dict[str, Any] = dict(old.payload) if old else {}
    # A goal for each name: the one that stands is offered again, and can be changed.
    goals = {f"goal {name}": "" if goal is None else format_number(goal, 4)
             for name, (_, _, goal) in offered.items()}  # fmt: skip
    if old is not None and "goal" in payload:
        goals[f"goal {payload['name']}"] = format_number(payload["goal"], 4)
    form = Form(app, f"measure:{app.query.get('id', '')}", goals | {
        "which": payload.get("name", ""), "name": "", "unit": "", "better": "higher",
        "value": format_number(payload["value"], 4) if old else "",
        "day": (old.at if old else now).date().isoformat(),
        "note": payload.get("note", ""),
    })  # fmt: skip
    which = form.text("which")
    if not which:
        form.fail("which", message("Tap what was measured."))
    name, (unit, lower, _) = which, offered.get(which, ("", False, None))
    if which == _OTHER:
        name = form.read("name", str, needed=message("Write what was measured.")) or ""
        unit = form.read("unit", str, needed=message("Write the unit, like s or m.")) or ""
        lower = form.text("better") == "lower"
    value = form.read("value", _number, needed=message("Write the number."))
    goal_field = f"goal {which}"
    goal = form.read(goal_field, _number)
    day = form.day("day", needed=message("Write the day, like 26 Feb 2026."))
    if day is not None and day > now.date():
        form.fail("day", message("This is still to come: write a day up to today."))

    def save() -> None:
        assert day is not None  # a form without trouble has a day
        kept: dict[str, Any] = {"name": name, "value": value, "unit": unit,
                                "lower_is_better": lower}  # fmt: skip
        if goal is not None:
            kept["goal"] = goal
        if form.text("note").strip():
            kept["note"] = form.text("note").strip()
        at = min(now, now.replace(year=day.year, month=day.month, day=day.day))
        if old is not None and day == old.at.date():
            at = old.at
        entry = services.save("measure", at, kept, old.id if old else "")
        form.clear()
        app.go("/measures")
        app.say(message("The measure is saved."), undo=undo_of(app, entry.id))

    controls: list[ft.Control] = [
        choice(message("What was measured?"),
               [*((n, measure_words(n)) for n in offered),
                (_OTHER, message("Something else"))],
               which, form.typed("which"), error=form.error("which")),
    ]  # fmt: skip
    if which == _OTHER:
        controls += [
            text_field(
                message("Name"), form.text("name"), form.typed("name"), error=form.error("name")
            ),
            text_field(
                message("Unit"), form.text("unit"), form.typed("unit"), error=form.error("unit")
            ),
            choice(
                message("Which way is better?"), _BETTER, form.text("better"), form.typed("better")
            ),
        ]
    controls += [
        stepper(message("Value"), form.text("value"), form.typed("value"), unit=unit, least="0",
                error=form.error("value")),
        stepper(message("Goal"), form.text(goal_field), form.typed(goal_field), unit=unit,
                least="0", helper=message("May stay empty."), error=form.error(goal_field)),
        date_field(message("Day"), form.text("day"), form.typed("day"), today=now.date(),
                   error=form.error("day")),
        text_field(message("Note"), form.text("note"), form.typed("note"), lines=2),
        *form.save_button(message("Save the measure"), save),
    ]  # fmt: skip
    if old is not None:
        controls.append(remove_button(app, old.id, "measure", "/measures"))
    return controls


def _number(text: str) -> float:
    number = parse_number(text, "")
    if abs(number) > 1e6:
        raise InputError(message("This number is too large: look at it again."))
    return number
