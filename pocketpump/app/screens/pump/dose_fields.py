"""The fields of each delivery mode, and the programme they make."""

from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Amount, Choice, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, quiet_button, stepper, text_field
from pocketpump.app.screens.pump.bolus_fields import (
    BOLUS_FIELDS,
    EXACT_PLACES,
    NO_BOLUSES,
    bolus_fields,
    bolus_texts,
    exact_text,
    read_boluses,
)
from pocketpump.app.services import Services
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message, text_in
from pocketpump.core.pump.programme import Programme, RateStep, constant_rate, day_pattern, stopped
from pocketpump.core.pump.programme_payload import programme_from_payload
from pocketpump.core.pump.programme_text import (
    clock_text,
    describe_programme,
    parse_pattern,
    with_boluses,
)
from pocketpump.core.units.quantity import DOSE, HOURLY_RATE, parse_quantity
from pocketpump.core.units.typed_dates import read_time
from pocketpump.record import Entry

# As it is typed, which is the same in every language.
_EXAMPLE = "Mon-Fri: 00:00 15 mcg/h, 06:00 10 mcg/h; Sat-Sun: 00:00 12 mcg/h"
DOSE_FIELDS = (
    Choice("mode", message("How does the pump deliver?"),
           options=(("constant rate", message("Constant rate: the same all day")),
                    ("day pattern", message("Day pattern: different by the hour")),
                    ("stopped", message("Stopped")))),
    Amount("dose", message("Daily dose"), dimension=DOSE, step="10", places=EXACT_PLACES,
           above_zero=True, needed=message("Write the daily dose, like 200 mcg/day."),
           helper=message("You may write it like 0.2 mg/day. Boluses come on top.")),
    Choice("days", message("Which days?"),
           options=(("same", message("The same every day")),
                    ("weekdays", message("Different on some days")))),
    Words("weekdays", message("The pattern of each day"), lines=4, reader=parse_pattern,
          needed=message("Write the pattern of each day."),
          helper=message("By the pump's clock, like {example}", example=_EXAMPLE)),
    *BOLUS_FIELDS,
)  # fmt: skip
_MOST_STEPS = 12


def mode_fields(form: Form) -> list[ft.Control]:
    """Draw the choice of the background, its fields, and the boluses over it."""
    controls = [form.ask("mode")]
    if form.text("mode") == "stopped":
        return controls
    controls += _pattern_fields(form) if form.text("mode") == "day pattern" else [form.ask("dose")]
    return controls + bolus_fields(form)


def read_programme(form: Form) -> Programme | None:
    """Return the programme the fields make; None, with the error noted, if they do not."""
    if form.text("mode") == "stopped":
        return stopped()
    background: Programme | None
    if form.text("mode") != "day pattern":
        dose = form.answer("dose")
        background = None if dose is None else constant_rate(dose)
    elif form.text("days") == "weekdays":
        background = form.answer("weekdays")
    else:
        background = _read_pattern(form)
    boluses = read_boluses(form)
    if background is None or boluses is None:
        return None
    return with_boluses(background, *boluses)


def defaults(services: Services, old: Entry | None) -> dict[str, Any]:
    """Return what the form begins with: the setting corrected, or the mode used last."""
    now = services.now()
    texts: dict[str, Any] = {
        "mode": "constant rate", "days": "same", **NO_BOLUSES,
        "day": now.date().isoformat(), "time": f"{now:%H:%M}", "from": "day",
        "clock": "", "clock_now": str(now.hour * 60 + now.minute),
        "steps": [("00:00", ""), ("", "")],
    }  # fmt: skip
    shown = old or services.newest("programme")
    if shown is None:
        # The very first setting is as a rule the one the last refill was made with.
        return texts | {"from": "refill"}
    try:
        programme = programme_from_payload(shown.payload["programme"])  # type: ignore[arg-type]
    except InputError:
        return texts
    texts |= _texts_of(programme)
    if old is not None:
        texts["offset"] = str(programme.clock_offset_minutes)
        at = old.at.astimezone(services.zone)
        texts |= {"day": at.date().isoformat(), "time": f"{at:%H:%M}"}
        texts |= {field: old.payload.get(field) for field in ("note", "printed_alarm_on")}
    return texts


