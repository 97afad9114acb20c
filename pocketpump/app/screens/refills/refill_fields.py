"""The fields of the refill form, what they begin with, and the payload they make."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from pocketpump.app.forms.fields import Amount, Choice, Clock, Day, Words, YesNo
from pocketpump.app.forms.form import Form
from pocketpump.app.screens.pump.dose_fields import DOSE_FIELDS
from pocketpump.app.screens.pump.dose_fields import defaults as dose_defaults
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import YES_NO
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.refill_check.residual import check_withdrawn
from pocketpump.core.units.quantity import STRENGTH, VOLUME, entered_number
from pocketpump.record import Entry

# A strength that was worked out (a third) is shown and compared with so many decimals.
_PLACES = 3
_volume = partial(Amount, dimension=VOLUME, step="0.5", places=_PLACES)
_SHOWN = (
    _volume("expected_ml", message("Expected volume")),
    _volume("withdrawn_ml", message("Withdrawn volume"),
            helper=message("What was taken out before.")),
    _volume("filled_ml", message("Filled volume"),
            needed=message("Write the filled volume in mL."),
            helper=message("What the reservoir holds after the refill.")),
    _volume("measured_after_ml", message("Measured after the fill"),
            helper=message("If the clinic took the drug out again to measure it.")),
    Amount("strength_mcg_per_ml", message("Strength"), dimension=STRENGTH, step="500", least="500",
           places=_PLACES, above_zero=True, needed=message("Write the strength, like 500 mcg/mL."),
           helper=message("On the printout or the label. You may write it like 2 mg/mL.")),
    Words("note", message("Note"), lines=2),
    Day("printed_alarm_on", message("Clinic's alarm date"),
        helper=message("As printed. It is checked against the computed date.")),
    Day("next_visit_on", message("Next visit")),
    YesNo("bridged", message("Did the clinic program a bridge for the new strength?"),
          options=(*YES_NO, ("", message("I do not know"))), in_row=False,
          helper=message("Old drug stays in the line for a while after a change.")),
)  # fmt: skip
REFILL_FIELDS = (
    *_SHOWN,
    Day("day", message("Day of the refill")),
    Clock("time", message("Time, about")),
    Choice("dose changed", message("Was the dose changed?"),
           options=(("no", message("No, as before")), ("yes", message("Yes, a new setting")))),
    *DOSE_FIELDS,
    Amount("alarm_volume_ml", message("Alarm volume"), dimension=VOLUME, step="0.5",
           needed=message("Write the alarm volume in mL."), helper=message("As printed.")),
)  # fmt: skip
# In the order in which their error is told.
_AMOUNTS = tuple(field.name for field in _SHOWN if isinstance(field, Amount))


def defaults(services: Services, old: Entry | None, before: Entry | None) -> dict[str, Any]:
    """Return what the form begins with: the refill corrected, or the values of the last one."""
    now = services.now()
    at = old.at.astimezone(services.zone) if old else now
    begins: dict[str, Any]
    if old is not None:
        begins = {field.name: old.payload.get(field.name) for field in _SHOWN}
    else:
        begins = {**dose_defaults(services, None), "dose changed": "no"}
        last: Mapping[str, Any] = before.payload if before else {}
        begins |= {field: last.get(field) for field in ("filled_ml", "strength_mcg_per_ml")}
    pump = services.newest("pump")
    return begins | {
        "day": at.date().isoformat(),
        "time": f"{at:%H:%M}",
        "begun": now.date().isoformat(),
        "alarm_volume_ml": pump.payload["alarm_volume_ml"] if pump else None,
    }


def read_refill(form: Form, before: Entry | None, old: Entry | None) -> dict[str, Any]:
    """Return the payload the fields make so far, error noted on the form."""
    payload = form.payload(*_AMOUNTS)
    _check_withdrawn(form, payload.get("withdrawn_ml"), before)
    for field in ("printed_alarm_on", "next_visit_on"):
        form.day_after(field, form.answer("day"), message("the refill"))
    for field, typed in payload.items():
        known = [entry.payload.get(field) for entry in (old, before) if entry is not None]
        payload[field] = _as_known(typed, known)
    payload |= form.payload("note", "printed_alarm_on", "next_visit_on")
    if old is not None:
        # What the form does not show stays as it was.
        shown = {field.name for field in _SHOWN}
        payload |= {field: v for field, v in old.payload.items() if field not in shown}
    if strength_changed(payload, before):
        payload |= form.payload("bridged")
    return payload


def _check_withdrawn(form: Form, withdrawn_ml: float | None, before: Entry | None) -> None:
    if withdrawn_ml is None or before is None:
        return
    try:
        check_withdrawn(float(before.payload["filled_ml"]), withdrawn_ml)  # type: ignore[arg-type]
    except InputError as error:
        form.fail("withdrawn_ml", str(error))


def _as_known(value: float, known: Sequence[Any]) -> float:
    """Return the one of ``known`` that the box shows like ``value``, or else ``value``.

    The box rounds what it begins with; read back, a third would be another strength.
    """
    same = (float(one) for one in known if one is not None and _look_alike(one, value))
    return next(same, value)


def _look_alike(one: float, other: float) -> bool:
    return entered_number(float(one), _PLACES) == entered_number(float(other), _PLACES)


def strength_changed(payload: Mapping[str, Any], before: Entry | None) -> bool:
    """Return whether the strength is another one than at the refill before."""
    now = payload.get("strength_mcg_per_ml")
    if before is None or now is None:
        return False
    return not _look_alike(now, before.payload["strength_mcg_per_ml"])  # type: ignore[arg-type]
