"""The pump: what stays the same about it between refills."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

import flet as ft

from pocketpump.app.forms.fields import Amount, Choice, Day, Whole, Words
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, quiet_button
from pocketpump.app.screens.editing import leave_button
from pocketpump.app.screens.pump.dose_texts import odd_notices, question_of
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.core.pump.situation import USUAL_DRUG_AGE_LIMIT_DAYS, USUAL_TOLERANCE_PERCENT
from pocketpump.core.refill_check.plausibility import Amounts, Odd, odd_amounts
from pocketpump.core.units.quantity import PERCENT, VOLUME, entered_number
from pocketpump.record import Entry
from pocketpump.record.facts.pump_correction import (
    is_another_pump,
    pump_corrections,
    takes_back_identity,
)

_FIELDS = (
    Amount("reservoir_ml", message("Size of the reservoir"), dimension=VOLUME, least="1",
           needed=message("Write the size in mL."),
           helper=message("How much the pump holds. Your clinic's papers say it.")),
    Amount("alarm_volume_ml", message("Alarm volume"), dimension=VOLUME, step="0.5",
           needed=message("Write the alarm volume in mL."),
           helper=message("The volume at which the pump's alarm sounds. Often 2 mL; your clinic's"
                          " printout says it.")),
    Amount("tolerance_percent", message("Flow accuracy"), dimension=PERCENT, step="0.5",
           helper=message("14.5 % either way is our own default: ask your clinic. It sets how wide"
                          " the alarm's window is.")),
    Whole("drug_age_limit_days", message("Drug-age limit"), unit=message("days"),
          helper=message("How long the drug may stay in the pump. Often 180 days; your clinic's own"
                         " limit counts.")),
    Amount("line_volume_ml", message("Line volume"), dimension=VOLUME, step="0.01",
           helper=message("Tubing and catheter together, written down at the implant.")),
    Amount("felt_low_ml", message("Felt low before"), dimension=VOLUME, step="0.1",
           helper=message("If you have felt the pump run low before its alarm: how much was left"
                          " then.")),
    Amount("reading_error_ml", message("Reading error of a fill"), dimension=VOLUME, step="0.1",
           helper=message("How far a filled volume may be off as it is read. 0.5 mL if left"
                          " empty.")),
    Words("model", message("Model, as written")),
    Words("serial", message("Serial number")),
    Words("position", message("Where it sits")),
    Words("tip_level", message("Level of the catheter tip")),
    Day("implanted_on", message("Implanted on")),
)  # fmt: skip
_USUAL = {
    "alarm_volume_ml": 2.0,
    "tolerance_percent": USUAL_TOLERANCE_PERCENT,
    "drug_age_limit_days": USUAL_DRUG_AGE_LIMIT_DAYS,
}
_WHICH = Choice(
    "which_pump", message("Is this another pump than before?"),
    options=(("other", message("Yes, another pump is in the body now")),
             ("same", message("No, I correct what was noted of this pump"))),
    helper=message("By its serial number or the day of its implant it is not the pump noted"
                   " before."),
)  # fmt: skip


def pump(app: App[Services]) -> list[ft.Control]:
    """Draw the form for the pump, filled with what is known."""
    return pump_form(app, app.back, app.services.newest("pump"))


def pump_form(
    app: App[Services], after: Callable[[], None], known: Entry | None, *, is_step: bool = False
) -> list[ft.Control]:
    """Draw the form, filled with what is ``known``; ``after`` leads on when it is saved.

    A pump that changed is a new entry; where by the record it would be another pump, that is asked,
    and a correction mends what was noted. As a step of the first run the form corrects the one that
    was just saved: a serial number typed anew would else be another pump, not filled yet.
    """
    kept = known.payload if known else {}
    form = Form(app, "pump", {**_USUAL, **kept}, fields=_FIELDS, kind="pump")
    last = app.services.newest("refill")
    today = app.services.now().date()
    read = _read(form, today, None if last is None else float(last.payload["filled_ml"]))  # type: ignore[arg-type]
    shown = {field.name for field in _FIELDS}
    # What the form does not show stays as it was.
    payload = {**{f: v for f, v in kept.items() if f not in shown}, **read}

    asks_which = not is_step and is_another_pump(
        app.services.record.alive, payload, app.services.now()
    )
    if asks_which:
        _which_pump(form, app.services, payload)
        is_correction = form.value(_WHICH.name) == "same"
    else:
        # What is emptied was a slip: beside the earlier entry it would go on counting.
        is_correction = not is_step and takes_back_identity(kept, payload)

    def save() -> None:
        services = app.services
        said = message("The pump is saved.")
        if is_correction:
            corrections = pump_corrections(services.record.alive, payload, services.now())
            entries = services.record.correct_many(
                (entry.id, mended, entry.at, entry.zone) for entry, mended in corrections
            )
        elif is_step and known is not None:
            entries = (services.save("pump", known.at, payload, known.id),)
        else:
            entries = (services.save("pump", services.now(), payload),)
            if asks_which:
                said = message(
                    "The pump is saved as another one: what past refills have shown no longer"
                    " counts for it, and the dates go by what its own refills show."
                )
        form.clear()
        after()
        say_with_undo(app, said, *(entry.id for entry in entries))

    odds = _odd(read)
    controls: list[ft.Control] = [
        form.ask("reservoir_ml"),
        *odd_notices(odds, "reservoir"),
        form.ask("alarm_volume_ml"),
        *odd_notices(odds, "alarm_volume"),
    ]
    if form.value("more"):
        controls += [
            body(message("All of this may stay empty. Write only what your clinic or your papers"
                         " say.")),
            *(form.ask(field.name, today) for field in _FIELDS[2:]),
        ]  # fmt: skip
    else:
        controls.append(
            quiet_button(message("More about the pump"), lambda: form.put("more", True),
                         icon=ft.Icons.ADD)
        )  # fmt: skip
    if asks_which:
        controls.append(_WHICH.draw(form))
    ask = question_of(odds, _odd(kept))
    controls += form.save_button(message("Save the pump"), save, ask=ask)
    if is_step and known is not None:
        controls.append(leave_button(form, after))
    return controls


def _which_pump(form: Form, services: Services, payload: Mapping[str, Any]) -> None:
    """Let the form say whether it is another pump; a slip would throw away what it has shown."""
    which = form.text(_WHICH.name)
    if not which:
        form.fail(_WHICH.name, message("Say whether it is another pump: the dates depend on it."))
    elif which == "same" and not pump_corrections(services.record.alive, payload, services.now()):
        form.fail(
            _WHICH.name,
            message(
                "Refills are noted before this day of the implant, so it cannot be the day of the"
                " same pump: look at the day again."
            ),
        )


def _odd(payload: Mapping[str, Any]) -> tuple[Odd, ...]:
    """Return what is unusual about the volumes of a pump's ``payload``."""
    amounts = Amounts(
        reservoir_ml=payload.get("reservoir_ml"), alarm_volume_ml=payload.get("alarm_volume_ml")
    )
    return odd_amounts(amounts)


def _read(form: Form, today: date, last_fill_ml: float | None) -> dict[str, Any]:
    size, alarm = form.answer("reservoir_ml"), form.answer("alarm_volume_ml")
    felt_low = form.answer("felt_low_ml")
    if size is not None and alarm is not None and alarm >= size:
        form.fail(
            "alarm_volume_ml", message("The alarm volume must be less than the reservoir's size.")
        )
    if felt_low is not None and size is not None and felt_low >= size:
        form.fail("felt_low_ml", message("This must be less than the reservoir's size."))
    elif felt_low is not None and last_fill_ml is not None and felt_low >= last_fill_ml:
        form.fail(
            "felt_low_ml",
            message(
                "This must be less than the {amount} mL of the last refill.",
                amount=entered_number(last_fill_ml),
            ),
        )
    implanted_on = form.answer("implanted_on")
    if implanted_on is not None and implanted_on > today:
        form.fail(
            "implanted_on",
            message("This day is still to come: note another pump once it is in the body."),
        )
    return form.payload()