def _texts_of(programme: Programme) -> dict[str, Any]:
    # A background that varies is a pattern whatever boluses stand over it.
    day = programme.days[0]
    even = len({step.rate_mcg_per_hour for d in programme.days for step in d}) == 1
    texts: dict[str, Any] = {"mode": "constant rate" if even else "day pattern"}
    if programme.mode == "stopped":
        return {"mode": "stopped"}
    if even:
        texts["dose"] = programme.background_mcg_per_day
    else:
        texts["steps"] = [
            (clock_text(step.start_minute), exact_text(step.rate_mcg_per_hour)) for step in day
        ]
        texts["days"] = "same" if all(d == day for d in programme.days) else "weekdays"
        # As it is typed and read back, which is the same in every language.
        texts["weekdays"] = text_in(
            describe_programme(with_boluses(programme, (), None), places=EXACT_PLACES), None
        )
    return texts | bolus_texts(programme)


def _pattern_fields(form: Form) -> list[ft.Control]:
    controls = [form.ask("days")]
    if form.text("days") == "weekdays":
        return [*controls, form.ask("weekdays")]
    steps: list[tuple[str, str]] = list(form.value("steps"))
    controls.append(
        body(message("From each time on, by the pump's clock, the pump runs at the rate."))
    )

    for index, step in enumerate(steps):
        controls += _step_fields(form, index, step)
    if len(steps) < _MOST_STEPS:
        controls.append(
            quiet_button(message("Add another time"), lambda: form.put("steps", [*steps, ("", "")]),
                         icon=ft.Icons.ADD)
        )  # fmt: skip
    if len(steps) > 1:
        controls.append(
            quiet_button(
                message("Take away time {number}", number=len(steps)),
                lambda: form.put("steps", steps[:-1]),
            )
        )
    return controls


def _step_fields(form: Form, index: int, step: tuple[str, str]) -> list[ft.Control]:
    def change(clock: str | None = None, rate: str | None = None) -> None:
        rows: list[tuple[str, str]] = list(form.value("steps"))
        now_clock, now_rate = rows[index]
        rows[index] = (now_clock if clock is None else clock, now_rate if rate is None else rate)
        form.put("steps", rows)

    clock, rate = step
    return [
        text_field(message("Time {number}", number=index + 1), clock,
                   lambda text: change(clock=text), keyboard=ft.KeyboardType.DATETIME,
                   error=form.error(f"time{index}")),
        stepper(message("Rate {number}", number=index + 1), rate, lambda text: change(rate=text),
                unit="mcg/h", least="0", error=form.error(f"rate{index}")),
    ]  # fmt: skip


def _read_pattern(form: Form) -> Programme | None:
    steps: list[RateStep] = []
    rows = form.value("steps")
    for index, (clock, rate) in enumerate(rows):
        try:
            at = read_time(clock)
        except InputError as error:
            form.fail(f"time{index}", str(error))
            continue
        try:
            value = parse_quantity(rate, HOURLY_RATE, bare_unit="mcg/h")
        except InputError as error:
            form.fail(f"rate{index}", str(error))
            continue
        minute = at.hour * 60 + at.minute
        if any(step.start_minute == minute for step in steps):
            form.fail(
                f"time{index}", message("This time is there already: give each time one rate.")
            )
        steps.append(RateStep(minute, value))
    if len(steps) < len(rows) or len({step.start_minute for step in steps}) < len(steps):
        # What is wrong was said beside the row it belongs to; the rest alone means nothing.
        return None
    return day_pattern([steps])
