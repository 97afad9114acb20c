"""The fields of each delivery mode, and the programme they make."""

from typing import Any

import flet as ft

from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, choice, quiet_button, stepper, text_field
from pocketpump.core.days import read_time
from pocketpump.core.errors import InputError
from pocketpump.core.pattern import (
    Programme,
    RateStep,
    RequestedBolus,
    TimedBolus,
    constant_rate,
    day_pattern,
    stopped,
)
from pocketpump.core.programme_text import (
    clock_text,
    describe_programme,
    parse_pattern,
    parse_timed_bolus,
    programme_from_payload,
    with_boluses,
)
from pocketpump.core.quantity import AMOUNT, DOSE, HOURLY_RATE, format_number, parse_quantity
from pocketpump.record import Entry

BACKGROUNDS = (
    ("constant rate", "Constant rate: the same all day"),
    ("day pattern", "Day pattern: different by the hour"),
    ("stopped", "Stopped"),
)
_YES_NO = (("no", "No"), ("yes", "Yes"))
_DAYS = (("same", "The same every day"), ("weekdays", "Different on some days"))
FROM_CHOICES = (("refill", "Since the last refill"), ("day", "Since another day"))
_MOST_STEPS = 12
# What is filled in again must be what was entered, to the last digit of any printout.
_EXACT_PLACES = 6
_NO_TIMES = "Write times or a number."
_NO_DOSE = "Write the daily dose, like 200 mcg/day."


def mode_fields(form: Form) -> list[ft.Control]:
    """Draw the choice of the background, its fields, and the boluses over it."""
    background = form.text("mode")
    controls: list[ft.Control] = [
        choice("How does the pump deliver?", BACKGROUNDS, background, form.typed("mode"))
    ]
    if background == "stopped":
        return controls
    if background == "day pattern":
        controls += _pattern_fields(form)
    else:
        controls.append(
            stepper("Daily dose", form.text("dose"), form.typed("dose"), unit="mcg/day", step="10",
                    least="0", helper="You may write it like 0.2 mg/day. Boluses come on top.",
                    error=form.error("dose"))
        )  # fmt: skip
    return controls + _timed_fields(form) + _requested_fields(form)


def read_programme(form: Form) -> Programme | None:
    """Return the programme the fields make; None, with the trouble noted, if they do not."""
    if form.text("mode") == "stopped":
        return stopped()
    if form.text("mode") == "day pattern":
        background = _read_pattern(form)
    else:
        dose = form.amount("dose", DOSE, needed=_NO_DOSE, above_zero=True)
        background = None if dose is None else constant_rate(dose)
    timed: tuple[TimedBolus, ...] = ()
    complete = background is not None
    if form.text("timed") == "yes":
        bolus = _read_timed(form)
        complete, timed = complete and bolus is not None, (bolus,) if bolus else ()
    requested = None
    if form.text("requested") == "yes":
        requested = _read_requested(form)
        complete = complete and requested is not None
    if background is None or not complete:
        return None
    return with_boluses(background, timed, requested)


def daily_sum(programme: Programme | None) -> str:
    """Return what the programme comes to in a day, in words; "" for none."""
    if programme is None or programme.mode == "stopped":
        return ""
    text = f"That is {format_number(programme.dose_mcg_per_day, 1)} mcg a day"
    return text + (", with every requested bolus." if programme.requested else ".")


def defaults(notebook: Notebook, old: Entry | None) -> dict[str, Any]:
    """Return what the form begins with: the setting corrected, or the mode used last."""
    now = notebook.now()
    texts: dict[str, Any] = {
        "mode": "constant rate", "days": "same", "most": "4", "timed": "no", "requested": "no",
        "day": now.date().isoformat(), "time": f"{now:%H:%M}", "from": "day",
        "clock": "", "clock_now": str(now.hour * 60 + now.minute), "note": "",
        "steps": [("00:00", ""), ("", "")],
    }  # fmt: skip
    shown = old or notebook.newest("programme")
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
        at = old.at.astimezone(notebook.zone)
        texts |= {"day": at.date().isoformat(), "time": f"{at:%H:%M}"}
        texts["note"] = str(old.payload.get("note", ""))
        texts["printed_alarm_on"] = str(old.payload.get("printed_alarm_on", ""))
    return texts


def _texts_of(programme: Programme) -> dict[str, Any]:
    # A background that varies is a pattern whatever boluses stand over it.
    day = programme.days[0]
    even = len({step.rate_mcg_per_hour for d in programme.days for step in d}) == 1
    texts: dict[str, Any] = {"mode": "constant rate" if even else "day pattern"}
    if programme.mode == "stopped":
        return {"mode": "stopped"}
    if even:
        texts["dose"] = _exact(programme.background_mcg_per_day)
    else:
        texts["steps"] = [
            (clock_text(step.start_minute), _exact(step.rate_mcg_per_hour)) for step in day
        ]
        texts["days"] = "same" if all(d == day for d in programme.days) else "weekdays"
        texts["weekdays"] = describe_programme(
            with_boluses(programme, (), None), places=_EXACT_PLACES
        )
    for bolus in programme.timed[:1]:
        texts["timed"] = "yes"
        texts["timed amount"] = _exact(bolus.amount_mcg)
        clocks = ", ".join(clock_text(minute) for minute in bolus.start_minutes)
        texts["times"] = clocks or str(bolus.per_day)
    if programme.requested:
        texts["requested"] = "yes"
        texts["requested amount"] = _exact(programme.requested.amount_mcg)
        texts["most"] = str(programme.requested.max_per_day)
    return texts


