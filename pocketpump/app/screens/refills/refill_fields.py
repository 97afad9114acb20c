"""The texts of the refill form, and the payload they make."""

from collections.abc import Mapping, Sequence
from typing import Any

from pocketpump.app.forms.form import Form
from pocketpump.app.screens.pump.dose_fields import defaults as dose_defaults
from pocketpump.app.services import Services
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.refill_check.residual import check_withdrawn
from pocketpump.core.units.quantity import STRENGTH, VOLUME, entered_number
from pocketpump.record import Entry

_NUMBERS = ("filled_ml", "strength_mcg_per_ml", "expected_ml", "withdrawn_ml", "measured_after_ml")
# A strength that was worked out (a third) is shown and compared with so many decimals.
_PLACES = 3
_DATES = ("printed_alarm_on", "next_visit_on")


def defaults(services: Services, old: Entry | None, before: Entry | None) -> dict[str, Any]:
    """Return what the form begins with: the refill corrected, or the values of the last one."""
    now = services.now()
    texts: dict[str, Any] = {}
    if old is not None:
        at = old.at.astimezone(services.zone)
        payload: Mapping[str, Any] = old.payload
    else:
        at = now
        last: Mapping[str, Any] = before.payload if before else {}
        payload = {field: last[field] for field in _NUMBERS[:2] if field in last}
        # The dose fields have a day, a time and a note of their own on their own screen.
        own = {"day", "time", "note", "from", "printed_alarm_on"}
        dose = dose_defaults(services, None)
        texts |= {field: text for field, text in dose.items() if field not in own}
        texts |= {"dose changed": "no"}
    texts |= {"day": at.date().isoformat(), "time": f"{at:%H:%M}"}
    texts |= {"begun": now.date().isoformat()}
    for field in _NUMBERS:
        if payload.get(field) is not None:
            texts[field] = entered_number(float(payload[field]), _PLACES)
    for field in (*_DATES, "note"):
        texts[field] = str(payload.get(field, ""))
    if "bridged" in payload:
        texts["bridged"] = "yes" if payload["bridged"] else "no"
    pump = services.newest("pump")
    if pump is not None:
        known: Mapping[str, Any] = pump.payload
        texts["alarm_volume_ml"] = entered_number(float(known["alarm_volume_ml"]))
    return texts


def read_refill(form: Form, before: Entry | None, old: Entry | None) -> dict[str, Any]:
    """Return the payload the fields make so far, trouble noted on the form."""
    payload: dict[str, Any] = {
        "expected_ml": form.amount("expected_ml", VOLUME),
        "withdrawn_ml": form.amount("withdrawn_ml", VOLUME),
        "filled_ml": form.amount(
            "filled_ml", VOLUME, needed=message("Write the filled volume in mL."),
            above_zero=True,
        ),
        "measured_after_ml": form.amount("measured_after_ml", VOLUME),
        "strength_mcg_per_ml": form.amount(
            "strength_mcg_per_ml", STRENGTH, needed=message("Write the strength, like 500 mcg/mL."),
            above_zero=True,
        ),
        "note": form.text("note").strip() or None,
    }  # fmt: skip
    _check_withdrawn(form, payload["withdrawn_ml"], before)
    refilled_on = form.day("day")
    for field in _DATES:
        day = form.day_after(field, refilled_on, message("the refill"))
        payload[field] = day.isoformat() if day else None
    payload = {field: value for field, value in payload.items() if value is not None}
    for field in _NUMBERS:
        known = [entry.payload.get(field) for entry in (old, before) if entry is not None]
        if field in payload:
            payload[field] = _as_known(payload[field], known)
    if old is not None:
        # What the form does not show stays as it was.
        shown = {*_NUMBERS, *_DATES, "note", "bridged"}
        payload |= {field: v for field, v in old.payload.items() if field not in shown}
    if strength_changed(payload, before):
        answer = {"yes": True, "no": False}.get(form.text("bridged"))
        if answer is not None:
            payload["bridged"] = answer
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
