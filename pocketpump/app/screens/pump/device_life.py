"""The pump's own life: how old it is, and when its replacement must be planned."""

import flet as ft

from pocketpump.app.forms.fields import Day, Whole
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, card, fact_row, notice, section
from pocketpump.app.screens.link import link
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import localized_number, message, plural_message
from pocketpump.core.pump.device_life import (
    DAYS_AFTER_NOTICE,
    LIFE_YEARS,
    MEAN_MONTHS_IN_ONE_SERIES,
    PLAN_MONTHS_AHEAD,
    DeviceLife,
    device_life,
)
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.charts.days import month_and_year
from pocketpump.record.facts.card_facts import care_of, readings_of

_FIELDS = (
    Whole("months_left", message("Months left"), unit=message("months"),
          helper=message("Some printouts say how many months the pump itself has left.")),
    Day("notice_on", message("Day of the replacement notice"),
        helper=message("Only if the clinic says the pump has given it.")),
)  # fmt: skip


def life_of(services: Services) -> DeviceLife | None:
    """Return the life of the pump in this record, today."""
    entries, now = services.record.alive, services.now()
    return device_life(care_of(entries, now).implanted_on, readings_of(entries), now.date())


def near_sentence(life: DeviceLife | None) -> str:
    """Return what Today says about the pump's own end; "" while it is far off."""
    if life is None or not life.is_near:
        return ""
    if life.because == "replacement notice":
        if life.days_left <= 0:
            return message(
                "The pump gave its replacement notice: its time is up. Call the clinic now."
            )
        return plural_message(
            "The pump gave its replacement notice: about {count} day is left. Call the clinic now.",
            "The pump gave its replacement notice: about {count} days are left. Call the clinic"
            " now.",
            life.days_left,
        )
    # A day that is past is told as past, not as a task for it.
    if life.days_left <= 0:
        return message(
            "By these numbers the pump itself could end any day now: it has been possible since"
            " {day}. Ask the clinic today about its replacement.",
            day=date_text(life.ends_by),
        )
    if life.plan_by < life.today:
        return message(
            "The pump itself is getting old: its replacement should be planned by now. Ask the"
            " clinic; the pump could end from {day}.",
            day=date_text(life.ends_by),
        )
    return message(
        "The pump itself is getting old: ask the clinic to plan its replacement by {day}.",
        day=date_text(life.plan_by),
    )


def device(app: App[Services]) -> list[ft.Control]:
    """Draw what is known of the pump's life, and the form for what the clinic read."""
    services = app.services
    life = life_of(services)
    form = Form(app, "device", {}, fields=_FIELDS, kind="device")
    today = services.now().date()
    payload = form.payload()
    notice_on = form.answer("notice_on")
    if notice_on is not None and notice_on > today:
        form.fail("notice_on", message("This day is still to come: write the day of the notice."))
    if not payload:
        form.fail("months_left", message("Write the months left, or the day of the notice."))

    def save() -> None:
        entry = services.save("device", services.now(), payload)
        form.clear()
        say_with_undo(app, message("What the clinic read is saved."), entry.id)

    return [
        *_known(app, life),
        section(message("What the clinic read last")),
        *(form.ask(field.name, today) for field in _FIELDS),
        *form.save_button(message("Save the reading"), save),
    ]


def _known(app: App[Services], life: DeviceLife | None) -> list[ft.Control]:
    if life is None:
        return [
            body(
                message(
                    "Nothing is known yet. Write the implant date under the pump, or a reading"
                    " here."
                )
            ),
            link(app, message("The pump"), "/pump"),
        ]
    controls: list[ft.Control] = []
    if near_sentence(life):
        controls.append(notice(near_sentence(life), needs_you=True, key="near"))
    rows = []
    if life.implanted_on and life.life_from and life.life_to:
        rows.append(fact_row(message("Implanted on"), date_text(life.implanted_on)))
        low, high = LIFE_YEARS
        rows.append(
            fact_row(
                message("Usual end"),
                message(
                    "{earliest} to {latest}",
                    earliest=month_and_year(life.life_from),
                    latest=month_and_year(life.life_to),
                ),
                note=message("{low} to {high} years, by how fast it pumps", low=low, high=high),
            )
        )
    if life.reading is not None and life.reading.months_left is not None:
        rows.append(
            fact_row(
                message("Read by the clinic"),
                message(
                    "{months} months left", months=localized_number(f"{life.reading.months_left:g}")
                ),
                # Note: the day of the reading.
                note=message("on {day}", day=date_text(life.reading.read_on)),
            )
        )
    # Note: the answer to "Plan the replacement by".
    plan_by = date_text(life.plan_by) if life.plan_by >= life.today else message("now")
    rows.append(fact_row(message("Plan the replacement by"), plan_by))
    rows.append(fact_row(message("Could end from"), date_text(life.ends_by), note=life.because))
    controls.append(card(rows))
    controls.append(
        app.explain(
            "device",
            [
                (
                    message("Usual life"),
                    message(
                        "{low} to {high} years by rate is our own default: ask your clinic. One"
                        " series had a mean of {months} months.",
                        low=LIFE_YEARS[0],
                        high=LIFE_YEARS[1],
                        months=MEAN_MONTHS_IN_ONE_SERIES,
                    ),
                ),
                (
                    message("After the notice"),
                    message(
                        "{days} days is our own default: ask your clinic how long yours"
                        " lasts then.",
                        days=DAYS_AFTER_NOTICE,
                    ),
                ),
                (
                    message("Plan by"),
                    message(
                        "At least {months} months ahead (Boster 2016). The notice counts before"
                        " the clinic's reading, and that before the usual life.",
                        months=PLAN_MONTHS_AHEAD,
                    ),
                ),
            ],
        )
    )
    return controls
