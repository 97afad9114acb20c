"""The fields of the boluses over a background, and the boluses they make."""

from dataclasses import replace
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Amount, Choice, FormField, Whole, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import quiet_button
from pocketpump.app.shared_texts import NO_YES
from pocketpump.core.messages import message
from pocketpump.core.pump.programme import Programme, RequestedBolus, TimedBolus
from pocketpump.core.pump.programme_text import clock_text, parse_timed_bolus
from pocketpump.core.units.quantity import AMOUNT, format_number

# What is filled in again must be what was entered, to the last digit of any printout.
EXACT_PLACES = 6
BOLUS_FIELDS = (
    Choice("timed", message("Are there timed boluses too?"), options=NO_YES, in_row=True),
    Choice("requested", message("May you ask for a bolus?"), options=NO_YES, in_row=True),
    Amount("requested amount", message("Each requested bolus"), dimension=AMOUNT, step="5",
           places=EXACT_PLACES, above_zero=True, needed=message("Write the bolus, like 25 mcg.")),
    Whole("most", message("At most, a day"), unit="", low=1, high=48, least="1",
          needed=message("Write how many boluses you may ask for a day.")),
)  # fmt: skip
"""All but the timed amounts, of which there may be several."""
NO_BOLUSES = {"timed": "no", "timed rows": "1", "requested": "no", "most": "4"}
"""What the fields begin with where no boluses are known."""

_MOST_ROWS = 6
_NO_TIMES = message("Write times or a number.")


def exact_text(value: float) -> str:
    """Return a number to the last digit of any printout, so that reading it changes nothing."""
    return format_number(value, EXACT_PLACES)


def bolus_texts(programme: Programme) -> dict[str, Any]:
    """Return what the fields begin with to show the boluses of ``programme``, all of them."""
    texts: dict[str, Any] = dict(NO_BOLUSES)
    if programme.timed:
        texts |= {"timed": "yes", "timed rows": str(len(programme.timed))}
    for row, bolus in enumerate(programme.timed):
        texts[_field("timed amount", row)] = exact_text(bolus.amount_mcg)
        clocks = ", ".join(clock_text(minute) for minute in bolus.start_minutes)
        texts[_field("times", row)] = clocks or str(bolus.per_day)
    if programme.requested:
        texts["requested"] = "yes"
        texts["requested amount"] = programme.requested.amount_mcg
        texts["most"] = programme.requested.max_per_day
    return texts


def bolus_fields(form: Form) -> list[ft.Control]:
    """Draw the questions for timed and for requested boluses."""
    return _timed_fields(form) + _requested_fields(form)


def read_boluses(form: Form) -> tuple[tuple[TimedBolus, ...], RequestedBolus | None] | None:
    """Return the timed boluses and the requested one; None, with the error noted, if unread."""
    timed: list[TimedBolus] = []
    complete = True
    if form.text("timed") == "yes":
        rows = [_read_timed(form, row) for row in range(_rows(form))]
        timed = [bolus for bolus in rows if bolus is not None]
        complete = len(timed) == len(rows)
    requested = None
    if form.text("requested") == "yes":
        requested = _read_requested(form)
        complete = complete and requested is not None
    return (tuple(timed), requested) if complete else None


def _rows(form: Form) -> int:
    return int(form.text("timed rows") or 1)


def _field(name: str, row: int) -> str:
    return name if row == 0 else f"{name} {row + 1}"


def _timed_row(row: int) -> tuple[FormField, FormField]:
    """Return the fields of one amount: how much, and when."""
    each, when = message("Each timed bolus"), message("When, or how many a day")
    if row > 0:
        each = message("Each timed bolus, amount {number}", number=row + 1)
        when = message("When, or how many a day, amount {number}", number=row + 1)
    return (
        Amount(_field("timed amount", row), each, dimension=AMOUNT, step="5", above_zero=True,
               needed=message("Write the bolus, like 45 mcg.")),
        Words(_field("times", row), when, reader=_timed, needed=_NO_TIMES,
              helper=message("Times by the pump's clock like 08:00, 14:00 or only a number"
                            " like 4.")),
    )  # fmt: skip


def _timed_fields(form: Form) -> list[ft.Control]:
    controls = [form.ask("timed")]
    if form.text("timed") != "yes":
        return controls
    rows = _rows(form)
    for row in range(rows):
        controls += [field.draw(form) for field in _timed_row(row)]
    if rows < _MOST_ROWS:
        controls.append(
            quiet_button(message("Add boluses of another amount"),
                         lambda: form.put("timed rows", str(rows + 1)), icon=ft.Icons.ADD)
        )  # fmt: skip
    if rows > 1:
        controls.append(
            quiet_button(message("Take away amount {number}", number=rows),
                         lambda: form.put("timed rows", str(rows - 1)))
        )  # fmt: skip
    return controls


def _requested_fields(form: Form) -> list[ft.Control]:
    more = ("requested amount", "most") if form.text("requested") == "yes" else ()
    return [form.ask(field) for field in ("requested", *more)]


def _read_timed(form: Form, row: int) -> TimedBolus | None:
    amount, timed = (field.read(form) for field in _timed_row(row))
    return None if amount is None or timed is None else replace(timed, amount_mcg=amount)


def _read_requested(form: Form) -> RequestedBolus | None:
    amount, most = form.answer("requested amount"), form.answer("most")
    return None if amount is None or most is None else RequestedBolus(amount, most)


def _timed(text: str) -> TimedBolus:
    """Return the boluses at the times or of the number in ``text``, their amount not known yet."""
    word = "x" if text.strip().isdecimal() else "at"
    return parse_timed_bolus(f"1 mcg {word} {text}")