def _exact(value: float) -> str:
    return format_number(value, _EXACT_PLACES)


def _timed_fields(form: Form) -> list[ft.Control]:
    controls: list[ft.Control] = [
        choice("Are there timed boluses too?", _YES_NO, form.text("timed"), form.typed("timed"),
               in_row=True)
    ]  # fmt: skip
    if form.text("timed") == "yes":
        controls += [
            _amount(form, "timed amount", "Each timed bolus"),
            text_field("When, or how many a day", form.text("times"), form.typed("times"),
                       helper="Times by the pump's clock like 08:00, 14:00 or only a number"
                       " like 4.", error=form.error("times")),
        ]  # fmt: skip
    return controls


def _requested_fields(form: Form) -> list[ft.Control]:
    controls: list[ft.Control] = [
        choice("May you ask for a bolus?", _YES_NO, form.text("requested"),
               form.typed("requested"), in_row=True)
    ]  # fmt: skip
    if form.text("requested") == "yes":
        controls += [
            _amount(form, "requested amount", "Each requested bolus"),
            stepper("At most, a day", form.text("most"), form.typed("most"), least="1",
                    error=form.error("most")),
        ]  # fmt: skip
    return controls


def _amount(form: Form, field: str, label: str) -> ft.Control:
    return stepper(label, form.text(field), form.typed(field), unit="mcg", step="5", least="0",
                   error=form.error(field))  # fmt: skip


def _read_timed(form: Form) -> TimedBolus | None:
    amount = form.amount("timed amount", AMOUNT, needed="Write the bolus, like 45 mcg.",
                         above_zero=True)  # fmt: skip
    timed = form.read("times", lambda text: _timed(amount or 1.0, text), needed=_NO_TIMES)
    return None if amount is None else timed


def _read_requested(form: Form) -> RequestedBolus | None:
    amount = form.amount("requested amount", AMOUNT, needed="Write the bolus, like 25 mcg.",
                         above_zero=True)  # fmt: skip
    most = form.whole("most", 1, 48, needed="Write how many boluses you may ask for a day.")
    return None if amount is None or most is None else RequestedBolus(amount, most)


def _pattern_fields(form: Form) -> list[ft.Control]:
    controls: list[ft.Control] = [
        choice("Which days?", _DAYS, form.text("days"), form.typed("days"))
    ]
    if form.text("days") == "weekdays":
        controls.append(
            text_field(
                "The pattern of each day", form.text("weekdays"), form.typed("weekdays"), lines=4,
                helper="By the pump's clock, like Mon-Fri: 00:00 15 mcg/h, 06:00 10 mcg/h;"
                " Sat-Sun: 00:00 12 mcg/h",
                error=form.error("weekdays"),
            )
        )  # fmt: skip
        return controls
    steps: list[tuple[str, str]] = list(form.value("steps"))
    controls.append(body("From each time on, by the pump's clock, the pump runs at the rate."))

    for index, step in enumerate(steps):
        controls += _step_fields(form, index, step)
    if len(steps) < _MOST_STEPS:
        controls.append(
            quiet_button("Add another time", lambda: form.put("steps", [*steps, ("", "")]),
                         icon=ft.Icons.ADD)
        )  # fmt: skip
    if len(steps) > 1:
        controls.append(
            quiet_button(f"Take away time {len(steps)}", lambda: form.put("steps", steps[:-1]))
        )
    return controls


def _step_fields(form: Form, index: int, step: tuple[str, str]) -> list[ft.Control]:
    def change(clock: str | None = None, rate: str | None = None) -> None:
        rows: list[tuple[str, str]] = list(form.value("steps"))
        now_clock, now_rate = rows[index]
        rows[index] = (
            now_clock if clock is None else clock,
            now_rate if rate is None else rate,
        )
        form.put("steps", rows)

    clock, rate = step
    return [
        text_field(f"Time {index + 1}", clock, lambda text: change(clock=text),
                   keyboard=ft.KeyboardType.DATETIME, error=form.error(f"time{index}")),
        stepper(f"Rate {index + 1}", rate, lambda text: change(rate=text), unit="mcg/h",
                least="0", error=form.error(f"rate{index}")),
    ]  # fmt: skip


def _read_pattern(form: Form) -> Programme | None:
    if form.text("days") == "weekdays":
        return form.read("weekdays", parse_pattern, needed="Write the pattern of each day.")
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
            form.fail(f"time{index}", "This time is there already: give each time one rate.")
        steps.append(RateStep(minute, value))
    if len(steps) < len(rows) or len({step.start_minute for step in steps}) < len(steps):
        # What is wrong was said beside the row it belongs to; the rest alone means nothing.
        return None
    return day_pattern([steps])


def _timed(amount_mcg: float, text: str) -> TimedBolus:
    word = "at" if ":" in text else "x"
    return parse_timed_bolus(f"{amount_mcg} mcg {word} {text}")
