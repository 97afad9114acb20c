"""The pump's own life: how old it is, and when its replacement must be planned."""

from typing import Any

import flet as ft

from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
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
from pocketpump.app.screens.taking_back import undo_of
from pocketpump.app.shell import App
from pocketpump.core.device import (
    DAYS_AFTER_NOTICE,
    LIFE_YEARS,
    MEAN_MONTHS_IN_ONE_SERIES,
    PLAN_MONTHS_AHEAD,
    DeviceLife,
    device_life,
)
from pocketpump.core.instants import date_text
from pocketpump.record.care import care_of, readings_of


def life_of(notebook: Notebook) -> DeviceLife | None:
    """Return the life of the pump in this record, today."""
    entries, now = notebook.record.alive, notebook.now()
    return device_life(care_of(entries, now).implanted_on, readings_of(entries), now.date())


def near_sentence(life: DeviceLife | None) -> str:
    """Return what Today says about the pump's own end; "" while it is far off."""
    if life is None or not life.is_near:
        return ""
    if life.because == "replacement notice":
        left = f"about {life.days_left} days are left" if life.days_left > 0 else "its time is up"
        return f"The pump gave its replacement notice: {left}. Call the clinic now."
    # A day that is past is told as past, not as a task for it.
    if life.days_left <= 0:
        return (
            "By these numbers the pump itself could end any day now: it has been possible since"
            f" {date_text(life.ends_by)}. Ask the clinic today about its replacement."
        )
    if life.plan_by < life.today:
        return (
            "The pump itself is getting old: its replacement should be planned by now. Ask the"
            f" clinic; the pump could end from {date_text(life.ends_by)}."
        )
    return (
        f"The pump itself is getting old: ask the clinic to plan its replacement by"
        f" {date_text(life.plan_by)}."
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
        form.fail("notice_on", "This day is still to come: write the day of the notice.")
    if months is None and notice_on is None:
        form.fail("months_left", "Write the months left, or the day of the notice.")

    def save() -> None:
        payload: dict[str, Any] = {
            "months_left": months,
            "notice_on": notice_on.isoformat() if notice_on else None,
        }
        entry = notebook.save("device", notebook.now(), payload)
        form.clear()
        app.say("What the clinic read is saved.", undo=undo_of(app, entry.id))

    return [
        *_known(app, life),
        section("What the clinic read last"),
        stepper("Months left", form.text("months_left"), form.typed("months_left"),
                unit="months", least="0", error=form.error("months_left"),
                helper="Some printouts say how many months the pump itself has left."),
        date_field("Day of the replacement notice", form.text("notice_on"),
                   form.typed("notice_on"), today=today, error=form.error("notice_on"),
                   helper="Only if the clinic says the pump has given it."),
        *form.save_button("Save the reading", save),
    ]  # fmt: skip


def _known(app: App[Notebook], life: DeviceLife | None) -> list[ft.Control]:
    if life is None:
        return [
            body("Nothing is known yet. Write the implant date under the pump, or a reading here."),
            quiet_button("The pump", lambda: app.go("/pump")),
        ]
    controls: list[ft.Control] = []
    if near_sentence(life):
        controls.append(notice(near_sentence(life), needs_you=True, key="near"))
    rows = []
    if life.implanted_on and life.life_from and life.life_to:
        rows.append(fact_row("Implanted on", date_text(life.implanted_on)))
        low, high = LIFE_YEARS
        rows.append(
            fact_row("Usual end", f"{life.life_from:%b %Y} to {life.life_to:%b %Y}",
                     note=f"{low} to {high} years, by how fast it pumps")
        )  # fmt: skip
    if life.reading is not None and life.reading.months_left is not None:
        rows.append(
            fact_row("Read by the clinic", f"{life.reading.months_left:g} months left",
                     note=f"on {date_text(life.reading.read_on)}")
        )  # fmt: skip
    plan_by = date_text(life.plan_by) if life.plan_by >= life.today else "now"
    rows.append(fact_row("Plan the replacement by", plan_by))
    rows.append(fact_row("Could end from", date_text(life.ends_by), note=life.because))
    controls.append(card(rows))
    controls.append(
        app.explain(
            "device",
            [
                ("Usual life", f"{LIFE_YEARS[0]} to {LIFE_YEARS[1]} years by rate (common"
                 f" practice); a mean of {MEAN_MONTHS_IN_ONE_SERIES} months in one series."),
                ("After the notice", f"About {DAYS_AFTER_NOTICE} days (common practice)."),
                ("Plan by", f"At least {PLAN_MONTHS_AHEAD} months ahead (Boster 2016). The"
                 f" notice counts before the clinic's reading, and that before the usual life."),
            ],
        )
    )  # fmt: skip
    return controls
