"""Dose settings as the record keeps them: JSON values, checked when they are read."""

from collections.abc import Mapping
from typing import Any

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.core.pump.programme import (
    DAY_MIN,
    Programme,
    RateStep,
    RequestedBolus,
    TimedBolus,
    day_pattern,
)
from pocketpump.core.pump.programme_text import MOST_BOLUSES, with_boluses
from pocketpump.core.units.quantity import AMOUNT, HOURLY_RATE


def programme_to_payload(programme: Programme) -> dict[str, Any]:
    """Return ``programme`` as JSON values: the form in which the record keeps it."""
    days = [[[step.start_minute, step.rate_mcg_per_hour] for step in day] for day in programme.days]
    payload: dict[str, Any] = {"days": days[:1] if all(day == days[0] for day in days) else days}
    if programme.timed:
        payload["timed"] = [
            {
                "amount_mcg": bolus.amount_mcg,
                "per_day": bolus.per_day,
                "start_minutes": list(bolus.start_minutes),
            }
            for bolus in programme.timed
        ]
    if programme.requested:
        payload["requested"] = {
            "amount_mcg": programme.requested.amount_mcg,
            "max_per_day": programme.requested.max_per_day,
        }
    if programme.clock_offset_minutes:
        payload["clock_offset_minutes"] = programme.clock_offset_minutes
    return payload


def programme_from_payload(payload: Mapping[str, Any]) -> Programme:
    """Return the programme kept as ``payload``; raises `InputError` when it is not one."""
    try:
        days = [
            [RateStep(_kept(minute, 0, DAY_MIN - 1), float(rate)) for minute, rate in day]
            for day in payload["days"]
        ]
        if any(not 0 <= step.rate_mcg_per_hour <= HOURLY_RATE.largest for d in days for step in d):
            raise ValueError
        offset = _kept(payload.get("clock_offset_minutes", 0), -DAY_MIN, DAY_MIN)
        programme = day_pattern(days, offset)
        timed = tuple(_kept_timed(bolus) for bolus in payload.get("timed", ()))
        asked = payload.get("requested")
        requested = asked and RequestedBolus(
            _kept_amount(asked["amount_mcg"]), _kept(asked["max_per_day"], 1, MOST_BOLUSES)
        )
        return with_boluses(programme, timed, requested or None)
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
        raise InputError(
            message("A dose setting in the record cannot be read: enter it again."), "programme"
        ) from None


def _kept(value: Any, low: int, high: int) -> int:
    """Return a whole number from the record; ValueError when it is none or out of bounds."""
    if int(value) != value or not low <= value <= high:
        raise ValueError
    return int(value)


def _kept_amount(value: Any) -> float:
    if not 0 < float(value) <= AMOUNT.largest:
        raise ValueError
    return float(value)


def _kept_timed(bolus: Mapping[str, Any]) -> TimedBolus:
    minutes = tuple(_kept(minute, 0, DAY_MIN - 1) for minute in bolus.get("start_minutes", ()))
    per_day = _kept(bolus["per_day"], 1, DAY_MIN)
    if minutes and (len(minutes) != per_day or len(set(minutes)) != len(minutes)):
        raise ValueError
    return TimedBolus(_kept_amount(bolus["amount_mcg"]), per_day, minutes)
