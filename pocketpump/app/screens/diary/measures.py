"""Measures and goals: a timed walk, a distance, own goals, with their milestones."""

from dataclasses import replace
from functools import partial
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Choice, Day, Number, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import big_button, body, card, chart_picture, fact_row, section
from pocketpump.app.screens.editing import of_entry
from pocketpump.app.screens.link import link
from pocketpump.app.screens.list_row import row
from pocketpump.app.screens.undo import remove_button, say_with_undo
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
from pocketpump.exchange.charts.days import measure_chart
from pocketpump.record import Entry
from pocketpump.record.facts.diary import measures_of

_OTHER = "other"


def _number(text: str) -> float:
    number = parse_number(text, "")
    if abs(number) > 1e6:
        raise InputError(message("This number is too large: look at it again."))
    return number


_FIELDS = (
    Choice("which", message("What was measured?"), options=(),
           needed=message("Tap what was measured.")),
    Words("name", message("Name"), needed=message("Write what was measured.")),
    Words("unit", message("Unit"), needed=message("Write the unit, like s or m.")),
    Choice("better", message("Which way is better?"), options=(
        ("lower", message("Lower is better")), ("higher", message("Higher is better")))),
    Number("value", message("Value"), reader=_number, needed=message("Write the number.")),
    Day("day", message("Day"), needed=message("Write the day, like 26 Feb 2026.")),
    Words("note", message("Note"), lines=2),
)  # fmt: skip
_GOAL = Number("goal", message("Goal"), reader=_number, helper=message("May stay empty."))


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
    spoken = plural_message(
        "{name}: {count} values, the last {value}.",
        "{name}: {count} values, the last {value}.",
        len(group),
        name=measure_words(name),
        value=_value(last),
    )
    rows: list[ft.Control] = [
        section(measure_words(name)),
        chart_picture(
            measure_chart(group, spoken), width=app.content_width - 40, height=130, scale=app.scale
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
        link(app, message("Correct the last one"), f"/measure?id={last.id}",
             ft.Icons.EDIT_OUTLINED, key=f"correct:{last.id}")
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
    goals = {name: goal for name, (_, _, goal) in offered.items()}
    if "goal" in payload:
        goals[payload["name"]] = payload["goal"]
    form = Form(app, f"measure:{app.query.get('id', '')}", {
        **{f"goal {name}": _GOAL.text(goal) for name, goal in goals.items()},
        "which": payload.get("name"), "better": "higher", "value": payload.get("value"),
        "day": (old.at if old else now).date(), "note": payload.get("note"),
    }, fields=_FIELDS)  # fmt: skip
    which = form.text("which")
    options = [*((n, measure_words(n)) for n in offered), (_OTHER, message("Something else"))]
    controls = [form.ask("which", options=options)]
    name, (unit, lower, _) = which, offered.get(which, ("", False, None))
    if which == _OTHER:
        controls += [form.ask("name"), form.ask("unit"), form.ask("better")]
        name, unit = form.answer("name"), form.answer("unit") or ""
        lower = form.answer("better") == "lower"
    controls.append(form.ask("value", unit=unit))
    goal_field = replace(_GOAL, name=f"goal {which}", unit=unit)
    goal = goal_field.read(form)
    day = form.answer("day")
    if day is not None and day > now.date():
        form.fail("day", message("This is still to come: write a day up to today."))

    def save() -> None:
        kept = form.payload("value", "note")
        kept |= {"name": name, "unit": unit, "lower_is_better": lower}
        if goal is not None:
            kept["goal"] = goal
        at = min(now, now.replace(year=day.year, month=day.month, day=day.day))
        if old is not None and day == old.at.date():
            at = old.at
        entry = services.save("measure", at, kept, old.id if old else "")
        form.clear()
        app.go("/measures")
        say_with_undo(app, message("The measure is saved."), entry.id)

    controls += [
        goal_field.draw(form),
        form.ask("day", now.date()),
        form.ask("note"),
        *form.save_button(message("Save the measure"), save),
    ]
    if old is not None:
        controls.append(remove_button(app, old.id, "measure", "/measures"))
    return controls
