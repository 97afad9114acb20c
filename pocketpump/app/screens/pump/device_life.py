"""The pump's own life: how old it is, and when its replacement must be planned."""

from typing import Any

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import (
    body,
    card,
    date_field,
    fact_row,
    notice,
    quiet_button,
    section,
    stepper,
)
from pocketpump.app.screens.undo import undo_of
from pocketpump.app.services import Notebook
from pocketpump.app.shared_texts import month_and_year
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import number_said, worded, worded_count
from pocketpump.core.pump.device_life import (
    DAYS_AFTER_NOTICE,
    LIFE_YEARS,
    MEAN_MONTHS_IN_ONE_SERIES,
    PLAN_MONTHS_AHEAD,
    DeviceLife,
    device_life,
)
from pocketpump.core.units.instants import date_text
from pocketpump.record.facts.card_facts import care_of, readings_of


def life_of(notebook: Notebook) -> DeviceLife | None:
    """Return the life of the pump in this record, today."""
    entries, now = notebook.record.alive, notebook.now()
    return device_life(care_of(entries, now).implanted_on, readings_of(entries), now.date())


def near_sentence(life: DeviceLife | None) -> str:
    """Return what Today says about the pump's own end; "" while it is far off."""
    if life is None or not life.is_near:
        return ""
    if life.because == "replacement notice":
        if life.days_left <= 0:
            return worded(
                "The pump gave its replacement notice: its time is up. Call the clinic now."
            )
        return worded_count(
            "The pump gave its replacement notice: about {count} day is left. Call the clinic now.",
            "The pump gave its replacement notice: about {count} days are left. Call the clinic"
            " now.",
            life.days_left,
        )
    # A day that is past is told as past, not as a task for it.
    if life.days_left <= 0:
        return worded(
            "By these numbers the pump itself could end any day now: it has been possible since"
            " {day}. Ask the clinic today about its replacement.",
            day=date_text(life.ends_by),
        )
    if life.plan_by < life.today:
        return worded(
            "The pump itself is getting old: its replacement should be planned by now. Ask the"
            " clinic; the pump could end from {day}.",
            day=date_text(life.ends_by),
        )
    return worded(
        "The pump itself is getting old: ask the clinic to plan its replacement by {day}.",
        day=date_text(life.plan_by),
    )


def device(app: App[Notebook]) -> list[ft.Control]:
    """Draw what is known of the pump's life, and the form for what the clinic read."""
    notebook = app.services
    life = life_of(notebook)
    form = Form(app, "device", {})
    today = notebook.now().date()
    months = form.whole("months_left", 0, 240)
    notice_on = form.day("notice_on")
    if notice_on is not None and notice_on > today:
        form.fail("notice_on", worded("This day is still to come: write the day of the notice."))
    if months is None and notice_on is None:
        form.fail("months_left", worded("Write the months left, or the day of the notice."))

    def save() -> None:
        payload: dict[str, Any] = {
            "months_left": months,
            "notice_on": notice_on.isoformat() if notice_on else None,
        }
        entry = notebook.save("device", notebook.now(), payload)
        form.clear()
        app.say(worded("What the clinic read is saved."), undo=undo_of(app, entry.id))

    return [
        *_known(app, life),
        section(worded("What the clinic read last")),
        stepper(worded("Months left"), form.text("months_left"), form.typed("months_left"),
                unit=worded("months"), least="0", error=form.error("months_left"),
                helper=worded("Some printouts say how many months the pump itself has left.")),
        date_field(worded("Day of the replacement notice"), form.text("notice_on"),
                   form.typed("notice_on"), today=today, error=form.error("notice_on"),
                   helper=worded("Only if the clinic says the pump has given it.")),
        *form.save_button(worded("Save the reading"), save),
    ]  # fmt: skip


def _known(app: App[Notebook], life: DeviceLife | None) -> list[ft.Control]:
    if life is None:
        return [
            body(
                worded(
                    "Nothing is known yet. Write the implant date under the pump, or a reading"
                    " here."
                )
            ),
            quiet_button(worded("The pump"), lambda: app.go("/pump")),
        ]
    controls: list[ft.Control] = []
    if near_sentence(life):
        controls.append(notice(near_sentence(life), needs_you=True, key="near"))
    rows = []
    if life.implanted_on and life.life_from and life.life_to:
        rows.append(fact_row(worded("Implanted on"), date_text(life.implanted_on)))
        low, high = LIFE_YEARS
        rows.append(
            fact_row(
                worded("Usual end"),
                worded(
                    "{earliest} to {latest}",
                    earliest=month_and_year(life.life_from),
                    latest=month_and_year(life.life_to),
                ),
                note=worded("{low} to {high} years, by how fast it pumps", low=low, high=high),
            )
        )
    if life.reading is not None and life.reading.months_left is not None:
        rows.append(
            fact_row(
                worded("Read by the clinic"),
                worded("{months} months left", months=number_said(f"{life.reading.months_left:g}")),
                # Note: the day of the reading.
                note=worded("on {day}", day=date_text(life.reading.read_on)),
            )
        )
    # Note: the answer to "Plan the replacement by".
    plan_by = date_text(life.plan_by) if life.plan_by >= life.today else worded("now")
    rows.append(fact_row(worded("Plan the replacement by"), plan_by))
    rows.append(fact_row(worded("Could end from"), date_text(life.ends_by), note=life.because))
    controls.append(card(rows))
    controls.append(
        app.explain(
            "device",
            [
                (
                    worded("Usual life"),
                    worded(
                        "{low} to {high} years by rate is our own default: ask your clinic. One"
                        " series had a mean of {months} months.",
                        low=LIFE_YEARS[0],
                        high=LIFE_YEARS[1],
                        months=MEAN_MONTHS_IN_ONE_SERIES,
                    ),
                ),
                (
                    worded("After the notice"),
                    worded(
                        "{days} days is our own default: ask your clinic how long yours"
                        " lasts then.",
                        days=DAYS_AFTER_NOTICE,
                    ),
                ),
                (
                    worded("Plan by"),
                    worded(
                        "At least {months} months ahead (Boster 2016). The notice counts before"
                        " the clinic's reading, and that before the usual life.",
                        months=PLAN_MONTHS_AHEAD,
                    ),
                ),
            ],
        )
    )
    return controls
